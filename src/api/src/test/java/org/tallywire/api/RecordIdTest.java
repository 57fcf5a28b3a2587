package org.tallywire.api;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertNotEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.HashSet;
import java.util.Random;
import java.util.Set;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;

class RecordIdTest {

  private static final Instrument TESTER = new Instrument("A.B", "C d", "7/1", "0.1");

  @Test
  @DisplayName("A reading is source:epoch:sequence:n, its source the instrument's own identity")
  void reading() {
    String source = RecordId.source(TESTER, "bay-1");
    assertEquals("A~2EB.C~20d.7~2F1", source);
    assertEquals("A~2EB.C~20d.7~2F1:b1:17:0", RecordId.reading(source, "b1", 17, 0));
  }

  @Test
  @DisplayName("An instrument without a serial number goes by its station")
  void station() {
    assertEquals("bay-1", RecordId.source(new Instrument("A", "B", "", ""), "bay-1"));
  }

  @Test
  @DisplayName("Other names are other sources, though joined they would read alike")
  void distinctSources() {
    assertNotEquals(
        RecordId.source(new Instrument("A", "B.C", "1", ""), "s"),
        RecordId.source(new Instrument("A.B", "C", "1", ""), "s"));
  }

  @Test
  @DisplayName("Escaping is plain ASCII and never makes two texts alike, whatever they hold")
  void escapeIsInjective() {
    long seed = new Random().nextLong();
    Random random = new Random(seed);
    Set<String> texts = new HashSet<>();
    Set<String> escaped = new HashSet<>();
    for (int i = 0; i < 5_000; i++) {
      StringBuilder text = new StringBuilder();
      random.ints(random.nextInt(6), 0x20, 0x180).forEach(text::appendCodePoint);
      texts.add(text.toString());
      escaped.add(RecordId.escape(text.toString()));
    }
    assertEquals(texts.size(), escaped.size(), "seed " + seed);
    assertTrue(escaped.stream().allMatch(e -> e.matches("[A-Za-z0-9_~-]*")), "seed " + seed);
  }

  @Test
  @DisplayName("A long part is cut, bounded and still its own")
  void longParts() {
    String one = RecordId.join("x".repeat(300) + "1");
    String other = RecordId.join("x".repeat(300) + "2");
    assertNotEquals(one, other);
    assertTrue(one.length() <= 96, one);
    assertFalse(one.contains(":"));
  }

  @Test
  @DisplayName("A derived id depends on every input and on where one ends and the next begins")
  void derived() {
    assertEquals(RecordId.derived("verdict", "a", "b"), RecordId.derived("verdict", "a", "b"));
    assertNotEquals(RecordId.derived("verdict", "a", "b"), RecordId.derived("verdict", "ab"));
    assertNotEquals(RecordId.derived("verdict", "a", "b"), RecordId.derived("verdict", "b", "a"));
  }
}
