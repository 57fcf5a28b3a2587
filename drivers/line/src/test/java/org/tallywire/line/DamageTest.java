package org.tallywire.line;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.ByteArrayOutputStream;
import java.nio.charset.StandardCharsets;
import java.util.Arrays;
import java.util.Random;
import java.util.stream.Stream;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.DynamicTest;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.TestFactory;
import org.tallywire.api.Frame;
import org.tallywire.api.FrameException;
import org.tallywire.api.Framer;

/**
 * Damaged lines (L-4, L-5, L-7, L-33): what is taken for another line stays within the rate at
 * which sixteen check bits let random damage pass, 1 in 65 536. Where damage lies in the body
 * alone, none passes at all: the polynomial 0x1021 notices every burst up to 16 bits, and every two
 * bits within 32 767 (Peterson and Brown, Cyclic Codes for Error Detection, Proc. IRE 49, 1961;
 * from memory). Damage that reaches the hexadecimal digits has no such guarantee.
 *
 * <p>{@code -Dtallywire.damage=full} tries every burst, not one in so many, and 1 000 000 streams
 * of garbage: minutes.
 */
class DamageTest {

  private static final boolean FULL = "full".equals(System.getProperty("tallywire.damage"));
  private static final int STREAMS = FULL ? 1_000_000 : 50_000;
  private static final int LONGEST_BURST = 16;

  private static final byte[] NEXT = bytes("!beat boot=b1 last=7 held=0");
  private static final String READING = Wire.reading(7);
  private static final String SHORT = "!beat boot=b1 last=6 held=0";

  /** Tells whether bytes, as they arrive, are taken for a line that was not sent. */
  private static final class Receiver implements Framer.Sink {

    private final LineFramer framer = new LineFramer();
    private final String sent;
    private final String next = text(NEXT);
    private long cases;
    private long wrong;
    private boolean nextTaken;

    Receiver(String sent) {
      this.sent = sent;
    }

    /** Receives a damaged line and the clean one behind it. */
    void receive(byte[] damaged) {
      cases++;
      nextTaken = false;
      framer.feed(damaged, damaged.length, Wire.NOW, this);
      framer.feed(NEXT, NEXT.length, Wire.NOW, this);
      assertTrue(nextTaken, () -> "not in step again after " + text(damaged));
    }

    @Override
    public void frame(Frame frame) {
      String body = body(frame.text());
      if (body.equals(next)) {
        nextTaken = true;
      } else if (!body.equals(sent) && isMessage(frame)) {
        wrong++;
      }
    }

    @Override
    public void fault(FrameException fault) {
      // discarded, as it must be
    }

    private static boolean isMessage(Frame frame) {
      try {
        LineMessage.parse(frame);
        return true;
      } catch (FrameException e) {
        return false;
      }
    }

    /** Holds the count to the theoretical rate, four standard deviations and one allowed. */
    void atMostTheTheoreticalRate(String what) {
      double expected = cases / 65_536.0;
      double limit = expected + 4 * Math.sqrt(expected) + 1;
      System.out.printf("%s: %d of %d taken for another line%n", what, wrong, cases);
      assertTrue(wrong <= limit, "%s: %d of %d, at most %.1f".formatted(what, wrong, cases, limit));
    }

    void none(String what) {
      System.out.printf("%s: %d of %d taken for another line%n", what, wrong, cases);
      assertEquals(0, wrong, what);
    }
  }

  @TestFactory
  @DisplayName("L-5c: two wrong bits anywhere in a line")
  Stream<DynamicTest> twoBits() {
    return Stream.of(SHORT, READING)
        .map(
            body ->
                DynamicTest.dynamicTest(
                    "%d bytes".formatted(bytes(body).length),
                    () -> {
                      byte[] line = bytes(body);
                      int bodyBits = body.length() * 8;
                      Receiver inBody = new Receiver(body);
                      Receiver withCheck = new Receiver(body);
                      for (int one = 0; one < line.length * 8; one++) {
                        flip(line, one);
                        withCheck.receive(line);
                        for (int two = one + 1; two < line.length * 8; two++) {
                          flip(line, two);
                          (two < bodyBits ? inBody : withCheck).receive(line);
                          flip(line, two);
                        }
                        flip(line, one);
                      }
                      inBody.none("two bits of the body");
                      withCheck.atMostTheTheoreticalRate("one bit, or two with the check value");
                    }));
  }

  @TestFactory
  @DisplayName("L-5c: bursts of up to 16 bits")
  Stream<DynamicTest> bursts() {
    return Stream.of(SHORT, READING)
        .map(
            body ->
                DynamicTest.dynamicTest(
                    "%d bytes".formatted(bytes(body).length),
                    () -> burst(body, FULL ? 2 : 10 * body.length())));
  }

  /** Tries bursts: the first bit wrong and every pattern behind it, or every so many patterns. */
  private static void burst(String body, int step) {
    byte[] line = bytes(body);
    int bodyBits = body.length() * 8;
    Receiver inBody = new Receiver(body);
    Receiver withCheck = new Receiver(body);
    for (int start = 0; start < line.length * 8; start++) {
      for (int pattern = 1; pattern < 1 << LONGEST_BURST; pattern += step) {
        byte[] damaged = line.clone();
        for (int bit = 0; bit < LONGEST_BURST && start + bit < line.length * 8; bit++) {
          if ((pattern >> bit & 1) == 1) {
            flip(damaged, start + bit);
          }
        }
        (start + LONGEST_BURST <= bodyBits ? inBody : withCheck).receive(damaged);
      }
    }
    inBody.none("bursts in the body");
    withCheck.atMostTheTheoreticalRate("bursts that reach the check value");
  }

  @Test
  @DisplayName("L-5c: bytes deleted, inserted, doubled, swapped")
  void bytesGoneMovedAndAdded() {
    byte[] line = bytes(READING);
    Receiver receiver = new Receiver(READING);
    for (int at = 0; at < line.length; at++) {
      for (int count = 1; at + count <= line.length; count++) {
        receiver.receive(joined(line, 0, at, new byte[0], at + count));
      }
      for (int value = 0; value < 256; value++) {
        receiver.receive(joined(line, 0, at, new byte[] {(byte) value}, at));
      }
      for (int other = at + 1; other < line.length; other++) {
        byte[] swapped = line.clone();
        swapped[at] = line[other];
        swapped[other] = line[at];
        receiver.receive(swapped);
      }
    }
    receiver.atMostTheTheoreticalRate("bytes gone, added, swapped");
  }

  @Test
  @DisplayName("L-7b: random garbage never harms, and the next clean line is taken")
  void garbage() {
    long seed = new Random().nextLong();
    Random random = new Random(seed);
    System.out.printf("garbage: %d streams, seed %d%n", STREAMS, seed);
    Receiver receiver = new Receiver("");
    byte[] alphabet = "!<> =*%019AFaz\r\n".getBytes(StandardCharsets.US_ASCII);
    for (int i = 0; i < STREAMS; i++) {
      byte[] stream = new byte[random.nextInt(i % 1000 == 0 ? 5000 : 300)];
      random.nextBytes(stream);
      if (i % 2 == 0) {
        for (int at = 0; at < stream.length; at++) {
          stream[at] = alphabet[stream[at] & 0x0F];
        }
      }
      receiver.receive(stream);
    }
    receiver.atMostTheTheoreticalRate("garbage, seed " + seed);
  }

  private static byte[] joined(byte[] line, int from, int to, byte[] between, int on) {
    ByteArrayOutputStream out = new ByteArrayOutputStream();
    out.write(line, from, to - from);
    out.writeBytes(between);
    out.write(line, on, line.length - on);
    return out.toByteArray();
  }

  private static void flip(byte[] bytes, int bit) {
    bytes[bit / 8] ^= (byte) (0x80 >> bit % 8);
  }

  private static byte[] bytes(String body) {
    return (Wire.line(body) + "\n").getBytes(StandardCharsets.ISO_8859_1);
  }

  private static String text(byte[] line) {
    return body(new String(line, StandardCharsets.ISO_8859_1).stripTrailing());
  }

  private static String body(String line) {
    byte[] check = line.getBytes(StandardCharsets.ISO_8859_1);
    return new String(
        Arrays.copyOf(check, Math.max(0, check.length - 5)), StandardCharsets.ISO_8859_1);
  }
}
