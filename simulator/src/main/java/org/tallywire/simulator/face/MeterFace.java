package org.tallywire.simulator.face;

import java.nio.charset.StandardCharsets;
import java.time.Instant;
import java.util.Locale;
import java.util.Optional;
import java.util.Random;
import org.jspecify.annotations.Nullable;
import org.tallywire.simulator.tester.Measurement;

/**
 * An invented electricity meter on the tester's supply that is read out by IEC 62056-21 (followed
 * from memory and public notes). Every measurement of the tester costs some watt hours; voltages
 * and currents are other at every readout.
 *
 * <p><b>Of the standard:</b> it signs on at 300 baud to {@code /?!} or {@code /?address!}, where
 * its address is the digits of its serial number and leading zeros do not count. In mode C it is
 * {@code /XYz5PRETEND}, reacts after 20 ms and waits 1.5 s for {@code ACK 0 Z 0}: with Z 5 its data
 * message comes at 9600 baud, with 0, or if nothing is said, at 300. In mode A it is {@code /XYZ
 * PRETEND}, reacts after 200 ms and sends its data message at 300 baud by itself. NAK within 1.5 s
 * makes it send the same again, three times at most; then it is back at 300 baud.
 *
 * <p><b>This meter's own:</b> the registers. In mode C they are 0.0.0 (address), F.F (errors),
 * 1.8.0 (energy, with its tariffs 1 and 2), 1.6.0 (its maximum and when that was), voltages,
 * currents, power factor and frequency; in mode A, whose line is slow, 0.0.0, 1.8.0 and 32.7.0. It
 * cannot be programmed.
 */
public final class MeterFace implements InstrumentFace {

  /** How a readout goes. */
  public enum Mode {
    A,
    C
  }

  static final int SLOW = 300;
  static final int FAST = 9_600;

  private static final long NANOS_PER_MILLI = 1_000_000;
  private static final long PATIENCE = 1_500 * NANOS_PER_MILLI;
  private static final long NANOS_PER_SECOND = 1_000_000_000;
  private static final int BITS = 10;
  private static final int MOST_REPEATS = 3;
  private static final int LONGEST_LINE = 40;
  private static final char ACK = 0x06;
  private static final char NAK = 0x15;

  private final Mode mode;
  private final String address;
  private final Random random;
  private final StringBuilder line = new StringBuilder();
  private int baud = SLOW;
  private boolean asked;
  private long wattHours;
  private @Nullable Reply reply;
  private String told = "";
  private int repeats;

  /** Until then it waits for an agreement or NAK. */
  private long waitsUntil;

  private Waiting waiting = Waiting.NOTHING;

  private enum Waiting {
    NOTHING,
    AGREEMENT,
    REPEAT
  }

  private record Reply(String text, long due, int baud, Waiting then) {}

  /**
   * A meter that has not been switched on yet.
   *
   * @param serial of which the digits are its address
   * @param random decides what it tells
   */
  public MeterFace(String serial, Mode mode, Random random) {
    this.mode = mode;
    this.address = serial.replaceAll("[^0-9]", "");
    this.random = random;
    this.wattHours = 100_000L + random.nextInt(900_000_000);
  }

  @Override
  public void powerUp(long now) {}

  @Override
  public int baud() {
    return baud;
  }

  @Override
  public boolean asked() {
    return asked;
  }

  @Override
  public void linkLost() {
    line.setLength(0);
    idle();
  }

  private void idle() {
    reply = null;
    waiting = Waiting.NOTHING;
    baud = SLOW;
  }

  @Override
  public void measured(Measurement measurement, Instant at, long now) {
    wattHours += 1 + random.nextInt(9);
  }

  @Override
  public void received(byte[] bytes, int length, long now) {
    for (int i = 0; i < length; i++) {
      take((char) (bytes[i] & 0x7F), now);
    }
  }

  private void take(char c, long now) {
    if (c == NAK && waiting == Waiting.REPEAT && repeats < MOST_REPEATS) {
      repeats++;
      answer(told, now, baud, Waiting.REPEAT);
    } else if (c == '/' || c == ACK) {
      line.setLength(0);
      line.append(c);
    } else if (c == '\n') {
      heard(line.toString().strip(), now);
      line.setLength(0);
    } else if (line.length() < LONGEST_LINE) {
      line.append(c);
    }
  }

  private void heard(String words, long now) {
    if (words.startsWith("/?") && words.endsWith("!") && reply == null) {
      if (isMine(words.substring(2, words.length() - 1))) {
        asked = true;
        signedOn(now);
      }
    } else if (waiting == Waiting.AGREEMENT && words.matches("\u0006[0-9][05]0")) {
      data(now, words.charAt(2) == '5' ? FAST : SLOW);
    }
  }

  private boolean isMine(String called) {
    return called.isEmpty() || withoutZeros(called).equals(withoutZeros(address));
  }

  private static String withoutZeros(String digits) {
    return digits.replaceFirst("^0+", "");
  }

  private void signedOn(long now) {
    repeats = 0;
    if (mode == Mode.C) {
      answer("/XYz5PRETEND\r\n", now, SLOW, Waiting.AGREEMENT);
    } else {
      told = message();
      answer("/XYZ PRETEND\r\n" + told, now, SLOW, Waiting.REPEAT);
    }
  }

  private void data(long now, int speed) {
    told = message();
    answer(told, now, speed, Waiting.REPEAT);
  }

  private void answer(String text, long now, int speed, Waiting then) {
    long reaction = (mode == Mode.C ? 20 : 200) * NANOS_PER_MILLI;
    waiting = Waiting.NOTHING;
    reply = new Reply(text, now + reaction, speed, then);
  }

  @Override
  public Optional<Outgoing> next(long now) {
    Reply ready = reply;
    if (ready != null && now - ready.due() >= 0) {
      reply = null;
      baud = ready.baud();
      waiting = ready.then();
      waitsUntil = now + PATIENCE + (long) ready.text().length() * BITS * NANOS_PER_SECOND / baud;
      return Optional.of(new Outgoing(ready.text(), 0));
    }
    if (waiting != Waiting.NOTHING && now - waitsUntil >= 0) {
      if (waiting == Waiting.AGREEMENT) {
        data(now, SLOW);
      } else {
        idle();
      }
    }
    return Optional.empty();
  }

  @Override
  public long untilNext(long now) {
    Reply ready = reply;
    if (ready != null) {
      return Math.max(0, ready.due() - now);
    }
    return waiting == Waiting.NOTHING ? Long.MAX_VALUE : Math.max(0, waitsUntil - now);
  }

  private String message() {
    StringBuilder text = new StringBuilder();
    text.append("0.0.0(%s)\r\n".formatted(address));
    if (mode == Mode.A) {
      text.append("1.8.0(%s*kWh)\r\n".formatted(kilo(wattHours)));
      text.append("32.7.0(%s*V)\r\n".formatted(about(230, 1)));
    } else {
      registers(text);
    }
    return closed(text.append("!\r\n").append('\u0003').toString());
  }

  private void registers(StringBuilder text) {
    long high = wattHours * 2 / 3;
    text.append("F.F(00)\r\n");
    text.append("1-0:1.8.0*255(%s*kWh)\r\n".formatted(kilo(wattHours)));
    text.append("1-0:1.8.1*255(%s*kWh)\r\n".formatted(kilo(high)));
    text.append("1-0:1.8.2*255(%s*kWh)\r\n".formatted(kilo(wattHours - high)));
    text.append("1-0:1.6.0*255(%s*kW)(2603021015)\r\n".formatted(about(3, 3)));
    for (int c = 32; c <= 72; c += 20) {
      text.append("%d.7.0(%s*V)".formatted(c, about(230, 1)));
    }
    text.append("\r\n");
    for (int c = 31; c <= 71; c += 20) {
      text.append("%d.7.0(%s*A)".formatted(c, about(4, 2)));
    }
    text.append("\r\n");
    text.append("13.7.0(%s)\r\n".formatted(about(0.9, 2)));
    text.append("14.7.0(%s*Hz)\r\n".formatted(about(50, 2)));
  }

  private static String kilo(long units) {
    return String.format(Locale.ROOT, "%06d.%03d", units / 1000, units % 1000);
  }

  /** Within 1 % or so, so many digits behind the point, leading zeros as counters show them. */
  private String about(double middle, int digits) {
    double value = middle * (1 + (random.nextDouble() - 0.5) / 50);
    return String.format(Locale.ROOT, "%0" + (digits + 5) + "." + digits + "f", value);
  }

  /** STX in front, behind it the XOR of everything after STX. */
  private static String closed(String body) {
    int check = 0;
    for (byte b : body.getBytes(StandardCharsets.US_ASCII)) {
      check ^= b;
    }
    return "\u0002" + body + (char) check;
  }
}
