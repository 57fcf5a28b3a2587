package org.tallywire.conform;

import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import org.tallywire.api.LinkException;

/** Bytes that are no line, and lines that are read all the same. */
final class DamageScenarios {

  private static final int ENDLESS = 1_000_000;
  private static final int ON_A_SERIAL_LINE = 5_000;
  private static final int PIECE = 4_000;

  private DamageScenarios() {}

  static List<Scenario> all() {
    return List.of(
        damaged("with one bit turned", line -> Wire.flipped(line, 25)),
        damaged(
            "with one bit of its check value turned", line -> Wire.flipped(line, line.length - 3)),
        damaged("with a byte missing", line -> without(line, 20, 21)),
        damaged("with a byte too many", line -> inserted(line, 20, "7")),
        damaged("with a NUL inside", line -> inserted(line, 20, "\0")),
        damaged("with a byte above 126 inside", line -> inserted(line, 20, "\u00e4")),
        damaged("cut off in the middle", line -> without(line, 60, line.length - 1)),
        damaged("without its beginning", line -> without(line, 0, 10)),
        damaged("with an LF in the middle", line -> inserted(line, 60, "\n")),
        damaged("without its check value", line -> without(line, line.length - 6, line.length - 1)),
        Scenario.of(
            "a line with high bytes and a right check value", "L-4b L-8a", p -> highBytes(p)),
        Scenario.of(
            "a line of 241 bytes with a right check value", "L-6b", DamageScenarios::tooLong),
        Scenario.of("a line without end", "L-6b L-7b", DamageScenarios::endless),
        Scenario.of(
            "2000 bytes of garbage with start marks", "L-7b L-8a", DamageScenarios::garbage),
        Scenario.of("noise directly before a start mark", "L-7a", DamageScenarios::noiseBefore),
        Scenario.of("two lines run together", "L-7a L-7b", DamageScenarios::runTogether),
        Scenario.of("empty lines", "L-7c", DamageScenarios::empty),
        Scenario.of("CR LF as terminator", "L-2b", DamageScenarios::carriageReturn),
        Scenario.of("a check value in lower case", "L-5b", DamageScenarios::lowerCase),
        Scenario.of("a line in two pieces", "L-1b", DamageScenarios::pieces),
        Scenario.of(
            "a reading and a loss whose digest is wrong or missing",
            "L-33c",
            DamageScenarios::wrongDigest));
  }

  /** Does something to a line. */
  private interface Damage {
    byte[] to(byte[] line);
  }

  private static Scenario damaged(String how, Damage damage) {
    return Scenario.of("a reading " + how, "L-8a L-5c L-27a", p -> damaged(p, damage));
  }

  private static void damaged(PlayedInstrument p, Damage damage) throws Broken, LinkException {
    p.first("L-23a");
    p.keep(2, p.reading(2));
    p.sayBytes(damage.to(Wire.line(p.reading(2))));
    p.fence(1, "L-8a");
    p.sayReading(3);
    p.acknowledged(3, "L-27a");
  }

  private static void highBytes(PlayedInstrument p) throws Broken, LinkException {
    p.first("L-23a");
    p.keep(2, p.reading(2));
    p.say(p.reading(2).replace("tap=2", "tap=\u00e4\u00ff"));
    p.fence(1, "L-4b");
    p.repeat(2);
    p.acknowledged(2, "L-8a");
  }

  private static void tooLong(PlayedInstrument p) throws Broken, LinkException {
    p.first("L-23a");
    p.keep(2, p.reading(2));
    String body = p.reading(2) + " extra=";
    p.say(body + "x".repeat(236 - body.length()));
    p.fence(1, "L-6b");
    p.repeat(2);
    p.acknowledged(2, "L-6b");
  }

  private static void endless(PlayedInstrument p) throws Broken, LinkException {
    p.first("L-23a");
    p.keep(2, p.reading(2));
    byte[] piece = new byte[PIECE];
    Arrays.fill(piece, (byte) 'x');
    piece[0] = '!';
    int all = p.rate().isTcp() ? ENDLESS : ON_A_SERIAL_LINE;
    for (int sent = 0; sent < all; sent += PIECE) {
      p.sayBytes(piece);
    }
    p.sayBytes(Wire.bytes("\n"));
    p.repeat(2);
    p.acknowledged(2, "L-7b");
  }

  private static void garbage(PlayedInstrument p) throws Broken, LinkException {
    p.first("L-23a");
    p.keep(2, p.reading(2));
    byte[] garbage = new byte[2000];
    for (int i = 0; i < garbage.length; i++) {
      garbage[i] = (byte) (i * 89 + i / 7);
      if (garbage[i] == '\n') {
        garbage[i] = '!';
      }
    }
    p.sayBytes(garbage);
    p.sayBytes(Wire.bytes("!<>\n"));
    p.repeat(2);
    p.acknowledged(2, "L-7b");
  }

  private static void noiseBefore(PlayedInstrument p) throws Broken, LinkException {
    p.first("L-23a");
    p.sayBytes(Wire.bytes("\u0000\u00ff#%=*0000"));
    p.sayReading(2);
    p.acknowledged(2, "L-7a");
    p.sayBytes(Wire.bytes("!<>!!reading <ok req=1*"));
    p.sayReading(3);
    p.acknowledged(3, "L-7a");
  }

  private static void runTogether(PlayedInstrument p) throws Broken, LinkException {
    p.first("L-23a");
    p.keep(2, p.reading(2));
    p.sayBytes(Wire.bytes(Wire.checked(p.reading(2))));
    p.sayReading(3);
    p.acknowledged(3, "L-7b");
  }

  private static void empty(PlayedInstrument p) throws Broken, LinkException {
    p.first("L-23a");
    p.sayBytes(Wire.bytes("\n\r\n\n"));
    p.sayReading(2);
    p.acknowledged(2, "L-7c");
  }

  private static void carriageReturn(PlayedInstrument p) throws Broken, LinkException {
    p.first("L-23a");
    heard(p, 2, Wire.bytes(Wire.checked(p.reading(2)) + "\r\n"));
    p.acknowledged(2, "L-2b");
  }

  private static void lowerCase(PlayedInstrument p) throws Broken, LinkException {
    p.first("L-23a");
    for (int n = 2; n <= 5; n++) {
      String line = Wire.checked(p.reading(n));
      String check = line.substring(line.length() - 4);
      heard(
          p,
          n,
          Wire.bytes(line.substring(0, line.length() - 4) + check.toLowerCase(Locale.ROOT) + "\n"));
      p.acknowledged(n, "L-5b");
    }
  }

  private static void pieces(PlayedInstrument p) throws Broken, LinkException {
    p.first("L-23a");
    byte[] line = Wire.line(p.reading(2));
    p.sayBytes(Arrays.copyOf(line, 50));
    p.silentFor(p.moment());
    heard(p, 2, Arrays.copyOfRange(line, 50, line.length));
    p.acknowledged(2, "L-1b");
  }

  private static void wrongDigest(PlayedInstrument p) throws Broken, LinkException {
    p.state("can", "digest");
    p.stream();
    p.sayReading(1, Wire.digested(p.reading(1)));
    p.acknowledged(1, "L-33a");
    String right = Wire.digested(p.reading(2));
    p.keep(2, right);
    p.say(right.replace("v2=4.31", "v2=4.13"));
    p.fence(1, "L-33c");
    p.say(p.reading(2));
    p.fence(1, "L-33c");
    p.sayReading(3, Wire.digested(p.reading(3)));
    p.acknowledged(3, "L-33c");
    String lost = Wire.digested("!lost boot=%s from=4 to=6".formatted(p.boot()));
    p.say(lost.replace("to=6", "to=9"));
    p.fence(3, "L-33c");
    p.mayBeAcknowledged(6);
    p.say(lost);
    p.acknowledged(6, "L-33a");
  }

  /** Sends the bytes of a line that the bridge has to take. */
  private static void heard(PlayedInstrument p, long number, byte[] bytes) throws LinkException {
    p.mayBeAcknowledged(number);
    p.sayBytes(bytes);
  }

  private static byte[] without(byte[] line, int from, int to) {
    return Wire.joined(Arrays.copyOf(line, from), Arrays.copyOfRange(line, to, line.length));
  }

  private static byte[] inserted(byte[] line, int at, String what) {
    return Wire.joined(
        Arrays.copyOf(line, at), Wire.bytes(what), Arrays.copyOfRange(line, at, line.length));
  }
}
