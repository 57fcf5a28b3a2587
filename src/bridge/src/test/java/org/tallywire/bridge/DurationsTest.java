package org.tallywire.bridge;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.time.Duration;
import java.util.Optional;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;

/** Times as people write them. */
class DurationsTest {

  @Test
  @DisplayName(
      "Times are written with their unit, in whole milliseconds; in options a unit may lack")
  void written() {
    assertEquals(Optional.of(Duration.ofSeconds(2)), Durations.of("2 s"));
    assertEquals(Optional.of(Duration.ofMillis(500)), Durations.of("500ms"));
    assertEquals(Optional.of(Duration.ofMillis(1_500)), Durations.of("1.5 s"));
    assertEquals(Optional.of(Duration.ofMinutes(1)), Durations.of("1 min"));
    assertEquals(Optional.of(Duration.ofHours(24)), Durations.of("24 h"));
    assertEquals(Optional.of(Duration.ofMillis(300)), Durations.orSeconds("0.3"));
    assertEquals(Optional.of(Duration.ofMillis(300)), Durations.orSeconds("300 ms"));
    for (String wrong : new String[] {"2", "-1 s", "0.5 ms", "1e3 ms", "2 seconds", ""}) {
      assertEquals(Optional.empty(), Durations.of(wrong), wrong);
    }
    for (String wrong : new String[] {"", "-2", "0.0001", "ten", "2 s s"}) {
      assertEquals(Optional.empty(), Durations.orSeconds(wrong), wrong);
    }
  }
}
