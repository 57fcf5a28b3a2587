package org.tallywire.api;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;

import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;

class InstrumentTest {

  @Test
  @DisplayName("A name has at most 64 characters; one that takes two places in memory counts once")
  void names() {
    String longest = "\uD83D\uDD0C".repeat(64);
    assertEquals(longest, new Instrument(longest, "", "", "").maker());
    assertThrows(IllegalArgumentException.class, () -> new Instrument("", "x".repeat(65), "", ""));
  }
}
