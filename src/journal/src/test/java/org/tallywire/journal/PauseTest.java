package org.tallywire.journal;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.time.Duration;
import java.time.Instant;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.tallywire.api.TimeSource;

/** The rule of {@link Pause}: as long as the opening took, at most a minute. */
class PauseTest {

  private long nanos;
  private Pause pause;

  @BeforeEach
  void begin() {
    pause =
        new Pause(
            new TimeSource() {
              @Override
              public Instant now() {
                return Instant.EPOCH;
              }

              @Override
              public long nanos() {
                return nanos;
              }
            });
  }

  @Test
  void nothingWasOpenedYet() {
    pass(Duration.ofSeconds(5));
    assertEquals(Duration.ZERO, pause.left());
  }

  @Test
  void itIsAsLongAsTheOpening() {
    open(Duration.ofSeconds(3));
    assertEquals(Duration.ofSeconds(3), pause.left());
    pass(Duration.ofMillis(2999));
    assertEquals(Duration.ofMillis(1), pause.left());
    pass(Duration.ofMillis(1));
    assertEquals(Duration.ZERO, pause.left());
  }

  @Test
  void itIsAMinuteAtMost() {
    open(Duration.ofMinutes(7));
    assertEquals(Duration.ofMinutes(1), pause.left());
  }

  private void open(Duration length) {
    pause.begin();
    pass(length);
    pause.end();
  }

  private void pass(Duration length) {
    nanos += length.toNanos();
  }
}
