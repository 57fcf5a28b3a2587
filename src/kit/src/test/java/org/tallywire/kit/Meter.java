package org.tallywire.kit;

import java.math.BigDecimal;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.tallywire.api.ClockQuality;
import org.tallywire.api.Command;
import org.tallywire.api.Driver;
import org.tallywire.api.DriverDescription;
import org.tallywire.api.Example;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Frame;
import org.tallywire.api.FrameException;
import org.tallywire.api.Framer;
import org.tallywire.api.Instrument;
import org.tallywire.api.LinkException;
import org.tallywire.api.Quantity;
import org.tallywire.api.Reading;
import org.tallywire.api.SequenceNumber;
import org.tallywire.api.Session;
import org.tallywire.api.SessionHost;
import org.tallywire.api.TextLines;
import org.tallywire.api.Unit;
import org.tallywire.api.Value;

/**
 * The driver of an invented meter that answers {@code R?} with its count and ohms, {@code 7 1.50};
 * right as it is, and made to be spoilt in one place.
 */
class Meter implements Driver {

  static final Duration ANSWER = Duration.ofMillis(500);
  private static final int TRIES = 3;

  @Override
  public DriverDescription description() {
    return new DriverDescription("meter", "1.0", "an invented meter", 9_600);
  }

  @Override
  public Framer newFramer() {
    return new TextLines(40);
  }

  @Override
  public Session open(SessionHost host) {
    return new Conversation(host);
  }

  @Override
  public List<Example> examples() {
    return List.of(
        example("one", "7 1.50\r\n", "1.50"), example("another", "8 22.750\r\n", "22.750"));
  }

  static Example example(String name, String answer, String ohms) {
    return new Example(
        name,
        List.of(new Example.Turn(bytes("R?\r\n"), bytes(answer))),
        List.of(
            new Example.Expected(
                Map.of("test", "winding-resistance"),
                List.of(
                    new Value.Measured(
                        Quantity.WINDING_RESISTANCE, new BigDecimal(ohms), Unit.OHM)),
                Reading.Status.OK)),
        Optional.empty());
  }

  static byte[] bytes(String text) {
    return text.getBytes(StandardCharsets.ISO_8859_1);
  }

  /** Asks every second, three times before it gives up. */
  static class Conversation implements Session {

    final SessionHost host;
    long next;
    int unanswered;
    boolean known;

    Conversation(SessionHost host) {
      this.host = host;
    }

    @Override
    public void start() throws LinkException {
      ask();
    }

    void ask() throws LinkException {
      host.send(new Command(bytes("R?\r\n"), Command.Effect.QUERY, "the resistance"));
      next = host.time().nanos() + ANSWER.toNanos();
    }

    @Override
    public void frame(Frame frame) throws FrameException, LinkException {
      String[] parts = frame.text().split(" ", -1);
      if (parts.length != 2
          || !parts[0].matches("[0-9]{1,4}")
          || !parts[1].matches("[0-9]{1,4}\\.[0-9]{1,4}")) {
        throw new FrameException(FaultCode.FRAME_SYNTAX, "no reading", frame.bytes());
      }
      if (!known) {
        known = true;
        identify();
      }
      unanswered = 0;
      next = host.time().nanos() + Duration.ofSeconds(1).toNanos();
      host.reading(reading(frame, parts[0], parts[1]));
    }

    void identify() {
      host.identified(new Instrument("Invented", "meter", "1", ""));
    }

    Reading reading(Frame frame, String count, String ohms) throws FrameException {
      return reading(frame, Quantity.WINDING_RESISTANCE, ohms, Unit.OHM, Optional.empty());
    }

    static Reading reading(
        Frame frame, Quantity of, String number, Unit unit, Optional<SequenceNumber> sequence) {
      return new Reading(
          new Instrument("Invented", "meter", "1", ""),
          sequence,
          0,
          Map.of("test", "winding-resistance"),
          List.of(new Value.Measured(of, new BigDecimal(number), unit)),
          Reading.Status.OK,
          Optional.empty(),
          ClockQuality.NONE,
          frame.receivedAt(),
          frame.text());
    }

    @Override
    public void durable() throws LinkException {}

    @Override
    public void tick() throws LinkException {
      if (host.time().nanos() - next >= 0) {
        if (++unanswered > TRIES) {
          throw new LinkException(FaultCode.LINK_SILENT, "no answer");
        }
        ask();
      }
    }

    @Override
    public long nextTick() {
      return next;
    }
  }
}
