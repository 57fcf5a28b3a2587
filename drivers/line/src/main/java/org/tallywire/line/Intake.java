package org.tallywire.line;

import org.tallywire.api.FaultCode;
import org.tallywire.api.Frame;
import org.tallywire.api.FrameException;
import org.tallywire.api.Gap;
import org.tallywire.api.Instrument;
import org.tallywire.api.LinkException;
import org.tallywire.api.SequenceNumber;
import org.tallywire.api.SessionHost;

/**
 * Asks for readings and takes them in the order of their numbers; what is missing is asked for
 * again and then declared (rules L-19 and L-23 to L-27).
 */
final class Intake {

  private static final int TIMES = 5;
  private static final int BEATS = 4;
  private static final String EVIDENCE = "intake: last unreadable line";

  private final SessionHost host;
  private final Requests requests;
  private final Outgoing outgoing;
  private final Channels channels;
  private final FormerLife formerLife;

  private Instrument instrument = Instrument.UNNAMED;
  private String boot = "";
  private int credit;
  private boolean receiving;

  /** The number of the next reading; of a {@code >send}, one more than its {@code after}. */
  private long next = 1;

  private long asked = 1;

  /** The number before which we asked once more, and how often. */
  private long askedAgainAt;

  private int timesAsked;

  /** How many beats in a row told of a reading that did not come; how often we asked for it. */
  private int beatsAhead;

  private int timesInVain;

  private boolean owesAcknowledgement;

  Intake(SessionHost host, Requests requests, Outgoing outgoing, Channels channels) {
    this.host = host;
    this.requests = requests;
    this.outgoing = outgoing;
    this.channels = channels;
    this.formerLife = new FormerLife(host);
  }

  /** Takes nothing more until it begins anew. */
  void stop() {
    boot = "";
    receiving = false;
    owesAcknowledgement = false;
  }

  /** Begins to ask, after the last reading that is on disk. */
  void begin(Hello hello) throws LinkException {
    instrument = hello.instrument();
    boot = hello.boot();
    formerLife.startedAgain(instrument, boot).ifPresent(host::restarted);
    formerLife.lost(instrument, boot, host.time().now()).ifPresent(host::gap);
    credit = Credit.of(host);
    next = host.lastRecorded(instrument, boot).orElse(0) + 1;
    askedAgainAt = 0;
    beatsAhead = 0;
    timesInVain = 0;
    formerLife.know(instrument, boot, next - 1, next - 1);
    ask();
  }

  /** Returns how many readings may be on their way. */
  int underWay() {
    return receiving ? credit : 0;
  }

  /**
   * Takes the answer to {@code >send}.
   *
   * @param said whether it must say where the instrument begins: version 1.0 does not
   */
  void ok(Frame frame, LineMessage line, boolean said) throws FrameException, LinkException {
    if (said) {
      long last = line.whole(frame, "last", 0, Long.MAX_VALUE);
      long first = line.whole(frame, "first", 1, Long.MAX_VALUE);
      if (last < asked - 1) {
        throw denial("the last number it gave is " + last);
      }
      if (first > last + 1) {
        throw LineMessage.syntax(
            frame, "first=%d is beyond the next number after last=%d".formatted(first, last));
      }
      if (first > next) {
        String detail = "the instrument no longer has them, it begins with " + first;
        declare(frame, next, first - 1, Gap.Reason.SKIPPED, detail, ""); // L-19d
        next = first;
      }
      formerLife.know(instrument, boot, next - 1, last);
    }
    receiving = true;
  }

  /** Takes the last number that a beat states, and asks again if nothing comes of it (L-27e). */
  void beat(long last) throws LinkException {
    if (boot.isEmpty()) {
      return; // the session is still being opened
    }
    formerLife.know(instrument, boot, next - 1, last);
    beatsAhead = receiving && last >= next ? beatsAhead + 1 : 0;
    if (beatsAhead < BEATS || requests.isOpen()) {
      return;
    }
    if (timesInVain == TIMES) {
      throw new LinkException(
          FaultCode.LINK_SILENT,
          "the instrument says that it has given reading %d, was asked %d times for those after %d,"
                  .formatted(last, TIMES, next - 1)
              + " and sends none");
    }
    timesInVain++;
    beatsAhead = 0;
    ask();
  }

  /** Tells whether the open {@code >send} names a reading, which an error 202 then denies. */
  boolean namesOne() {
    return requests.waitsFor("send") && asked > 1;
  }

  /** Returns the end of a session whose instrument does not know the readings we have of it. */
  LinkException denial(String words) {
    return new LinkException(
        FaultCode.LINK_REFUSED,
        ("the instrument denies reading %d of boot id %s, which was received from it (%s): its boot"
                + " id came again after its counter was lost, or it is not the instrument of this"
                + " serial number; no reading is taken from it")
            .formatted(asked - 1, boot, words));
  }

  void reading(Frame frame, LineMessage line) throws FrameException, LinkException {
    long number = line.whole(frame, "seq", 1, Long.MAX_VALUE);
    moves();
    if (!inStep(frame, number)) {
      return;
    }
    SequenceNumber sequence = new SequenceNumber(boot, number);
    try {
      host.reading(ReadingLine.read(frame, line, instrument, sequence, channels));
    } catch (FrameException e) {
      unreadable(frame, number, e);
      taken(number);
      throw e;
    }
    taken(number);
  }

  void lost(Frame frame, LineMessage line) throws FrameException, LinkException {
    Digest.checkPlace(frame, line);
    long from = line.whole(frame, "from", 1, Long.MAX_VALUE);
    long to = line.whole(frame, "to", from, Long.MAX_VALUE);
    moves();
    if (!inStep(frame, from)) {
      return;
    }
    if (to >= next) { // it may have grown since it was taken: L-26c
      String detail = "the instrument's store was full";
      declare(frame, next, to, Gap.Reason.OVERFLOW, detail, "");
    }
    taken(to);
  }

  /** Takes note that readings come, of use or not. */
  private void moves() {
    beatsAhead = 0;
    timesInVain = 0;
  }

  /** Takes note that everything up to a number has been taken or declared. */
  private void taken(long number) {
    next = Math.max(next, number + 1);
    owesAcknowledgement = true;
    formerLife.know(instrument, boot, next - 1, number);
  }

  /** Acknowledges all that was taken, now that it is on disk (L-23). */
  void durable() throws LinkException {
    if (!owesAcknowledgement) {
      return;
    }
    owesAcknowledgement = false;
    String last = Long.toString(next - 1);
    outgoing.send(
        new LineMessage(
            '>',
            "ack",
            LineMessage.fieldsOf("boot", boot, "seq", last, "credit", Integer.toString(credit))),
        "acknowledge reading " + last);
  }

  /**
   * Declares a reading that came undamaged and would come the same again (L-27d). If something was
   * taken under its number before, that stays (L-25b).
   */
  private void unreadable(Frame frame, long number, FrameException fault) {
    String said = LineMessage.body(frame).replace(" resent=1", "");
    if (said.equals(host.notes().put(EVIDENCE, said))) {
      return; // it came again, unreadable as before
    }
    Gap.Reason reason = number < next ? Gap.Reason.CONFLICT : Gap.Reason.UNREADABLE;
    declare(frame, number, number, reason, String.valueOf(fault.getMessage()), frame.text());
  }

  /**
   * Tells whether a number may be taken now. If numbers before it are missing, they are asked for
   * again, five times at most; if they do not come then either, the gap is declared (L-27).
   */
  private boolean inStep(Frame frame, long number) throws FrameException, LinkException {
    if (!receiving && !requests.waitsFor("send")) {
      throw new FrameException(
          FaultCode.OUT_OF_ORDER, "a reading came before any was asked for", frame.bytes());
    }
    if (number <= next) {
      return true;
    }
    if (askedAgainAt != next) {
      askedAgainAt = next;
      timesAsked = 0;
    } else if (requests.waitsFor("send")) {
      return false; // still on its way from before we asked
    }
    if (timesAsked < TIMES) {
      timesAsked++;
      ask();
      return false;
    }
    String detail =
        "asked for them %d times, the instrument went on with %d".formatted(timesAsked, number);
    declare(frame, next, number - 1, Gap.Reason.SKIPPED, detail, "");
    next = number;
    return true;
  }

  private void ask() throws LinkException {
    asked = next;
    requests.ask(
        "send",
        LineMessage.fieldsOf(
            "boot", boot, "after", Long.toString(asked - 1), "credit", Integer.toString(credit)),
        underWay());
  }

  private void declare(Frame frame, long from, long to, Gap.Reason reason, String why, String raw) {
    String what = reason == Gap.Reason.CONFLICT ? "came again with other content" : "are missing";
    host.gap(
        new Gap(
            instrument,
            new SequenceNumber(boot, from),
            to,
            reason,
            "readings %d to %d %s: %s".formatted(from, to, what, why),
            raw,
            frame.receivedAt()));
  }
}
