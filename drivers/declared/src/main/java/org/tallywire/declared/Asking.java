package org.tallywire.declared;

import java.time.Duration;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.jspecify.annotations.Nullable;
import org.tallywire.api.Command;
import org.tallywire.api.FaultCode;
import org.tallywire.api.LinkException;
import org.tallywire.api.SessionHost;

/** Asks what a file says, one question at a time, each instrument in its turn (DRV-10). */
final class Asking {

  private static final Duration SILENT_PAUSE = Duration.ofSeconds(5);

  /** Lines that prolong the wait for an answer at most, so that it ends whatever a meter says. */
  private static final int MOST_LINES = 200;

  private final Declaration declaration;
  private final SessionHost host;
  private final List<Turn> turns = new ArrayList<>();

  private @Nullable Open open;
  private long quietUntil;
  private String status = "";

  Asking(Declaration declaration, Map<String, String> serials, SessionHost host) {
    this.declaration = declaration;
    this.host = host;
    long now = host.time().nanos();
    serials.forEach((address, serial) -> turns.add(new Turn(new Target(address, serial), now)));
    this.quietUntil = now;
  }

  /** When an instrument is asked what next. */
  private final class Turn {

    private final Target target;
    private final long[] due = new long[declaration.asks().size()];
    private int begun;
    private long notBefore;
    private boolean silent;

    Turn(Target target, long now) {
      this.target = target;
      Arrays.fill(due, now);
      notBefore = now;
    }

    boolean starting() {
      return begun < declaration.atStart().size();
    }

    /** Returns which of the asks comes next, -1 while starting or if there is none. */
    int next() {
      int next = -1;
      for (int i = 0; !starting() && i < due.length; i++) {
        next = next < 0 || due[i] - due[next] < 0 ? i : next;
      }
      return next;
    }

    boolean asks() {
      return starting() || due.length > 0;
    }

    long when() {
      int next = next();
      return next < 0 || due[next] - notBefore < 0 ? notBefore : due[next];
    }

    Question question() {
      int next = next();
      return next < 0 ? declaration.atStart().get(begun) : declaration.asks().get(next);
    }

    /** Asks the same later: at its interval, but not before a pause. */
    void again(Question question, long sentAt, long now) {
      silent = false;
      int next = next();
      long pause = now + SILENT_PAUSE.toNanos();
      if (next < 0) {
        notBefore = pause;
      } else {
        long again = sentAt + question.every().toNanos();
        due[next] = again - pause < 0 ? pause : again;
      }
    }

    void answered(Question question, long sentAt, long now) {
      silent = false;
      int next = next();
      if (next < 0) {
        begun++;
      } else {
        long again = sentAt + question.every().toNanos();
        due[next] = again - now < 0 ? now : again;
      }
    }
  }

  /** A question that waits for its answer. */
  private static final class Open {

    private final Turn turn;
    private final Question question;
    private final long firstSent;
    private int sent;
    private int lines;
    private boolean heard;
    private long deadline;

    Open(Turn turn, Question question, long now) {
      this.turn = turn;
      this.question = question;
      this.firstSent = now;
    }
  }

  void start() throws LinkException {
    next();
  }

  /** Returns whom a line comes from that arrives now; nobody if nobody was asked. */
  Optional<Target> asked() {
    return Optional.ofNullable(open).map(o -> o.turn.target);
  }

  /** Returns the one instrument of a line that is not shared. */
  Target only() {
    return turns.get(0).target;
  }

  /** Takes note of a line from who was asked that was not understood: it is not silent. */
  void heard() {
    if (open != null) {
      open.heard = true;
    }
  }

  /** Takes note of a line that was understood. */
  void took(Understanding.Outcome outcome) throws LinkException {
    Open now = open;
    if (now == null) {
      return;
    }
    now.heard = true;
    now.lines++;
    if (now.lines <= MOST_LINES) {
      now.deadline = host.time().nanos() + now.question.within().toNanos();
    }
    boolean answered =
        switch (now.question.answer()) {
          case NONE -> true;
          case LINES -> now.lines >= now.question.lines();
          case READING -> outcome.reading();
          case IDENTITY -> outcome.identity();
          case BLOCK -> outcome.blockEnded();
        };
    if (answered) {
      finish(now, now.question.pause());
      next();
    }
  }

  void tick() throws LinkException {
    Open now = open;
    if (now != null && host.time().nanos() - now.deadline >= 0) {
      now.turn.target.forgetBlock();
      if (now.sent < now.question.tries()) {
        send(now);
      } else {
        open = null;
        if (now.heard) {
          notUnderstood(now);
        } else {
          unanswered(now);
        }
      }
    }
    next();
  }

  long nextTick() {
    if (open != null) {
      return open.deadline;
    }
    long earliest = Long.MAX_VALUE;
    for (Turn turn : turns) {
      if (turn.asks()) {
        long when = turn.when() - quietUntil < 0 ? quietUntil : turn.when();
        earliest = earliest == Long.MAX_VALUE || when - earliest < 0 ? when : earliest;
      }
    }
    return earliest;
  }

  /** Sends what is due, the longest overdue first, until something waits for its answer. */
  private void next() throws LinkException {
    while (open == null && host.time().nanos() - quietUntil >= 0) {
      long now = host.time().nanos();
      Turn chosen = null;
      for (Turn turn : turns) {
        boolean due = turn.asks() && now - turn.when() >= 0;
        if (due && (chosen == null || turn.when() - chosen.when() < 0)) {
          chosen = turn;
        }
      }
      if (chosen == null) {
        return;
      }
      Open next = new Open(chosen, chosen.question(), now);
      open = next;
      send(next);
      boolean held = next.question.effect() == Command.Effect.MEASURE;
      if (held || next.question.answer() == Question.Answer.NONE) {
        byte[] bytes = declaration.bytes(next.question, chosen.target.address());
        finish(next, next.question.pause().plus(host.lineTime(bytes.length)));
      }
    }
  }

  private void send(Open now) throws LinkException {
    byte[] bytes = declaration.bytes(now.question, now.turn.target.address());
    now.sent++;
    now.lines = 0;
    now.deadline =
        host.time().nanos() + now.question.within().plus(host.lineTime(bytes.length)).toNanos();
    host.send(new Command(bytes, now.question.effect(), words(bytes)));
  }

  private void finish(Open now, Duration pause) {
    open = null;
    long time = host.time().nanos();
    now.turn.answered(now.question, now.firstSent, time);
    quietUntil = time + pause.toNanos();
    say();
  }

  private void unanswered(Open now) throws LinkException {
    byte[] bytes = declaration.bytes(now.question, now.turn.target.address());
    long time = host.time().nanos();
    now.turn.silent = true;
    now.turn.notBefore = time + SILENT_PAUSE.toNanos();
    quietUntil = time;
    if (turns.stream().allMatch(turn -> turn.silent)) {
      throw new LinkException(
          FaultCode.LINK_SILENT,
          "no whole answer to %s within %s, sent %d times"
              .formatted(words(bytes), Words.written(now.question.within()), now.sent));
    }
    say();
  }

  /**
   * Goes on behind an answer that was none: what is wrong with its lines has been told, and the
   * instrument is there.
   */
  private void notUnderstood(Open now) {
    byte[] bytes = declaration.bytes(now.question, now.turn.target.address());
    now.turn.again(now.question, now.firstSent, host.time().nanos());
    quietUntil = host.time().nanos();
    say(
        "%s is answered, and not by %s"
            .formatted(words(bytes), now.question.answer().inWords(now.question.lines())));
  }

  private void say() {
    List<String> silent =
        turns.stream().filter(t -> t.silent).map(t -> t.target.address()).toList();
    String words =
        silent.isEmpty() ? "ready" : "no answer from address " + String.join(", ", silent);
    boolean starting = turns.stream().anyMatch(t -> t.starting() && !t.silent);
    say(starting ? "starting the conversation" : words);
  }

  private void say(String now) {
    if (!now.equals(status)) {
      status = now;
      host.status(now);
    }
  }

  private static String words(byte[] bytes) {
    return "\"%s\"".formatted(Bytes.written(bytes));
  }
}
