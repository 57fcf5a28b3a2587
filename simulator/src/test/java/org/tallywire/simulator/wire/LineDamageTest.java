package org.tallywire.simulator.wire;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;
import static org.tallywire.simulator.wire.TroubledLine.always;
import static org.tallywire.simulator.wire.TroubledLine.between;

import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.util.Arrays;
import java.util.Collections;
import java.util.List;
import java.util.Random;
import org.junit.jupiter.api.Test;
import org.tallywire.simulator.scenario.LineFault.BitErrors;
import org.tallywire.simulator.scenario.LineFault.Duplicates;
import org.tallywire.simulator.scenario.LineFault.LineNoise;
import org.tallywire.simulator.scenario.LineFault.LostBytes;

/**
 * Noise, bit errors, lost bytes and duplicates. Counts of n independent trials of probability p are
 * held against the binomial distribution: mean n·p, standard deviation √(n·p·(1−p)).
 */
class LineDamageTest {

  private static final long SEED = Long.getLong("tallywire.seed", 7_310_001L);
  private static final int PIECES = 1000;
  private static final int PIECE = 100;

  private static void assertWithin4Sigma(String what, long count, long n, double p) {
    double sigma = Math.sqrt(n * p * (1 - p));
    assertTrue(
        Math.abs(count - n * p) <= 4 * sigma,
        "%s: %d of %d, expected %.0f with sigma %.1f, seed %d"
            .formatted(what, count, n, n * p, sigma, SEED));
  }

  private static byte[] whole() {
    byte[] whole = new byte[PIECES * PIECE];
    new Random(1).nextBytes(whole);
    return whole;
  }

  private static byte[] sent(TroubledLine line, byte[] whole) throws IOException {
    for (int from = 0; from < whole.length; from += PIECE) {
      line.say(Arrays.copyOfRange(whole, from, from + PIECE));
    }
    return line.below.written.toByteArray();
  }

  private static byte[] heard(TroubledLine line, byte[] whole, int piece) throws IOException {
    ByteArrayOutputStream heard = new ByteArrayOutputStream();
    for (int from = 0; from < whole.length; from += piece) {
      heard.writeBytes(
          line.hear(Arrays.copyOfRange(whole, from, Math.min(whole.length, from + piece))));
    }
    return heard.toByteArray();
  }

  private static int[] turned(byte[] before, byte[] after) {
    assertEquals(before.length, after.length);
    int[] turned = new int[Byte.SIZE];
    for (int i = 0; i < before.length; i++) {
      for (int bit = 0; bit < Byte.SIZE; bit++) {
        turned[bit] += (before[i] ^ after[i]) >> bit & 1;
      }
    }
    return turned;
  }

  @Test
  void everyBitTurnsOverAsOftenAsSaidInBothDirections() throws IOException {
    double p = 0.01;
    byte[] whole = whole();
    int[] out = turned(whole, sent(new TroubledLine(SEED, always(new BitErrors(p))), whole));
    int[] in = turned(whole, heard(new TroubledLine(SEED, always(new BitErrors(p))), whole, 64));
    for (int bit = 0; bit < Byte.SIZE; bit++) {
      assertWithin4Sigma("bit " + bit + " sent", out[bit], whole.length, p);
      assertWithin4Sigma("bit " + bit + " heard", in[bit], whole.length, p);
    }
    assertFalse(Arrays.equals(out, in), "the directions have errors of their own");
  }

  @Test
  void twoBadPlacesOnALineAddUp() throws IOException {
    // A bit is wrong in the end if exactly one of the two turns it: p1(1-p2) + p2(1-p1).
    byte[] whole = whole();
    int[] out =
        turned(
            whole,
            sent(
                new TroubledLine(SEED, always(new BitErrors(0.1)), always(new BitErrors(0.2))),
                whole));
    assertWithin4Sigma("bits", Arrays.stream(out).sum(), 8L * whole.length, 0.1 * 0.8 + 0.2 * 0.9);
  }

  @Test
  void bytesAreLostAsOftenAsSaidAndTheRestKeepTheirOrder() throws IOException {
    double p = 0.02;
    byte[] whole = whole();
    byte[] out = sent(new TroubledLine(SEED, always(new LostBytes(p))), whole);
    byte[] in = heard(new TroubledLine(SEED, always(new LostBytes(p))), whole, 64);
    assertWithin4Sigma("lost when sent", whole.length - out.length, whole.length, p);
    assertWithin4Sigma("lost when heard", whole.length - in.length, whole.length, p);
    assertSubsequence(out, whole);
    assertSubsequence(in, whole);
    assertEquals(0, heard(new TroubledLine(SEED, always(new LostBytes(1))), whole, 64).length);
    assertEquals(0, sent(new TroubledLine(SEED, always(new LostBytes(1))), whole).length);
  }

  private static void assertSubsequence(byte[] part, byte[] whole) {
    int found = 0;
    for (int i = 0; i < whole.length && found < part.length; i++) {
      found += whole[i] == part[found] ? 1 : 0;
    }
    assertEquals(part.length, found, "not the same bytes in the same order");
  }

  @Test
  void theDamageDoesNotDependOnHowTheStreamIsCutNorOnTheOtherDirection() throws IOException {
    byte[] whole = whole();
    byte[] expected = heard(troubled(), whole, 4096);
    for (int piece : new int[] {1, 7, 64, 1000}) {
      assertArrayEquals(expected, heard(troubled(), whole, piece), "pieces of " + piece);
    }
    TroubledLine both = troubled();
    heard(both, whole, 100);
    assertArrayEquals(sent(troubled(), whole), sent(both, whole));
  }

  private static TroubledLine troubled() throws IOException {
    return new TroubledLine(SEED, always(new BitErrors(0.01)), always(new LostBytes(0.02)));
  }

  @Test
  void theSameSeedDoesTheSameAndAnotherDoesAnother() throws IOException {
    byte[] whole = whole();
    assertArrayEquals(everything(SEED, whole), everything(SEED, whole));
    assertFalse(Arrays.equals(everything(SEED, whole), everything(SEED + 1, whole)));
  }

  private static byte[] everything(long seed, byte[] whole) throws IOException {
    return sent(
        new TroubledLine(
            seed,
            always(new LineNoise(0.1)),
            always(new Duplicates(0.1)),
            always(new BitErrors(0.001)),
            always(new LostBytes(0.001))),
        whole);
  }

  @Test
  void thereIsNoiseBeforeTheFirstWriteForSureAndThenByItsShare() throws IOException {
    for (long seed = SEED; seed < SEED + 50; seed++) {
      TroubledLine line = new TroubledLine(seed, always(new LineNoise(0))).at(0);
      line.say("one").say("two");
      assertEquals(3, line.events().size(), "seed " + seed);
      int length = line.events().get(0).length();
      assertTrue(length >= 1 && length <= 20, "noise of " + length + " bytes, seed " + seed);
      assertEquals(List.of("one", "two"), line.events().subList(1, 3));
    }
    TroubledLine line = new TroubledLine(SEED, between(new LineNoise(0.25), 10, 20));
    line.say("first");
    line.at(10);
    for (int i = 0; i < 4000; i++) {
      line.say("line that is longer than any noise");
    }
    line.at(20).say("last");
    assertEquals("first", line.events().get(0), "the noise is not there yet");
    long noises = line.events().stream().filter(event -> event.length() <= 20).count() - 2;
    assertWithin4Sigma("noises", noises, 4000, 0.25);
  }

  @Test
  void whatGoesOutTwiceGoesOutInSuccession() throws IOException {
    TroubledLine all = new TroubledLine(SEED, always(new Duplicates(1)));
    all.say("one").say("two");
    assertEquals(List.of("one", "one", "two", "two"), all.events());
    TroubledLine some = new TroubledLine(SEED, always(new Duplicates(0.3)));
    for (int i = 0; i < 4000; i++) {
      some.say(Integer.toString(i));
    }
    assertWithin4Sigma("duplicates", some.events().size() - 4000L, 4000, 0.3);
    List<String> distinct = some.events().stream().distinct().toList();
    assertEquals(4000, distinct.size());
    for (String one : distinct.subList(0, 100)) {
      int last = some.events().lastIndexOf(one);
      assertEquals(
          Collections.frequency(some.events(), one), last - some.events().indexOf(one) + 1);
    }
  }

  @Test
  void withoutFaultsEverythingPassesUnchanged() throws IOException {
    byte[] whole = whole();
    TroubledLine line = new TroubledLine(SEED);
    assertArrayEquals(whole, sent(line, whole));
    assertArrayEquals(whole, heard(line, whole, 64));
    assertEquals(List.of(), line.remarks);
  }

  @Test
  void beginAndEndAreRemarkedOnceEach() throws IOException {
    TroubledLine line =
        new TroubledLine(
            SEED, between(new BitErrors(0.5), 10, 20), between(new Duplicates(0.5), 15, 30));
    for (int millis = 0; millis < 40; millis++) {
      line.at(millis).say("some words").listen();
    }
    assertEquals(
        List.of(
            "its line: bit errors: {share: 50 %}",
            "its line: duplicates: {share: 50 %}",
            "its line, bit errors: over",
            "its line, duplicates: over"),
        line.remarks);
  }
}
