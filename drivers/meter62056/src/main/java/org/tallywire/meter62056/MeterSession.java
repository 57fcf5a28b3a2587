package org.tallywire.meter62056;

import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.Optional;
import org.tallywire.api.ClockQuality;
import org.tallywire.api.Command;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Frame;
import org.tallywire.api.FrameException;
import org.tallywire.api.Instrument;
import org.tallywire.api.LinkException;
import org.tallywire.api.Reading;
import org.tallywire.api.Session;
import org.tallywire.api.SessionHost;

/**
 * One conversation: readout after readout. Signs on at the slow speed, takes the identification,
 * agrees to its speed where the meter waits for that (mode C), and makes one reading of the data
 * message. A damaged message is asked for again by NAK in mode C, and by a new sign-on otherwise.
 *
 * <p>The line is half-duplex: nothing is sent before the meter's reaction time has passed. The
 * speed changes once the agreement has gone out. What an optical head echoes is passed over.
 */
final class MeterSession implements Session {

  private static final char ACK = 0x06;
  private static final char NAK = 0x15;

  /** The longest time between a message and the answer to it. */
  private static final Duration LATEST = Duration.ofMillis(1_500);

  /** So long nothing may be said before a meter takes a new sign-on. */
  private static final Duration QUIET = Duration.ofMillis(1_600);

  private static final int LONGEST_IDENTIFICATION = 40;
  private static final int SIGN_ONS = 3;
  private static final int REPEATS = 3;
  private static final int NO_CONTROL_LENGTH = 6;

  private final SessionHost host;
  private final MeterSettings settings;
  private Phase phase = Phase.RESTING;
  private Optional<Identification> meter = Optional.empty();
  private Optional<Instrument> known = Optional.empty();
  private String sent = "";
  private int repeats;
  private int failures;
  private long begun;
  private long next;

  private enum Phase {
    /** Until the next readout is due. */
    RESTING,
    /** Waiting for the identification. */
    SIGNED_ON,
    /** Until the reaction time has passed; then the agreement goes out. */
    TO_AGREE,
    /** Until the agreement has gone out; then the speed changes. */
    AGREED,
    /** Waiting for the data message. */
    READING,
    /** Until the reaction time has passed; then NAK goes out. */
    TO_REPEAT
  }

  MeterSession(SessionHost host, MeterSettings settings) {
    this.host = host;
    this.settings = settings;
  }

  @Override
  public void start() throws LinkException {
    signOn();
  }

  private void signOn() throws LinkException {
    host.speed(settings.signOnBaud());
    begun = host.time().nanos();
    repeats = 0;
    send("/?%s!\r\n".formatted(settings.address()), "sign-on: who is there");
    wait(Phase.SIGNED_ON, LATEST.plus(host.lineTime(sent.length() + LONGEST_IDENTIFICATION)));
  }

  /** All that is ever said only makes the meter tell what it holds. */
  private void send(String message, String words) throws LinkException {
    sent = message;
    host.send(
        new Command(message.getBytes(StandardCharsets.US_ASCII), Command.Effect.QUERY, words));
  }

  private void wait(Phase other, Duration duration) {
    phase = other;
    next = host.time().nanos() + duration.toNanos();
  }

  @Override
  public void frame(Frame frame) throws FrameException, LinkException {
    String text = frame.text();
    if (text.charAt(0) == MeterFramer.STX) {
      message(frame);
    } else if (!sent.isEmpty() && text.equals(sent.strip())) {
      sent = ""; // an echo
    } else if (text.charAt(0) == '/') {
      identification(frame);
    } else {
      throw outOfOrder(frame);
    }
  }

  private static FrameException outOfOrder(Frame frame) {
    return new FrameException(
        FaultCode.OUT_OF_ORDER,
        "it is not its turn: another reader on this line, or a late answer",
        frame.bytes());
  }

  private void identification(Frame frame) throws FrameException, LinkException {
    if (phase != Phase.SIGNED_ON) {
      throw outOfOrder(frame);
    }
    Identification found = Identification.of(frame);
    meter = Optional.of(found);
    switch (found.mode()) {
      case A -> wait(Phase.READING, settings.readout());
      case B -> {
        host.speed(found.baud(settings.signOnBaud(), settings.letterA()));
        wait(Phase.READING, settings.readout());
      }
      case C -> wait(Phase.TO_AGREE, Duration.ofMillis(found.reactionMillis()));
    }
  }

  private void message(Frame frame) throws FrameException, LinkException {
    boolean due = phase == Phase.READING || phase == Phase.TO_AGREE || phase == Phase.AGREED;
    if (!due || meter.isEmpty()) {
      throw outOfOrder(frame);
    }
    if (!BlockCheck.fits(frame.bytes())) {
      askAgain(meter.get());
      throw new FrameException(
          FaultCode.FRAME_CHECK,
          "a data message of %d bytes whose check character does not fit"
              .formatted(frame.bytes().length),
          frame.bytes());
    }
    long pause = settings.every().toNanos() - (host.time().nanos() - begun);
    wait(Phase.RESTING, Duration.ofNanos(Math.max(QUIET.toNanos(), pause)));
    give(frame, meter.get());
  }

  private void askAgain(Identification from) {
    if (from.mode() == Identification.Mode.C && repeats++ < REPEATS) {
      wait(Phase.TO_REPEAT, Duration.ofMillis(from.reactionMillis()));
    } else {
      wait(Phase.RESTING, QUIET);
    }
  }

  private void give(Frame frame, Identification from) throws FrameException {
    Readout readout = Readout.of(frame.bytes(), settings.registers());
    failures = 0;
    Instrument who = new Instrument(from.maker(), from.model(), serial(readout), "");
    if (!known.equals(Optional.of(who))) {
      host.identified(who);
      known = Optional.of(who);
    }
    if (!readout.withoutUnit().isEmpty()) {
      host.status(
          "left out, because neither the meter nor the setting \"registers\" says a unit: "
              + readout.withoutUnit());
    }
    host.reading(
        new Reading(
            who,
            Optional.empty(), // meters do not number their readouts
            0,
            readout.labels(),
            readout.values(),
            Reading.Status.OK,
            Optional.empty(),
            ClockQuality.NONE,
            frame.receivedAt(),
            frame.text()));
  }

  private String serial(Readout readout) {
    return readout.serial().isEmpty() ? settings.address() : readout.serial();
  }

  /** There is nothing to acknowledge. */
  @Override
  public void durable() {}

  @Override
  public void tick() throws LinkException {
    if (host.time().nanos() - next < 0) {
      return;
    }
    switch (phase) {
      case RESTING -> signOn();
      case TO_AGREE -> agree(meter.orElseThrow());
      case AGREED -> {
        Identification from = meter.orElseThrow();
        host.speed(
            settings.changing()
                ? from.baud(settings.signOnBaud(), settings.letterA())
                : settings.signOnBaud());
        wait(Phase.READING, settings.readout());
      }
      case TO_REPEAT -> {
        send(String.valueOf(NAK), "the data message again");
        wait(Phase.READING, settings.readout());
      }
      case SIGNED_ON, READING -> silent();
    }
  }

  private void agree(Identification from) throws LinkException {
    send("%c0%c0\r\n".formatted(ACK, from.agreed(settings.changing())), "read out, at that speed");
    wait(Phase.AGREED, host.lineTime(NO_CONTROL_LENGTH));
  }

  private void silent() throws LinkException {
    if (++failures == SIGN_ONS) {
      throw new LinkException(
          FaultCode.LINK_SILENT,
          phase == Phase.SIGNED_ON
              ? "no identification after %d sign-ons at %d baud"
                  .formatted(SIGN_ONS, settings.signOnBaud())
              : "no data message after %d sign-ons, each identified".formatted(SIGN_ONS));
    }
    wait(Phase.RESTING, QUIET);
  }

  @Override
  public long nextTick() {
    return next;
  }
}
