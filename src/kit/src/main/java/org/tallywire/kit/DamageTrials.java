package org.tallywire.kit;

import java.time.Duration;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.Collections;
import java.util.List;
import java.util.Random;
import org.tallywire.api.Example;

/** Plays examples with noise, broken off, with flipped bits and over-long. */
final class DamageTrials {

  /** After so long without a byte, what came before is over in any language. */
  private static final Duration PAUSE = Duration.ofSeconds(5);

  private static final int MOST_BITS = 600;
  private static final int MOST_BREAKS = 150;
  private static final int MOST_LONG = 4_000_000;
  private static final int TIMES_THE_LIMIT = 5;
  private static final int USABLE_AFTER = 2;

  private final Conversations conversations;
  private final DriverReport report;
  private final Random random;
  private final boolean checked;

  private int trials;
  private int strangers;
  private int lost;

  DamageTrials(Conversations conversations, Random random, boolean checked) {
    this.conversations = conversations;
    this.report = conversations.report();
    this.random = random;
    this.checked = checked;
  }

  /** A place in an example: a turn, and a bit or byte of its answer. */
  private record Place(int turn, int at) {}

  void run(List<Example> examples) {
    for (Example example : examples) {
      noise(example);
      tooLong(example);
    }
    report.passed(DriverRule.NOISE, "before each example");
    report.passed(DriverRule.TOO_LONG, "before each example");
    breaks(examples);
    flips(examples);
  }

  private void noise(Example example) {
    byte[] noise =
        Bytes.joined(List.of(new byte[] {0, (byte) 0xFF, (byte) 0xF8, 'x'}, Bytes.end(example)));
    conversations.hold(
        example,
        ", behind the noise %s".formatted(Sentences.bytes(noise)),
        played -> {
          played.arrive(noise);
          if (PlayedInstrument.talksOnly(example)) {
            played.pass(PAUSE);
          }
          Seen seen = new Seen(played);
          new PlayedInstrument(played, example)
              .play(-1, Bytes.NONE, () -> seen.all(example.gives()));
          afterwards(DriverRule.NOISE, example, played, seen);
        });
  }

  private void tooLong(Example example) {
    conversations.hold(
        example,
        ", behind a message that does not end",
        played -> {
          int length = Math.min(MOST_LONG, TIMES_THE_LIMIT * Math.max(1, played.limit()));
          if (played.limit() < 1) {
            throw new RuleBroken(
                DriverRule.TOO_LONG, "the framer's limit is %d".formatted(played.limit()));
          }
          byte[] endless = new byte[length];
          Arrays.fill(endless, (byte) 'x');
          byte[] first = example.turns().get(0).answer();
          played.arrive(Arrays.copyOf(first, first.length / 2));
          played.arrive(endless);
          played.arrive(Bytes.end(example));
          if (PlayedInstrument.talksOnly(example)) {
            played.pass(PAUSE);
          }
          Seen seen = new Seen(played);
          for (int i = 0; i < USABLE_AFTER && !seen.all(example.gives()); i++) {
            new PlayedInstrument(played, example)
                .play(-1, Bytes.NONE, () -> seen.all(example.gives()));
          }
          afterwards(DriverRule.TOO_LONG, example, played, seen);
        });
  }

  private static void afterwards(DriverRule rule, Example example, PlayedDriver played, Seen seen)
      throws RuleBroken {
    String stranger = seen.stranger(example.gives());
    if (!stranger.isEmpty()) {
      throw new RuleBroken(rule, "it gave %s".formatted(stranger));
    }
    if (!seen.all(example.gives())) {
      throw new RuleBroken(
          rule,
          "it gave %s and not %s; %s"
              .formatted(
                  Sentences.readings(played.host.readings()),
                  Sentences.expected(example.gives()),
                  Sentences.faults(played)));
    }
    if (played.faults.isEmpty() && played.ends.isEmpty()) {
      throw new RuleBroken(rule, "what was no message was swallowed without a fault");
    }
  }

  private void breaks(List<Example> examples) {
    int all = 0;
    for (Example example : examples) {
      List<Place> places = places(example, 1);
      for (Place place : some(places, MOST_BREAKS / Math.min(examples.size(), 3))) {
        all++;
        byte[] answer = example.turns().get(place.turn()).answer();
        byte[] begun = Arrays.copyOf(answer, place.at());
        String how = ", broken off behind %s".formatted(Sentences.lastOf(begun));
        conversations.hold(
            example,
            how,
            played -> damaged(DriverRule.TRUNCATED, example, place.turn(), begun, played));
        conversations.hold(
            example, how + " by a link that was lost", played -> reopened(example, begun, played));
      }
    }
    report.passed(DriverRule.TRUNCATED, "at %d places".formatted(all));
  }

  private static void reopened(Example example, byte[] begun, PlayedDriver played)
      throws RuleBroken {
    played.arrive(begun);
    int before = played.host.readings().size();
    int faults = played.faults.size();
    played.open();
    Seen seen = new Seen(played);
    new PlayedInstrument(played, example)
        .play(-1, Bytes.NONE, () -> seen.allSince(before, example.gives()));
    if (!seen.allSince(before, example.gives()) && !seen.all(example.gives())) {
      throw new RuleBroken(
          DriverRule.TRUNCATED,
          "on the next link it gave %s and not %s; %s"
              .formatted(
                  Sentences.readings(played.host.readings()),
                  Sentences.expected(example.gives()),
                  Sentences.faults(played)));
    }
    if (played.faults.size() > faults) {
      throw new RuleBroken(
          DriverRule.TRUNCATED,
          "on the next link what came before was not forgotten; " + Sentences.faults(played));
    }
  }

  private void flips(List<Example> examples) {
    trials = 0;
    strangers = 0;
    lost = 0;
    for (Example example : examples) {
      List<Place> bits = places(example, Byte.SIZE);
      for (Place bit : some(bits, MOST_BITS / Math.min(examples.size(), 3))) {
        byte[] answer = example.turns().get(bit.turn()).answer().clone();
        answer[bit.at() / Byte.SIZE] ^= (byte) (1 << bit.at() % Byte.SIZE);
        trials++;
        conversations.hold(
            example,
            ", with the byte %d of its answer %d flipped from %s to %s"
                .formatted(
                    bit.at() / Byte.SIZE + 1,
                    bit.turn() + 1,
                    byteAt(example.turns().get(bit.turn()).answer(), bit.at() / Byte.SIZE),
                    byteAt(answer, bit.at() / Byte.SIZE)),
            played -> damaged(DriverRule.FLIPPED, example, bit.turn(), answer, played));
      }
    }
    report.passed(DriverRule.FLIPPED, "%d flipped bits".formatted(trials));
    if (!checked) {
      report.note(
          "this language has no check value: of %d flipped bits %d gave another reading and %d cost"
                  .formatted(trials, strangers, lost)
              + " one without a word");
    }
  }

  private static String byteAt(byte[] bytes, int at) {
    return Sentences.bytes(new byte[] {bytes[at]});
  }

  /** Says one turn otherwise, then goes on until the example has given its readings. */
  private void damaged(
      DriverRule rule, Example example, int turn, byte[] instead, PlayedDriver played)
      throws RuleBroken {
    Seen seen = new Seen(played);
    PlayedInstrument instrument = new PlayedInstrument(played, example);
    instrument.play(turn, instead, () -> true);
    boolean gaveAll = seen.all(example.gives());
    int during = played.host.readings().size();
    for (int i = 0; i < USABLE_AFTER && !usable(example, seen, during, gaveAll, played); i++) {
      if (PlayedInstrument.talksOnly(example)) {
        played.pass(PAUSE);
      }
      instrument.again();
      instrument.play(-1, Bytes.NONE, () -> seen.allSince(during, example.gives()));
    }
    String stranger = seen.stranger(example.gives());
    if (!stranger.isEmpty()) {
      strangers += rule == DriverRule.FLIPPED ? 1 : 0;
      if (checked) {
        throw new RuleBroken(rule, "it gave %s".formatted(stranger));
      }
    }
    if (!usable(example, seen, during, gaveAll, played)) {
      if (instrument.unknownQuestion().length > 0) {
        conversations.inconclusive(instrument.unknownQuestion());
        return;
      }
      throw new RuleBroken(
          rule,
          "the session is not usable afterwards: played twice more, the example gave %s; %s"
              .formatted(
                  Sentences.readings(
                      played.host.readings().subList(during, played.host.readings().size())),
                  Sentences.faults(played)));
    }
    boolean told =
        !played.faults.isEmpty() || !played.ends.isEmpty() || instrument.askedAgain() > 0;
    if (rule == DriverRule.FLIPPED && stranger.isEmpty() && !gaveAll && !told) {
      lost++;
      if (checked) {
        throw new RuleBroken(rule, "it cost a reading, and no fault was told");
      }
    }
  }

  /** What was given during the damage need not come again where readings have numbers. */
  private boolean usable(
      Example example, Seen seen, int during, boolean gaveAll, PlayedDriver played) {
    boolean numbered =
        played.host.readings().stream().anyMatch(reading -> reading.sequence().isPresent());
    return seen.allSince(during, example.gives())
        || (numbered && !gaveAll && seen.all(example.gives()))
        || (numbered && gaveAll)
        || played.host.repeats() >= example.gives().size(); // a damaged line was its own number
  }

  private static List<Place> places(Example example, int perByte) {
    List<Place> places = new ArrayList<>();
    for (int turn = 0; turn < example.turns().size(); turn++) {
      int count = example.turns().get(turn).answer().length * perByte;
      for (int at = perByte == 1 ? 1 : 0; at < count; at++) {
        places.add(new Place(turn, at));
      }
    }
    return places;
  }

  private List<Place> some(List<Place> places, int most) {
    if (places.size() <= most) {
      return places;
    }
    List<Place> mixed = new ArrayList<>(places);
    Collections.shuffle(mixed, random);
    return mixed.subList(0, most);
  }
}
