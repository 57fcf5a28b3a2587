package org.tallywire.simulator.wire;

import java.io.IOException;
import java.time.Duration;
import java.util.Arrays;
import java.util.Random;
import java.util.function.Consumer;
import java.util.function.Supplier;
import org.tallywire.simulator.scenario.Faults;
import org.tallywire.simulator.scenario.LineFault.BitErrors;
import org.tallywire.simulator.scenario.LineFault.Duplicates;
import org.tallywire.simulator.scenario.LineFault.Freeze;
import org.tallywire.simulator.scenario.LineFault.LineNoise;
import org.tallywire.simulator.scenario.LineFault.LostBytes;

/**
 * A wire with the faults of the line that are planted at the present bench time. Used by one
 * thread.
 *
 * <p>What is sent meets noise, duplication, bit errors and losses, in this order; what is received
 * meets bit errors and losses. The two directions have random numbers of their own, so what is sent
 * fares the same whenever something is received.
 *
 * <p>While the line is frozen, what is written is kept, up to 64 KiB, and goes out afterwards;
 * {@link #attached} stays as it was, as an instrument does not notice that its bytes do not leave.
 * While the cable is out, nobody is attached and what is written is lost, with all that was kept.
 *
 * <p>Freezing and pulling wait until bench time passes. Measuring may begin only when readings are
 * asked for, and bench time with it: a line that were dead before would stay so for ever.
 */
public final class TroubledWire implements Wire {

  static final int KEPT_BYTES = 65_536;

  /** So much of what was kept goes out at once, 44 ms at 115200 baud. */
  private static final int PIECE_BYTES = 512;

  /** Bench time may run fast, so the end of a freeze or of being out is looked for so often. */
  private static final int LOOK_MILLIS = 10;

  private static final int MOST_NOISE_BYTES = 20;

  private final Wire wire;
  private final Faults faults;
  private final Supplier<Duration> bench;
  private final Random choices;
  private final Damage sent;
  private final Damage heard;
  private final Consumer<String> ready;
  private final Consumer<String> remark;
  private final LineRemarks remarks;
  private final Cable cable;
  private final ByteQueue kept = new ByteQueue(KEPT_BYTES);

  private Duration now = Duration.ZERO;
  private boolean frozen;
  private boolean wroteBefore;
  private boolean saidOverflow;
  private boolean saidRefused;

  /**
   * Troubles a wire.
   *
   * @param bench the bench time now
   * @param random decides which bytes are hit
   * @param ready takes the wire's address each time that it is plugged in again
   * @param remark takes sentences for people
   */
  public TroubledWire(
      Wire wire,
      Faults faults,
      Supplier<Duration> bench,
      Random random,
      Consumer<String> ready,
      Consumer<String> remark) {
    this.wire = wire;
    this.faults = faults;
    this.bench = bench;
    this.choices = random;
    this.sent = new Damage(new Random(random.nextLong()));
    this.heard = new Damage(new Random(random.nextLong()));
    this.ready = ready;
    this.remark = remark;
    this.remarks = new LineRemarks(faults, remark);
    this.cable = new Cable(faults);
  }

  @Override
  public void plugIn() throws IOException {
    wire.plugIn();
  }

  @Override
  public String address() {
    return wire.address();
  }

  @Override
  public boolean attached() {
    return !cable.out() && wire.attached();
  }

  @Override
  public int read(byte[] into, int millis) throws IOException {
    look();
    if (cable.dueAnyway()) {
      pull();
    }
    if (cable.out()) {
      return wire.read(into, Math.min(millis, LOOK_MILLIS));
    }
    if (frozen) {
      wire.pass(Math.min(millis, LOOK_MILLIS));
      return 0;
    }
    int wait = kept.isEmpty() ? millis : 0;
    sendKept();
    int count = wire.read(into, wait);
    return count <= 0
        ? count
        : heard.hit(into, count, faults.at(BitErrors.class, now), faults.at(LostBytes.class, now));
  }

  @Override
  public void write(byte[] bytes, int offset, int length) throws IOException {
    look();
    if (cable.out()) {
      return;
    }
    sendKept();
    byte[] whole = Arrays.copyOfRange(bytes, offset, offset + length);
    boolean noisy = noisy();
    wroteBefore = true;
    if (noisy) {
      byte[] noise = new byte[1 + choices.nextInt(MOST_NOISE_BYTES)];
      choices.nextBytes(noise);
      send(noise);
    }
    boolean twice =
        faults.at(Duplicates.class, now).stream().anyMatch(d -> choices.nextDouble() < d.share());
    sendOrBreakOff(damaged(whole));
    if (twice) {
      sendOrBreakOff(damaged(whole));
    }
  }

  /** Brings everything up to the present bench time. */
  private void look() {
    now = bench.get();
    remarks.look(now);
    cable.look(now);
    if (cable.backDue()) {
      plugInAgain();
    }
    boolean was = frozen;
    frozen = !now.isZero() && !faults.at(Freeze.class, now).isEmpty();
    saidOverflow &= was == frozen;
  }

  /** There is noise before the very first write where it is planted by then, else by its share. */
  private boolean noisy() {
    return faults.at(LineNoise.class, now).stream()
        .anyMatch(noise -> !wroteBefore || choices.nextDouble() < noise.share());
  }

  private byte[] damaged(byte[] whole) {
    byte[] copy = whole.clone();
    int left =
        sent.hit(
            copy, copy.length, faults.at(BitErrors.class, now), faults.at(LostBytes.class, now));
    return Arrays.copyOf(copy, left);
  }

  private void send(byte[] bytes) throws IOException {
    if (frozen || !kept.isEmpty()) {
      keep(bytes);
    } else if (bytes.length > 0) {
      wire.write(bytes, 0, bytes.length);
    }
  }

  private void keep(byte[] bytes) {
    int lost = kept.add(bytes);
    if (lost > 0 && !saidOverflow) {
      saidOverflow = true;
      remark.accept(
          "its line: more than %d bytes wait to be sent; the oldest are lost"
              .formatted(KEPT_BYTES));
    }
  }

  /** Where the cable is to be pulled, half of the bytes go out before. */
  private void sendOrBreakOff(byte[] bytes) throws IOException {
    if (cable.out()) {
      return;
    }
    if (frozen || !kept.isEmpty() || !cable.dueAtWrite()) {
      send(bytes);
      return;
    }
    send(Arrays.copyOf(bytes, bytes.length / 2));
    pull();
  }

  private void sendKept() throws IOException {
    if (!frozen && !kept.isEmpty()) {
      byte[] piece = kept.take(PIECE_BYTES);
      wire.write(piece, 0, piece.length);
    }
  }

  private void pull() {
    cable.pull();
    kept.clear();
    wire.unplug();
    remark.accept("its cable is pulled out");
  }

  private void plugInAgain() {
    try {
      wire.plugIn();
    } catch (IOException failed) {
      if (!saidRefused) {
        saidRefused = true;
        remark.accept(
            "its cable cannot be plugged in again, and that is tried on and on: "
                + failed.getMessage());
      }
      return;
    }
    saidRefused = false;
    cable.back();
    remark.accept("its cable is in again");
    ready.accept(wire.address());
  }

  @Override
  public void speed(int baud) {
    wire.speed(baud);
  }

  @Override
  public void pass(int millis) {
    wire.pass(millis);
  }

  @Override
  public void unplug() {
    wire.unplug();
  }

  @Override
  public void close() {
    wire.close();
  }
}
