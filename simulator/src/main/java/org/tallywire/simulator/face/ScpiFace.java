package org.tallywire.simulator.face;

import java.time.Instant;
import java.util.ArrayDeque;
import java.util.Deque;
import java.util.Optional;
import java.util.function.Consumer;
import java.util.regex.Pattern;
import org.jspecify.annotations.Nullable;
import org.tallywire.simulator.face.ScpiError.Fault;
import org.tallywire.simulator.tester.Measurement;

/**
 * A bench meter that speaks IEEE 488.2-1992 and SCPI-1999 over a line: no clock, no time in a
 * reading, answers to queries only. The standards are followed from memory.
 *
 * <p><b>Of the standards:</b> program and response messages end with LF; the common commands; the
 * error queue of {@value ScpiStatus#MOST_ERRORS}; the status registers; SYSTem, STATus, FORMat
 * (ASCii only), {@code UNIT:ANGLe} (DEG only), INITiate, ABORt, FETCh, READ, MEASure, CONFigure,
 * {@code SENSe:DATA?}, TRACe; 9.9E37 for over-range and 9.91E37 for every other value that is none.
 * {@code SYSTem:HELP:HEADers?} lists all headers.
 *
 * <p><b>This meter's own:</b>
 *
 * <ul>
 *   <li>A reading, the answer of {@code FETCh?}, {@code READ?} and {@code [SENSe:]DATA?} unless a
 *       function is configured, has eight elements: its number (NR1, from 1 at power-up), turns
 *       ratio, excitation current in A, phase displacement in degrees, test voltage in V, winding
 *       resistance in ohm, test current in A, winding temperature in degrees Celsius (NR3). {@code
 *       [SENSe:]DATA:ELEMents?} and {@code DATA:UNITs?} name them.
 *   <li>{@code [SENSe:]DATA:READing? <number>} answers a stored reading again.
 *   <li>{@code [SENSe:]DATA:LABel? [<number>]} answers number, test, windings, phase, tap and
 *       status of a stored reading, else of the newest; numbers as NR1, words as strings; 9.91E37
 *       where there is no tap. {@code READ?;:DATA:LAB?} has both in one answer.
 *   <li>{@code TRACe:BLOCk? READings} answers a block with a line a stored reading: labels, then
 *       values, as in the two above, the number once; each line ends with LF. {@code TRACe? READ}
 *       answers the elements of all in one list. {@value ScpiMeter#CAPACITY} are kept.
 *   <li>The functions {@code TRATio} and {@code ALL}, see {@link ScpiFunction}.
 *   <li>Winding resistance is always four-wire, so there is no {@code RESistance}.
 *   <li>It measures as the person at the bench goes on and keeps every reading. {@code INITiate}
 *       only waits for the next in which the configured function was measured; ten minutes without
 *       one are error -365, and the query that waited has no answer.
 *   <li>After a command error (-1xx) the rest of the message is dropped.
 *   <li>A message that comes while a query waits ends it with -410 and is carried out, because a
 *       line has no device clear. While only {@code *WAI} waits, messages are kept.
 * </ul>
 */
public final class ScpiFace implements InstrumentFace {

  /** Messages that wait at most. */
  private static final int MOST_WAITING = 16;

  /** Answers that have not gone out at most. */
  private static final int MOST_ANSWERS = 64;

  /** A field of {@code *IDN?}: 7-bit without comma and semicolon (IEEE 488.2, 10.14). */
  private static final Pattern FIELD = Pattern.compile("[ -+\\--:<-~]+");

  private final Consumer<String> remark;
  private final ScpiStatus status = new ScpiStatus();
  private final ScpiMeter meter = new ScpiMeter(status);
  private final ScpiReadings readings = new ScpiReadings(meter);
  private final ScpiTree tree = new ScpiTree();
  private final ScpiInput input = new ScpiInput();
  private final Deque<ScpiMessage> inbox = new ArrayDeque<>();
  private final Deque<Outgoing> outbox = new ArrayDeque<>();

  private @Nullable ScpiMessage message;
  private ScpiAnswer.@Nullable Later waiting;
  private StringBuilder answer = new StringBuilder();
  private long seq;

  /**
   * A meter that has not been switched on yet.
   *
   * @param serial printable ASCII without comma and semicolon, as the next
   * @param remark takes sentences for people
   */
  public ScpiFace(String serial, String firmware, Consumer<String> remark) {
    for (String field : new String[] {serial, firmware}) {
      if (!FIELD.matcher(field).matches()) {
        throw new IllegalArgumentException("not a field of *IDN?: " + field);
      }
    }
    this.remark = remark;
    String identity = String.join(",", "Tallywire", "pretend meter", serial, firmware);
    new ScpiBasics(status, meter).addTo(tree, identity, this::messageAvailable);
    readings.addTo(tree);
  }

  @Override
  public void powerUp(long now) {
    status.powerOn();
  }

  @Override
  public void received(byte[] bytes, int length, long now) {
    meter.time(now);
    work();
    for (int i = 0; i < length; i++) {
      input.take(bytes[i]).ifPresent(this::take);
    }
  }

  private void take(ScpiInput.Arrived arrived) {
    ScpiMessage next = new ScpiMessage(arrived.text());
    if (arrived.overrun() || inbox.size() == MOST_WAITING) {
      report(ScpiError.INPUT_OVERRUN);
      return;
    }
    if (next.over()) {
      return;
    }
    if (message != null && message.asks()) {
      report(ScpiError.INTERRUPTED);
      endMessage();
    }
    inbox.add(next);
    work();
  }

  /** Carries out messages until one has to wait. */
  private void work() {
    while (true) {
      if (message == null) {
        message = inbox.poll();
      }
      if (message == null || !carryOut(message)) {
        return;
      }
      if (!answer.isEmpty()) {
        outbox.add(new Outgoing(answer.append('\n').toString(), seq));
      }
      if (outbox.size() > MOST_ANSWERS) {
        outbox.clear();
        report(ScpiError.DEADLOCKED);
      }
      endMessage();
    }
  }

  private void endMessage() {
    message = null;
    waiting = null;
    answer = new StringBuilder();
    seq = 0;
  }

  /** Returns whether nothing of the message is left to be done. */
  private boolean carryOut(ScpiMessage units) {
    while (waiting != null || !units.over()) {
      try {
        ScpiAnswer outcome = waiting != null ? waiting : tree.run(units.next());
        if (outcome instanceof ScpiAnswer.Later later) {
          waiting = later;
          Optional<ScpiAnswer> now = later.poll().now();
          if (now.isEmpty()) {
            return false;
          }
          outcome = now.get();
        }
        waiting = null;
        say(outcome);
      } catch (Fault fault) {
        waiting = null;
        report(fault.error());
        if (fault.error().endsMessage()) {
          units.end();
        }
      }
    }
    return true;
  }

  private void say(ScpiAnswer outcome) {
    if (outcome instanceof ScpiAnswer.Said said) {
      answer.append(answer.isEmpty() ? "" : ";").append(said.text());
      seq = Math.max(seq, said.seq());
    }
  }

  private boolean messageAvailable() {
    return !answer.isEmpty() || !outbox.isEmpty();
  }

  private void report(ScpiError error) {
    status.report(error);
    remark.accept("error " + error.response());
  }

  /** What was said half and what was not answered yet is gone; the meter itself stays as it is. */
  @Override
  public void linkLost() {
    input.forget();
    inbox.clear();
    outbox.clear();
    endMessage();
  }

  @Override
  public void measured(Measurement measurement, Instant at, long now) {
    meter.time(now);
    work();
    meter.measured(measurement);
    work();
  }

  @Override
  public boolean asked() {
    return readings.asked();
  }

  @Override
  public Optional<Outgoing> next(long now) {
    meter.time(now);
    work();
    return Optional.ofNullable(outbox.poll());
  }

  @Override
  public long untilNext(long now) {
    meter.time(now);
    return outbox.isEmpty() ? meter.untilGivenUp() : 0;
  }
}
