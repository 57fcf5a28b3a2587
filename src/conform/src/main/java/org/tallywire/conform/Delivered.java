package org.tallywire.conform;

import java.util.HashMap;
import java.util.Map;
import java.util.Optional;
import java.util.TreeMap;
import org.tallywire.line.LineMessage;

/**
 * Follows the readings of one boot id: their order, the credit, what comes again and how. What is
 * wrong is noted. Used by one thread.
 */
final class Delivered {

  private static final String WHEN = "readings come only when asked for";
  private static final String BEGIN = "every answer to >send is kept to";
  private static final String ORDER = "readings come in order, one up";
  private static final String CREDIT = "never more readings under way than granted";
  private static final String REPEATS = "repeats are the same, with resent=1";
  private static final String KEPT = "nothing unacknowledged is forgotten";
  private static final String OVERFLOW = "what the full store dropped is declared";

  private final Notes notes;
  private final long store;
  private final Map<Long, Map<String, String>> contents = new HashMap<>();

  /** Begin and end of what was sent since the last {@code <ok} and is not acknowledged. */
  private final TreeMap<Long, Long> underWay = new TreeMap<>();

  private State state = State.SILENT;
  private long request = -1;
  private long after;
  private long credit;
  private long acknowledged = -1;
  private long ackedAt;
  private long begin = -1;
  private long expected = -1;
  private long last;
  private long lastHeard;
  private boolean lost;
  private long quietSince;

  private enum State {
    /** No reading may come: none was asked for since the hello. */
    SILENT,
    /** {@code >send} was said and is not answered; what comes is of before. */
    ASKED_ANEW,
    /** The same, and before it none was to come. */
    ASKED,
    SENDING
  }

  /**
   * Follows a boot id from its first hello.
   *
   * @param store how many readings the instrument holds
   */
  Delivered(Notes notes, long store) {
    this.notes = notes;
    this.store = store;
  }

  /** A hello was answered: what was asked for before is over. */
  void greeted() {
    state = State.SILENT;
    request = -1;
    underWay.clear();
  }

  /** We say {@code >send}. */
  void asked(LineMessage send) {
    if (send.request().orElse(-1) == request) {
      return; // the same again changes nothing (L-16d)
    }
    request = send.request().orElse(-1);
    after = whole(send, "after");
    credit = whole(send, "credit");
    state = state == State.SILENT || state == State.ASKED ? State.ASKED : State.ASKED_ANEW;
  }

  /** We say a right {@code >ack}. */
  void acknowledged(LineMessage ack, long at) {
    acknowledged = Math.max(acknowledged, whole(ack, "seq"));
    credit = whole(ack, "credit");
    ackedAt = at;
    quietSince = at;
    underWay.headMap(acknowledged, true).values().removeIf(end -> end <= acknowledged);
  }

  /** An answer to {@code >send}. */
  void ok(LineMessage ok, String text, long at) {
    if (ok.request().orElse(-2) != request || state == State.SENDING) {
      return;
    }
    state = State.SENDING;
    underWay.clear();
    quietSince = at;
    last = Math.max(last, whole(ok, "last"));
    begin = whole(ok, "first");
    expected = begin;
    if (begin <= 0) {
      return; // of version 1.0, or wrong and noted elsewhere
    }
    notes.held(BEGIN, "L-19b");
    long earliest = Math.max(after, acknowledged) + 1;
    if (begin > earliest && acknowledged >= 0) {
      forgot(earliest, text);
    }
    if (begin <= after && !lost) {
      notes.broken(
          BEGIN, "L-19b", "first is not beyond after=%d, as asked: %s".formatted(after, text));
    }
    if (begin > after + 1 || after == 0) {
      acknowledged = Math.max(acknowledged, begin - 1); // what was before is gone
    }
  }

  /** A reading or a loss; returns nothing, notes what is wrong. */
  void came(LineMessage line, String text, long at) {
    boolean isLoss = line.kind().equals("lost");
    long from = whole(line, isLoss ? "from" : "seq");
    long to = isLoss ? whole(line, "to") : from;
    if (from <= 0 || to < from) {
      return; // noted elsewhere
    }
    lost |= isLoss;
    last = Math.max(last, to);
    if (isLoss) {
      notes.held(OVERFLOW, "L-26a", "L-26b");
    } else {
      content(from, line, text);
    }
    lastHeard = Math.max(lastHeard, to);
    switch (state) {
      case SILENT ->
          notes.broken(
              WHEN,
              "L-18",
              "after a hello and before >send came " + text + "; it has to wait to be asked");
      case ASKED ->
          notes.broken(
              BEGIN, "L-19b", "before the answer to >send came a reading already: " + text);
      case ASKED_ANEW -> {}
      case SENDING -> inTurn(from, to, text, at);
    }
  }

  /** Returns the last number that the instrument has told of. */
  long last() {
    return last;
  }

  void toldLast(long number) {
    last = Math.max(last, number);
  }

  /** Returns how many readings are under way by what was heard. */
  int underWay() {
    return underWay.size();
  }

  /** Returns up to which number nothing is to come again; -1 if that was not seen. */
  long acknowledged() {
    return acknowledged;
  }

  boolean hasLost() {
    return lost;
  }

  /** Returns when the last new reading or acknowledgement was. */
  long quietSince() {
    return quietSince;
  }

  private void inTurn(long from, long to, String text, long at) {
    notes.held(WHEN, "L-18");
    if (to <= acknowledged && at - ackedAt < 1_000_000_000L) {
      return; // it crossed our acknowledgement
    }
    quietSince = at;
    if (expected > 0 && from != expected && !isRepeatFromOldest(from)) {
      outOfOrder(from, text);
    } else {
      notes.held(ORDER, "L-20a");
    }
    if (isRepeatFromOldest(from)) {
      underWay.clear();
    }
    underWay.put(from, to);
    expected = to + 1;
    if (underWay.size() > credit) {
      notes.broken(
          CREDIT,
          "L-19a",
          "%d readings are under way unacknowledged, the credit is %d: %s"
              .formatted(underWay.size(), credit, text));
    } else {
      notes.held(CREDIT, "L-19a");
    }
  }

  private boolean isRepeatFromOldest(long from) {
    return !underWay.isEmpty() && underWay.firstKey() == from;
  }

  private void outOfOrder(long from, String text) {
    if (from <= acknowledged && acknowledged >= begin) {
      notes.broken(
          REPEATS, "L-23a", "it came again although it was acknowledged: %s".formatted(text));
    } else if (underWay.isEmpty() && expected == begin) {
      notes.broken(
          BEGIN,
          "L-19b",
          "<ok said first=%d, and it began with %d: %s".formatted(begin, from, text));
    } else if (from > expected) {
      notes.broken(
          ORDER,
          "L-20a",
          "after %d came %d, with no !lost for those between: %s"
              .formatted(expected - 1, from, text));
    } else {
      notes.broken(
          ORDER,
          "L-20a",
          "after %d came %d, which is neither the next one nor the oldest unacknowledged: %s"
              .formatted(expected - 1, from, text));
    }
  }

  /** L-24c: what came before under this number must come again as it was. */
  private void content(long number, LineMessage line, String text) {
    Map<String, String> fields = new HashMap<>(line.fields());
    Optional<String> resent = Optional.ofNullable(fields.remove("resent"));
    Map<String, String> before = contents.putIfAbsent(number, fields);
    if (before == null) {
      return;
    }
    notes.held(REPEATS, "L-24c");
    if (resent.isEmpty()) {
      notes.broken(REPEATS, "L-24c", "it came again without resent=1: %s".formatted(text));
    }
    if (!before.equals(fields)) {
      notes.broken(
          REPEATS,
          "L-24c",
          "number %d came again with other content (%s): %s"
              .formatted(number, difference(before, fields), text));
    }
  }

  private static String difference(Map<String, String> before, Map<String, String> now) {
    for (Map.Entry<String, String> field : before.entrySet()) {
      if (!field.getValue().equals(now.get(field.getKey()))) {
        return "%s was %s".formatted(field.getKey(), field.getValue());
      }
    }
    return "it has more fields than before";
  }

  private void forgot(long earliest, String text) {
    boolean full = last - acknowledged > store;
    notes.broken(
        full ? OVERFLOW : KEPT,
        full ? "L-26a" : "L-24a",
        full
            ? "its store was full; it dropped %d to %d and sent no !lost for them: %s"
                .formatted(earliest, begin - 1, text)
            : "it no longer has %d to %d, which were never acknowledged: %s"
                .formatted(earliest, begin - 1, text));
  }

  private static long whole(LineMessage line, String key) {
    String value = line.fields().getOrDefault(key, "");
    return HeardFields.isWhole(value, 0, Long.MAX_VALUE) ? Long.parseLong(value) : -1;
  }
}
