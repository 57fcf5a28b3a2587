package org.tallywire.kit;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Random;
import java.util.function.BooleanSupplier;
import java.util.function.IntSupplier;
import org.tallywire.api.Example;
import org.tallywire.api.Example.Turn;

/**
 * An instrument that says what an example's turns say: of itself, or when it is asked; asked again
 * it says the same again. Used by one thread.
 */
final class PlayedInstrument {

  private static final int MOST_STEPS = 200;
  private static final int MOST_OPENINGS = 3;

  private final PlayedDriver driver;
  private final List<Turn> turns;
  private int next;
  private int given = -1;
  private int openings;
  private int againAsked;
  private byte[] unknown = Bytes.NONE;

  PlayedInstrument(PlayedDriver driver, Example example) {
    this.driver = driver;
    this.turns = example.turns();
  }

  /** How often it was asked for something that it had given already. */
  int askedAgain() {
    return againAsked;
  }

  /** Returns a question that no turn answers, and that it had nothing to say to; else nothing. */
  byte[] unknownQuestion() {
    return unknown;
  }

  /** Tells whether it only talks. */
  static boolean talksOnly(Example example) {
    return example.turns().stream().allMatch(turn -> turn.asked().length == 0);
  }

  /** Begins with the first turn again, on the link that is open. */
  void again() {
    next = 0;
  }

  /**
   * Plays exactly: each turn waits for what it says is asked.
   *
   * @throws RuleBroken if the driver sends something else, or nothing
   */
  void playExactly(Pieces pieces) throws RuleBroken {
    playExactly(pieces, () -> {});
  }

  /** Plays exactly, and does something else in the middle of each answer. */
  void playExactly(Pieces pieces, Between between) throws RuleBroken {
    for (Turn turn : turns) {
      waitFor(turn);
      List<byte[]> all = pieces.of(turn.answer());
      int half = all.size() / 2;
      arrive(all.subList(0, half));
      between.run();
      arrive(all.subList(half, all.size()));
    }
  }

  /** Something that is done while an answer is under way. */
  interface Between {
    void run() throws RuleBroken;
  }

  private void waitFor(Turn turn) throws RuleBroken {
    byte[] sent = driver.takeSent();
    if (turn.asked().length > 0) {
      int steps = 0;
      while (sent.length == 0 && !driver.isOver() && steps++ < MOST_STEPS && driver.tick()) {
        sent = driver.takeSent();
      }
      if (!Arrays.equals(sent, turn.asked())) {
        throw new RuleBroken(
            DriverRule.WHOLE,
            sent.length == 0
                ? "it waits for the driver to send %s, and nothing is sent"
                    .formatted(Sentences.bytes(turn.asked()))
                : "it waits for the driver to send %s, and that sends %s"
                    .formatted(Sentences.bytes(turn.asked()), Sentences.bytes(sent)));
      }
    }
  }

  /**
   * Plays on until it is done: answers what is asked, lets time pass, and is opened anew if the
   * driver ends the link.
   *
   * @param damaged the turn that is not said as it should be, once; -1 for none
   * @param instead what it says there
   * @param done asked when all turns have been said
   * @return whether it got so far
   */
  boolean play(int damaged, byte[] instead, BooleanSupplier done) throws RuleBroken {
    boolean damage = damaged >= 0;
    for (int step = 0; step < MOST_STEPS; step++) {
      if (driver.isOver()) {
        if (++openings > MOST_OPENINGS) {
          return false;
        }
        driver.open();
        next = 0;
      }
      byte[] sent = driver.takeSent();
      int turn = sent.length > 0 ? asked(sent) : unasked();
      if (turn >= 0) {
        againAsked += turn <= given && sent.length > 0 ? 1 : 0;
        given = Math.max(given, turn);
        boolean spoilt = damage && turn == damaged;
        next = spoilt && sent.length > 0 ? turn : turn + 1; // asked again, it says the same
        damage &= !spoilt;
        arrive(List.of(spoilt ? instead : turns.get(turn).answer()));
      } else if (next >= turns.size() && !damage && done.getAsBoolean()) {
        return true;
      } else if (sent.length == 0 && !driver.tick()) {
        return next >= turns.size() && done.getAsBoolean();
      }
    }
    return false;
  }

  private int unasked() {
    return next < turns.size() && turns.get(next).asked().length == 0 ? next : -1;
  }

  /** Returns the turn that a question is for: the next of them, else the last before. */
  private int asked(byte[] sent) {
    for (int i = next; i < turns.size(); i++) {
      if (isFor(turns.get(i), sent)) {
        return i;
      }
    }
    for (int i = Math.min(next, turns.size()) - 1; i >= 0; i--) {
      if (isFor(turns.get(i), sent)) {
        return i;
      }
    }
    unknown = unknown.length == 0 ? sent : unknown;
    return unasked();
  }

  private static boolean isFor(Turn turn, byte[] sent) {
    byte[] asked = turn.asked();
    return asked.length > 0
        && asked.length <= sent.length
        && Arrays.equals(asked, 0, asked.length, sent, sent.length - asked.length, sent.length);
  }

  private void arrive(List<byte[]> pieces) throws RuleBroken {
    for (byte[] piece : pieces) {
      if (!driver.isOver() && piece.length > 0) {
        driver.arrive(piece);
      }
    }
  }

  /** How an answer is cut. */
  interface Pieces {

    Pieces WHOLE = bytes -> List.of(bytes);
    Pieces SINGLE = bytes -> cut(bytes, () -> 1);

    List<byte[]> of(byte[] bytes);

    /** Cuts at random. */
    static Pieces random(Random random) {
      return bytes -> cut(bytes, () -> 1 + random.nextInt(20));
    }

    private static List<byte[]> cut(byte[] bytes, IntSupplier length) {
      List<byte[]> pieces = new ArrayList<>();
      int from = 0;
      while (from < bytes.length) {
        int to = Math.min(bytes.length, from + length.getAsInt());
        pieces.add(Arrays.copyOfRange(bytes, from, to));
        from = to;
      }
      return pieces;
    }
  }
}
