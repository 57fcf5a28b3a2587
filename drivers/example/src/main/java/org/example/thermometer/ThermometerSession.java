package org.example.thermometer;

import java.math.BigDecimal;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.tallywire.api.ClockQuality;
import org.tallywire.api.Command;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Frame;
import org.tallywire.api.FrameException;
import org.tallywire.api.Instrument;
import org.tallywire.api.LinkException;
import org.tallywire.api.Quantity;
import org.tallywire.api.Reading;
import org.tallywire.api.Session;
import org.tallywire.api.SessionHost;
import org.tallywire.api.Unit;
import org.tallywire.api.Value;

/** One conversation: asks who is there, then for a temperature again and again. */
final class ThermometerSession implements Session {

  private static final Pattern IDENTITY = Pattern.compile("THERMO (TH-[0-9]),([0-9]{4})");
  private static final Pattern TEMPERATURE = Pattern.compile("([+-][0-9]{1,3}\\.[0-9]{2}|-{6}) C");
  private static final Duration ANSWER = Duration.ofMillis(500);
  private static final int TRIES = 3;

  private final SessionHost host;
  private final Duration interval;
  private Optional<Instrument> instrument = Optional.empty();
  private boolean waiting;
  private int unanswered;
  private long next;

  ThermometerSession(SessionHost host, Duration interval) {
    this.host = host;
    this.interval = interval;
  }

  @Override
  public void start() throws LinkException {
    ask();
  }

  /** Both commands only tell something; neither puts a voltage on a terminal. */
  private void ask() throws LinkException {
    String question = instrument.isEmpty() ? "I?\r\n" : "T?\r\n";
    host.send(
        new Command(
            question.getBytes(StandardCharsets.US_ASCII),
            Command.Effect.QUERY,
            instrument.isEmpty() ? "who is there" : "the temperature"));
    waiting = true;
    next = host.time().nanos() + ANSWER.toNanos();
  }

  @Override
  public void frame(Frame frame) throws FrameException, LinkException {
    if (!waiting) {
      throw new FrameException(
          FaultCode.OUT_OF_ORDER, "an answer without a question", frame.bytes());
    }
    if (instrument.isEmpty()) {
      identify(frame);
    } else {
      read(frame, instrument.get());
    }
  }

  private void identify(Frame frame) throws FrameException, LinkException {
    Matcher answer = IDENTITY.matcher(frame.text());
    if (!answer.matches()) {
      throw new FrameException(
          FaultCode.FRAME_SYNTAX, "to I? it says \"THERMO TH-1,0042\"", frame.bytes());
    }
    Instrument who = new Instrument("Example", answer.group(1), answer.group(2), "");
    instrument = Optional.of(who);
    host.identified(who);
    unanswered = 0;
    ask();
  }

  private void read(Frame frame, Instrument who) throws FrameException {
    Matcher answer = TEMPERATURE.matcher(frame.text());
    if (!answer.matches()) {
      throw new FrameException(
          FaultCode.FRAME_SYNTAX, "to T? it says a temperature, as \"+23.40 C\"", frame.bytes());
    }
    waiting = false;
    unanswered = 0;
    next = host.time().nanos() + interval.toNanos();
    host.reading(
        new Reading(
            who,
            Optional.empty(), // it does not number its readings
            0,
            Map.of("test", "winding-temperature"),
            List.of(value(answer.group(1))),
            Reading.Status.OK,
            Optional.empty(), // nor does it know the time
            ClockQuality.NONE,
            frame.receivedAt(),
            frame.text()));
  }

  private static Value value(String text) {
    return text.startsWith("--")
        ? new Value.Missing(Quantity.WINDING_TEMPERATURE, Unit.CELSIUS, Value.Reason.OPEN)
        : new Value.Measured(Quantity.WINDING_TEMPERATURE, new BigDecimal(text), Unit.CELSIUS);
  }

  /** There is nothing to acknowledge: it keeps no readings. */
  @Override
  public void durable() {}

  @Override
  public void tick() throws LinkException {
    if (host.time().nanos() - next < 0) {
      return;
    }
    if (waiting && ++unanswered == TRIES) {
      throw new LinkException(
          FaultCode.LINK_SILENT, "no answer to %d questions".formatted(TRIES));
    }
    ask();
  }

  @Override
  public long nextTick() {
    return next;
  }
}
