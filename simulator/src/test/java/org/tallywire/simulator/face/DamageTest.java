package org.tallywire.simulator.face;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.ByteArrayOutputStream;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.SplittableRandom;
import java.util.stream.IntStream;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.tallywire.simulator.face.LineCodec.Decoded;

/**
 * What the instrument's receiver makes of damage: every small damage of a typical line, and random
 * garbage.
 *
 * <p>Damaged at random, a line has the right check value by chance in one case of 2^16. The number
 * of such cases scatters like that of any rare thing: by the square root of what is expected. So a
 * receiver that lets through more than what is expected, four times that root and one more has a
 * fault that is not chance. One is added so that an expectation near 0 allows a single case.
 */
class DamageTest {

  private static final double RATE = 1.0 / 65536;
  private static final byte[] CLEAN = ">beat*1063\n".getBytes(StandardCharsets.US_ASCII);
  private static final byte[] ACK =
      LineCodec.encode(
              new Line('>', "ack").with("boot", "7c1e09aa").with("seq", 1).with("credit", 15))
          .getBytes(StandardCharsets.US_ASCII);
  private static final int ACK_BITS = ACK.length * 8;
  private static final int LONGEST_BURST = 16;
  private static final String STREAMS = "tallywire.streams";

  /** A receiver and what it took. */
  private static final class Receiver {
    private final LineReader reader = new LineReader();
    private final Line sent = line(ACK);
    private long cases;
    private long others;
    private long faults;

    static Line line(byte[] bytes) {
      byte[] body = Arrays.copyOf(bytes, bytes.length - 1);
      return ((Decoded.Whole) LineCodec.decode(body)).line();
    }

    /** Takes a damaged line and a clean one, which must be the last that is found. */
    void take(byte[] damaged) {
      takeAlone(damaged);
      takeClean();
    }

    void takeAlone(byte[] damaged) {
      cases++;
      feed(damaged);
    }

    void takeClean() {
      assertTrue(feed(CLEAN), "the clean line after damage is not taken");
    }

    private boolean feed(byte[] bytes) {
      boolean clean = false;
      for (byte b : bytes) {
        var found = reader.take(b);
        if (found.isPresent()) {
          clean = count(found.get());
        }
      }
      return clean;
    }

    private boolean count(Decoded found) {
      if (found instanceof Decoded.Whole whole) {
        boolean beat = whole.line().kind().equals("beat") && whole.line().fields().isEmpty();
        others += beat || whole.line().equals(sent) ? 0 : 1;
        return beat;
      }
      faults += found instanceof Decoded.Syntax ? 1 : 0;
      return false;
    }
  }

  private static void holdToChance(String what, List<Receiver> receivers) {
    long cases = receivers.stream().mapToLong(receiver -> receiver.cases).sum();
    long others = receivers.stream().mapToLong(receiver -> receiver.others).sum();
    long faults = receivers.stream().mapToLong(receiver -> receiver.faults).sum();
    double expected = cases * RATE;
    String figures =
        "%s: %d cases, %d taken as another line, %d as a syntax fault, %.2f expected by chance"
            .formatted(what, cases, others, faults, expected);
    System.out.println(figures);
    assertTrue(others + faults <= expected + 4 * Math.sqrt(expected) + 1, figures);
  }

  /** Inverts a bit of a line, counted as they go over the wire: the lowest of a byte first. */
  private static void invert(byte[] line, int bit) {
    line[bit / 8] ^= (byte) (1 << (bit % 8));
  }

  @Test
  @DisplayName("L-5c: every single wrong bit is noticed, but for the case of a check digit")
  void singleBits() {
    Receiver receiver = new Receiver();
    for (int bit = 0; bit < ACK_BITS; bit++) {
      byte[] line = ACK.clone();
      invert(line, bit);
      receiver.take(line);
    }
    assertEquals(ACK_BITS, receiver.cases);
    assertEquals("0 0", receiver.others + " " + receiver.faults);
  }

  @Test
  @DisplayName("L-5c: every two wrong bits are noticed")
  void doubleBits() {
    // Two of what the check value covers: by the polynomial. Two of the digits: they say another
    // value, or the same in lower case. One of each: see the next test.
    Receiver receiver = new Receiver();
    for (int first = 0; first < ACK_BITS; first++) {
      for (int second = first + 1; second < ACK_BITS; second++) {
        byte[] line = ACK.clone();
        invert(line, first);
        invert(line, second);
        receiver.take(line);
      }
    }
    holdToChance("two bits", List.of(receiver));
    assertEquals("0 0", receiver.others + " " + receiver.faults);
  }

  @Test
  @DisplayName("L-5c, L-6a: in no line of 240 bytes does one wrong bit change one digit only")
  void oneWrongBitChangesMoreThanOneDigit() {
    // The check value is sent as digits, and one wrong bit may make any other of a digit. With one
    // more before the * it would look right if that one changed this digit only.
    byte[] body = new byte[LineCodec.LONGEST - "*0000".length()];
    int right = LineCodec.check(body, body.length);
    for (int bit = 0; bit < body.length * 8; bit++) {
      invert(body, bit);
      int change = LineCodec.check(body, body.length) ^ right;
      invert(body, bit);
      int digits = 0;
      for (int digit = change; digit != 0; digit >>>= 4) {
        digits += (digit & 0xF) != 0 ? 1 : 0;
      }
      assertTrue(digits > 1, "bit %d changes the check value by %04X".formatted(bit, change));
    }
  }

  @Test
  @DisplayName("L-5c: bursts of up to 16 bits are taken for another line no oftener than by chance")
  void bursts() {
    List<Receiver> receivers =
        IntStream.range(0, ACK_BITS).parallel().mapToObj(DamageTest::bursts).toList();
    holdToChance("bursts of 2 to 16 bits", receivers);
  }

  /** All bursts that begin with that bit: the last one wrong too, every pattern between. */
  private static Receiver bursts(int from) {
    Receiver receiver = new Receiver();
    for (int pattern = 3; pattern < 1 << LONGEST_BURST; pattern += 2) {
      int bits = Integer.SIZE - Integer.numberOfLeadingZeros(pattern);
      if (from + bits <= ACK_BITS) {
        byte[] line = damaged(from / 8, (long) pattern << (from % 8));
        receiver.takeAlone(line);
        // A clean line after each would take the time of all the rest.
        if (line[line.length - 1] != '\n' || receiver.cases % 16 == 0) {
          receiver.takeClean();
        }
      }
    }
    return receiver;
  }

  /** Inverts the bits of a pattern, its lowest byte first. */
  private static byte[] damaged(int from, long pattern) {
    byte[] line = ACK.clone();
    long wrong = pattern;
    for (int at = from; wrong != 0; at++) {
      line[at] ^= (byte) wrong;
      wrong >>>= 8;
    }
    return line;
  }

  @Test
  @DisplayName("L-5a: damage in the shape of the polynomial is what no check value can notice")
  void thePolynomialItselfIsNotNoticed() {
    // x^16 + x^12 + x^5 + 1 over three bytes, 01 10 21. It shows that this class sees and counts
    // what is let through.
    Receiver receiver = new Receiver();
    for (int at = 1; at + 3 < ACK.length - 5; at++) {
      receiver.take(damaged(at, 0x211001));
    }
    assertTrue(receiver.others > 0, "others " + receiver.others);
    assertTrue(receiver.others + receiver.faults < receiver.cases, "some are unprintable");
  }

  @Test
  @DisplayName("L-5c: a byte too few, a byte too many, two neighbours in the wrong order")
  void deletionsInsertionsSwaps() {
    Receiver deleted = new Receiver();
    Receiver inserted = new Receiver();
    Receiver swapped = new Receiver();
    for (int at = 0; at <= ACK.length; at++) {
      if (at < ACK.length) {
        deleted.take(spliced(at, at + 1));
      }
      if (at < ACK.length - 1) {
        swapped.take(spliced(at, at + 2, ACK[at + 1], ACK[at]));
      }
      for (int value = 0; value < 256; value++) {
        inserted.take(spliced(at, at, (byte) value));
      }
    }
    holdToChance("a byte too few", List.of(deleted));
    holdToChance("a byte too many", List.of(inserted));
    holdToChance("neighbours swapped", List.of(swapped));
  }

  /** Returns the line with other bytes in place of some. */
  private static byte[] spliced(int from, int to, byte... instead) {
    ByteArrayOutputStream line = new ByteArrayOutputStream();
    line.write(ACK, 0, from);
    line.write(instead, 0, instead.length);
    line.write(ACK, to, ACK.length - to);
    return line.toByteArray();
  }

  @Test
  @DisplayName("L-7b: the first whole line after any garbage is taken")
  void garbage() {
    // The receiver has one array of 241 bytes and two numbers, so no stream can make it grow.
    int streams = Integer.getInteger(STREAMS, 200_000);
    long seed = System.nanoTime();
    System.out.printf("garbage: %d streams, seed %d%n", streams, seed);
    SplittableRandom random = new SplittableRandom(seed);
    LineReader reader = new LineReader();
    long marks = 0;
    long missed = 0;
    for (int stream = 0; stream < streams; stream++) {
      byte[] garbage = garbage(random);
      List<Decoded> found = fed(reader, garbage);
      found.addAll(fed(reader, CLEAN));
      marks += marksInFront(garbage);
      boolean taken =
          found.get(found.size() - 1) instanceof Decoded.Whole whole
              && whole.line().equals(Receiver.line(CLEAN));
      missed += taken ? 0 : 1;
    }
    // From each start mark in front, garbage and line together may have a right check value.
    double expected = marks * RATE;
    String figures =
        "garbage: %d streams, %d start marks right before a line, %d lines missed, %.2f by chance"
            .formatted(streams, marks, missed, expected);
    System.out.println(figures);
    assertTrue(missed <= expected + 4 * Math.sqrt(expected) + 1, figures + ", seed " + seed);
  }

  private static List<Decoded> fed(LineReader reader, byte[] bytes) {
    List<Decoded> found = new ArrayList<>();
    for (byte b : bytes) {
      reader.take(b).ifPresent(found::add);
    }
    return found;
  }

  /** Counts the start marks that stand in one line with what comes next. */
  private static int marksInFront(byte[] garbage) {
    int marks = 0;
    for (int i = garbage.length - 1; i >= 0 && garbage[i] != '\n'; i--) {
      marks += garbage[i] == '>' ? 1 : 0;
    }
    return marks;
  }

  /** Bytes of any kind, printable ones, those lines are made of, or lines cut and put together. */
  private static byte[] garbage(SplittableRandom random) {
    int length = random.nextInt(400);
    byte[] bytes = new byte[length];
    int kind = random.nextInt(4);
    String alphabet = kind == 1 ? ">ackbet =*%0123456789AF\r\n" : ">!<abz =*%09";
    if (kind == 0) {
      random.nextBytes(bytes);
      return bytes;
    }
    for (int i = 0; i < length; i++) {
      bytes[i] =
          kind == 3
              ? ACK[(i + random.nextInt(2)) % ACK.length]
              : (byte) alphabet.charAt(random.nextInt(alphabet.length()));
    }
    return bytes;
  }
}
