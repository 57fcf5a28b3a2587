package org.tallywire.link;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.time.Duration;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.tallywire.api.FaultCode;
import org.tallywire.api.LinkException;

/** Opening and listing keep apart, and neither waits for the other for ever. */
class SerialLibraryTest {

  private static final Duration LIMIT = Duration.ofMillis(100);
  private static final long SOON_S = 20;

  @Test
  @DisplayName("A listing that hangs makes an opening fail in time; when it ends, ports open again")
  void hangingListing() throws Exception {
    CountDownLatch lists = new CountDownLatch(1);
    CountDownLatch goesOn = new CountDownLatch(1);
    Thread listing = new Thread(() -> SerialLibrary.listing(() -> hang(lists, goesOn)), "listing");
    listing.start();
    try {
      assertTrue(lists.await(SOON_S, TimeUnit.SECONDS));
      LinkException busy = opening();
      assertEquals(FaultCode.LINK_BUSY, busy.code());
      assertTrue(busy.getMessage().contains("has not ended for 100 ms"), busy.getMessage());
    } finally {
      goesOn.countDown();
    }
    listing.join(TimeUnit.SECONDS.toMillis(SOON_S));
    assertEquals(FaultCode.LINK_NOT_FOUND, opening().code(), "it came to the opening itself");
  }

  private static LinkException opening() {
    return assertThrows(
        LinkException.class,
        () ->
            SerialLibrary.opening(
                () -> {
                  throw new LinkException(FaultCode.LINK_NOT_FOUND, "invented");
                },
                LIMIT));
  }

  private static boolean hang(CountDownLatch lists, CountDownLatch goesOn) {
    lists.countDown();
    try {
      return goesOn.await(SOON_S, TimeUnit.SECONDS);
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
      return false;
    }
  }
}
