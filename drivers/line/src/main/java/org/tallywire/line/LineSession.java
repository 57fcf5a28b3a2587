package org.tallywire.line;

import java.time.Duration;
import java.util.regex.Pattern;
import org.jspecify.annotations.Nullable;
import org.tallywire.api.Command;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Frame;
import org.tallywire.api.FrameException;
import org.tallywire.api.Gap;
import org.tallywire.api.Instrument;
import org.tallywire.api.LinkException;
import org.tallywire.api.SequenceNumber;
import org.tallywire.api.Session;
import org.tallywire.api.SessionHost;

/**
 * The bridge's side of the conversation (sections 3 to 6 of the protocol): hello, channels, send,
 * then readings, acknowledged when they are on disk.
 */
final class LineSession implements Session {

  private static final String VERSION = "1.0";
  private static final Pattern OUR_MAJOR = Pattern.compile("1\\.[0-9]{1,4}");
  private static final String CREDIT = "8";
  private static final int LONGEST_TEXT = 64;
  private static final int QUESTIONS = 5;
  private static final long MOST = 1_000_000_000;

  private final SessionHost host;
  private final Requests requests;
  private final HeartBeat beat;
  private final Channels channels = new Channels();

  private Instrument instrument = Instrument.UNNAMED;
  private @Nullable String boot;
  private boolean receiving;

  /** The number of the next reading, and the number before which we asked for it once more. */
  private long next;

  private long askedAgainAt;
  private int timesAsked;
  private boolean damagedSinceAsked;
  private boolean owesAcknowledgement;

  LineSession(SessionHost host) {
    this.host = host;
    this.requests = new Requests(host);
    this.beat = new HeartBeat(host);
  }

  @Override
  public void start() throws LinkException {
    greet();
  }

  @Override
  public void frame(Frame frame) throws FrameException, LinkException {
    LineMessage line = LineMessage.parse(frame);
    if (line.mark() == '>') {
      return; // our own line, echoed
    }
    beat.heard();
    switch (line.mark() + line.kind()) {
      case "<hello" -> hello(frame, line);
      case "<channel" -> channel(frame, line);
      case "<ok" -> ok(line);
      case "<error" -> error(frame, line);
      case "!start" -> greet();
      case "!reading" -> reading(frame, line);
      case "!lost" -> lost(frame, line);
      case "!beat" -> sameBoot(line.text(frame, "boot"));
      default -> {
        // L-12: kinds of a later minor version are ignored
      }
    }
  }

  @Override
  public void damaged(FrameException fault) {
    damagedSinceAsked = true;
  }

  @Override
  public void durable() throws LinkException {
    if (!owesAcknowledgement || boot == null) {
      return;
    }
    owesAcknowledgement = false;
    send(
        new LineMessage(
            '>',
            "ack",
            LineMessage.fieldsOf("boot", boot, "seq", Long.toString(next - 1), "credit", CREDIT)),
        "acknowledge reading " + (next - 1));
  }

  @Override
  public void tick() throws LinkException {
    requests.tick();
    if (beat.due()) {
      send(new LineMessage('>', "beat", LineMessage.fieldsOf()), "heart-beat");
      beat.sent();
    }
  }

  @Override
  public long nextTick() {
    return Math.min(requests.nextTick(), beat.nextTick());
  }

  private void greet() throws LinkException {
    boot = null;
    receiving = false;
    owesAcknowledgement = false;
    channels.clear();
    beat.stop();
    host.status("waiting for the instrument to say who it is");
    requests.ask("hello", LineMessage.fieldsOf("version", VERSION), 1);
  }

  private void hello(Frame frame, LineMessage line) throws FrameException, LinkException {
    if (!requests.answers(line, "hello")) {
      return;
    }
    String version = line.text(frame, "version");
    if (!OUR_MAJOR.matcher(version).matches()) {
      throw new FrameException(
          FaultCode.VERSION_REFUSED,
          "the instrument speaks version %s of the line protocol; this driver speaks %s"
              .formatted(version, VERSION),
          frame.bytes());
    }
    Duration interval = Duration.ofMillis(line.whole(frame, "beat", 100, 600_000));
    line.whole(frame, "line", 1, MOST);
    line.whole(frame, "store", 1, MOST);
    instrument =
        new Instrument(
            name(frame, line, "maker"),
            name(frame, line, "model"),
            name(frame, line, "serial"),
            name(frame, line, "firmware"));
    boot = boot(frame, line);
    requests.answeredBy(line, "hello");
    beat.start(interval);
    host.identified(instrument);
    host.status("asking what it measures");
    requests.ask("channels", LineMessage.fieldsOf(), 100);
  }

  private static String name(Frame frame, LineMessage line, String key) throws FrameException {
    String text = line.text(frame, key);
    if (text.length() > LONGEST_TEXT) {
      throw LineMessage.syntax(
          frame, "%s has %d characters, at most %d go".formatted(key, text.length(), LONGEST_TEXT));
    }
    return text;
  }

  private static String boot(Frame frame, LineMessage line) throws FrameException {
    try {
      return new SequenceNumber(line.text(frame, "boot"), 1).epoch();
    } catch (IllegalArgumentException e) {
      throw LineMessage.syntax(frame, String.valueOf(e.getMessage()));
    }
  }

  private void channel(Frame frame, LineMessage line) throws FrameException, LinkException {
    if (!requests.answers(line, "channels")) {
      return;
    }
    if (!channels.take(frame, line)) {
      requests.expect(channels.missing());
    } else {
      requests.answeredBy(line, "channels");
      next = host.lastRecorded(instrument, bootOrThrow()).orElse(0) + 1;
      askedAgainAt = 0;
      askFromNext();
    }
  }

  private void askFromNext() throws LinkException {
    requests.ask(
        "send",
        LineMessage.fieldsOf(
            "boot", bootOrThrow(), "after", Long.toString(next - 1), "credit", CREDIT),
        1);
  }

  private void ok(LineMessage line) {
    if (requests.answeredBy(line, "send")) {
      receiving = true;
      host.status("ready");
    }
  }

  private void error(Frame frame, LineMessage line) throws FrameException, LinkException {
    long code = line.whole(frame, "code", 100, 999);
    if (!requests.concerns(line)) {
      return; // about a request that is settled
    }
    if (code == 302) {
      greet();
      return;
    }
    throw new FrameException(
        code == 301 ? FaultCode.VERSION_REFUSED : FaultCode.INSTRUMENT_ERROR,
        "the instrument answered with error %d: %s".formatted(code, line.text("text").orElse("")),
        frame.bytes());
  }

  private void reading(Frame frame, LineMessage line) throws FrameException, LinkException {
    if (!sameBoot(line.text(frame, "boot"))) {
      return;
    }
    long number = line.whole(frame, "seq", 1, Long.MAX_VALUE);
    if (!inStep(frame, number)) {
      return;
    }
    SequenceNumber sequence = new SequenceNumber(bootOrThrow(), number);
    try {
      host.reading(ReadingLine.read(frame, line, instrument, sequence, channels));
    } catch (FrameException e) {
      unreadable(frame, number, e);
      throw e;
    } finally {
      next = Math.max(next, number + 1);
      owesAcknowledgement = true;
    }
  }

  /** Declares a reading that came undamaged and would come the same again (L-27). */
  private void unreadable(Frame frame, long number, FrameException fault) {
    if (number == next) {
      declare(
          frame,
          number,
          number,
          Gap.Reason.UNREADABLE,
          String.valueOf(fault.getMessage()),
          frame.text());
    }
  }

  private void lost(Frame frame, LineMessage line) throws FrameException, LinkException {
    if (!sameBoot(line.text(frame, "boot"))) {
      return;
    }
    long from = line.whole(frame, "from", 1, Long.MAX_VALUE);
    long to = line.whole(frame, "to", from, Long.MAX_VALUE);
    if (!inStep(frame, from)) {
      return;
    }
    if (to >= next) {
      declare(
          frame,
          Math.max(from, next),
          to,
          Gap.Reason.OVERFLOW,
          "the instrument's store was full",
          "");
      next = to + 1;
    }
    owesAcknowledgement = true;
  }

  /**
   * Tells whether a number may be taken now. If numbers before it are missing, they are asked for
   * again, more than once only while lines arrive damaged; if they do not come then either, the gap
   * is declared (L-27).
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
      askAgain();
      return false;
    }
    if (requests.waitsFor("send")) {
      return false; // still on its way from before we asked
    }
    if (damagedSinceAsked && timesAsked < QUESTIONS) {
      askAgain();
      return false;
    }
    declare(
        frame,
        next,
        number - 1,
        Gap.Reason.SKIPPED,
        "asked for them %d times, the instrument went on with %d".formatted(timesAsked, number),
        "");
    next = number;
    return true;
  }

  private void askAgain() throws LinkException {
    timesAsked++;
    damagedSinceAsked = false;
    askFromNext();
  }

  private void declare(
      Frame frame, long from, long to, Gap.Reason reason, String detail, String raw) {
    host.gap(
        new Gap(
            instrument,
            new SequenceNumber(bootOrThrow(), from),
            to,
            reason,
            "readings %d to %d are missing: %s".formatted(from, to, detail),
            raw,
            frame.receivedAt()));
  }

  /** Begins anew if a line is of another boot than the session (L-15). */
  private boolean sameBoot(String other) throws LinkException {
    if (other.equals(boot)) {
      return true;
    }
    if (!requests.waitsFor("hello")) {
      greet();
    }
    return false;
  }

  private String bootOrThrow() {
    if (boot == null) {
      throw new IllegalStateException("no hello yet");
    }
    return boot;
  }

  private void send(LineMessage message, String words) throws LinkException {
    host.send(new Command(message.bytes(), Command.Effect.QUERY, words));
  }
}
