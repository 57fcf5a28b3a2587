package org.tallywire.report;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.charset.StandardCharsets;
import java.security.KeyPair;
import java.security.KeyPairGenerator;
import java.util.Arrays;
import java.util.Optional;
import java.util.Random;
import org.junit.jupiter.api.Test;

/** Rule: every change of a single byte and every cut of a sealed file is found. */
final class SealedLinesTest {
  private static final byte[] LINES =
      "{\"position\":1}\n{\"position\":2,\"unit\":\"Ω\"}\n".getBytes(StandardCharsets.UTF_8);

  @Test
  void everyChangedByteAndEveryCutIsFound() throws Exception {
    KeyPair pair = KeyPairGenerator.getInstance("Ed25519").generateKeyPair();
    for (Optional<KeyPair> key : java.util.List.of(Optional.<KeyPair>empty(), Optional.of(pair))) {
      byte[] file = SealedLines.seal(LINES, 2, "ab".repeat(32), key);
      assertTrue(SealedLines.check(file, Optional.empty()).intact());
      long seed = System.nanoTime();
      Random random = new Random(seed);
      for (int i = 0; i < file.length; i++) {
        byte[] other = file.clone();
        other[i] ^= (byte) (1 + random.nextInt(255));
        assertFalse(
            SealedLines.check(other, Optional.empty()).intact(), "seed " + seed + " at " + i);
        assertFalse(
            SealedLines.check(Arrays.copyOf(file, i), Optional.empty()).intact(), "cut " + i);
      }
    }
  }

  @Test
  void anotherKeyOrNoneIsNotTheExpectedOne() throws Exception {
    byte[] unsigned = SealedLines.seal(LINES, 2, "ab".repeat(32), Optional.empty());
    SealFinding found = SealedLines.check(unsigned, Optional.of("00"));
    assertFalse(found.intact());
    assertEquals(
        "The file is unsigned, so it is not signed with the key that was given.", found.sentence());
  }
}
