package org.tallywire.simulator.face;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertInstanceOf;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.Random;
import org.junit.jupiter.api.Test;
import org.tallywire.simulator.face.LineCodec.Decoded;

/** How lines are found and read: L-1 to L-10. */
class LineReaderTest {

  private final LineReader reader = new LineReader();

  private List<Decoded> read(String text) {
    List<Decoded> found = new ArrayList<>();
    for (byte b : text.getBytes(StandardCharsets.ISO_8859_1)) {
      reader.take(b).ifPresent(found::add);
    }
    return found;
  }

  private Decoded readOne(String text) {
    List<Decoded> found = read(text);
    assertEquals(1, found.size(), () -> found + " from " + text);
    return found.get(0);
  }

  /** Puts the right check value and LF behind any text. */
  private static String checked(String text) {
    byte[] bytes = text.getBytes(StandardCharsets.ISO_8859_1);
    return "%s*%04X%n".formatted(text, LineCodec.check(bytes, bytes.length));
  }

  private static void assertWhole(String kind, Decoded decoded) {
    assertEquals(kind, assertInstanceOf(Decoded.Whole.class, decoded).line().kind());
  }

  @Test
  void aCarriageReturnAndLowerCaseCheckValuesAreAccepted() {
    String line = LineCodec.encode(new Line('>', "hello").with("req", 1).with("version", "1.1"));
    assertWhole("hello", readOne(line.replace("\n", "\r\n"))); // L-2
    int star = line.indexOf('*');
    String lower = line.substring(0, star) + line.substring(star).toLowerCase(Locale.ROOT);
    assertWhole("hello", readOne(lower)); // L-5
  }

  @Test
  void aWrongCheckValueDamagesALineAndTheNextOneIsRead() { // L-5, L-8
    assertInstanceOf(Decoded.Damaged.class, readOne(">beat*1064\n"));
    assertWhole("beat", readOne(">beat*1063\n"));
  }

  @Test
  void everySingleChangedByteDamagesTheLine() { // L-5
    String line = LineCodec.encode(new Line('>', "ack").with("boot", "a1").with("seq", 17));
    for (int i = 1; i < line.length() - 1; i++) {
      char[] changed = line.toCharArray();
      changed[i] = (char) (changed[i] ^ 0x01);
      assertInstanceOf(Decoded.Damaged.class, readOne(new String(changed)), "byte " + i);
    }
  }

  @Test
  void unprintableBytesDamageALineThoughTheCheckValueIsRight() { // L-4
    assertInstanceOf(Decoded.Damaged.class, readOne(checked(">beat x=\u0007")));
    assertInstanceOf(Decoded.Damaged.class, readOne(checked(">beat x=\u00E9")));
  }

  @Test
  void aLineOf240BytesIsReadAndOneOf241IsNot() { // L-6
    String longest = checked(">beat x=" + "y".repeat(LineCodec.LONGEST - 13));
    assertEquals(LineCodec.LONGEST + 1, longest.length());
    assertWhole("beat", readOne(longest));
    assertWhole("beat", readOne(longest.replace("\n", "\r\n")));
    String longer = checked(">beat x=" + "y".repeat(LineCodec.LONGEST - 12));
    assertInstanceOf(Decoded.Damaged.class, readOne(longer));
    assertWhole("beat", readOne(">beat*1063\n"));
  }

  @Test
  void noiseBeforeTheStartMarkIsDroppedEvenIfItLooksLikeOne() { // L-7
    assertWhole("beat", readOne("\u0000\u00FFabc>beat*1063\n"));
    assertWhole("beat", readOne(">be>>beat*1063\n"));
    assertWhole("beat", readOne("z".repeat(100_000) + ">beat*1063\n"));
    assertTrue(read("\n\r\n\n").isEmpty(), "an empty line is ignored");
  }

  @Test
  void theFirstWholeLineAfterRandomGarbageIsRead() { // L-7
    long seed = System.nanoTime();
    Random random = new Random(seed);
    for (int round = 0; round < 2000; round++) {
      byte[] garbage = new byte[random.nextInt(600)];
      random.nextBytes(garbage);
      List<Decoded> found = read(new String(garbage, StandardCharsets.ISO_8859_1) + ">beat*1063\n");
      assertWhole("beat", found.get(found.size() - 1));
      int where = round;
      assertEquals(
          1,
          found.stream().filter(Decoded.Whole.class::isInstance).count(),
          () -> "seed " + seed + " round " + where);
    }
  }

  @Test
  void escapesAreUtf8InTwoUpperCaseDigits() { // L-9
    String line = LineCodec.encode(new Line('>', "x").with("text", "a b*c=d%\u00B5\u03A9"));
    assertEquals(">x text=a%20b%2Ac%3Dd%25%C2%B5%CE%A9", line.substring(0, line.indexOf('*')));
    Decoded.Whole whole = assertInstanceOf(Decoded.Whole.class, readOne(line));
    assertEquals(Optional.of("a b*c=d%\u00B5\u03A9"), whole.line().text("text"));
    for (String bad :
        List.of("%2", "%", "%2a", "%ZZ", "%C2", "%FF", "%C3%28", "%C0%80", "%ED%A0%80", "%80")) {
      Decoded found = readOne(checked(">x req=007 text=" + bad));
      Decoded.Syntax fault = assertInstanceOf(Decoded.Syntax.class, found, bad);
      assertEquals(Optional.of("007"), fault.request(), "L-9b, L-10c: it can be answered");
    }
  }

  @Test
  void aLineAgainstTheGrammarIsASyntaxFault() { // L-10 and the grammar
    for (String bad :
        List.of(">", ">9x", ">Hello", ">x a=1 a=2", ">x  a=1", ">x a", ">x A=1", ">x a=b=c")) {
      assertInstanceOf(Decoded.Syntax.class, readOne(checked(bad)), bad);
    }
    Decoded twice = readOne(checked(">hello req=5 a=1 a=2"));
    assertEquals(Optional.of("5"), ((Decoded.Syntax) twice).request());
    Decoded unclear = readOne(checked(">hello req=5 req=6"));
    assertEquals(Optional.empty(), ((Decoded.Syntax) unclear).request());
    for (String unanswered : List.of(">ack req=5 a", ">beat req=5 a=%")) {
      Decoded fault = readOne(checked(unanswered));
      assertEquals(Optional.empty(), ((Decoded.Syntax) fault).request(), "L-16b");
    }
    assertWhole("x", readOne(checked(">x a=")));
  }

  @Test
  void aFaultIsAnsweredOnlyIfItHasExactlyOneRequest() { // L-30c, L-9c
    for (String unclear :
        List.of(
            "", " req=", " req=x", " req=1 req=x", " req=x req=1", " req=1=2", " req=%3", " q")) {
      Decoded fault = readOne(checked(">hello a=1 a=2" + unclear));
      assertEquals(Optional.empty(), ((Decoded.Syntax) fault).request(), unclear);
    }
    Decoded fault = readOne(checked(">hello a=1 a=2 req=%30%37"));
    assertEquals(Optional.of("07"), ((Decoded.Syntax) fault).request());
  }

  @Test
  void onlyTheBridgesMarkBeginsALine() { // L-3b
    for (String other : List.of("!beat", "<beat", "!hello req=1 version=1.1")) {
      assertInstanceOf(Decoded.Damaged.class, readOne(checked(other)), other);
    }
    assertWhole("beat", readOne("!beat<!" + checked(">beat x=!<")));
    Decoded.Whole whole =
        assertInstanceOf(Decoded.Whole.class, readOne(checked(">beat x=!<beat>")));
    assertEquals(Optional.of("!<beat>"), whole.line().text("x"));
  }

  @Test
  void theCheckValueStandsBehindTheLastStar() { // L-5a
    Decoded fault = readOne(checked(">channels req=7 x=a*29B1"));
    assertEquals(Optional.of("7"), ((Decoded.Syntax) fault).request(), "a star in a value, L-10");
    assertInstanceOf(
        Decoded.Damaged.class, readOne(">beat*1063*0000\n"), "right at the first star only");
  }
}
