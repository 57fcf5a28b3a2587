package org.tallywire.link;

import static org.awaitility.Awaitility.await;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTimeoutPreemptively;

import java.time.Duration;
import java.util.concurrent.CountDownLatch;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;

class BoundedCloseTest {

  @Test
  @DisplayName("J3: a close that hangs is left behind and counted, until it ends after all")
  void hangs() {
    CountDownLatch hanging = new CountDownLatch(1);
    assertTimeoutPreemptively(
        Duration.ofSeconds(5),
        () ->
            BoundedClose.run(
                "invented",
                Duration.ofMillis(50),
                () -> {
                  try {
                    hanging.await();
                  } catch (InterruptedException e) {
                    Thread.currentThread().interrupt();
                  }
                }));
    assertEquals(1, BoundedClose.leftBehind());
    hanging.countDown();
    await().atMost(Duration.ofMinutes(1)).until(() -> BoundedClose.leftBehind() == 0);
    BoundedClose.run("invented", Duration.ofSeconds(5), () -> {});
    assertEquals(0, BoundedClose.leftBehind());
  }
}
