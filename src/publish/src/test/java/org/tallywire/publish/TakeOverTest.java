package org.tallywire.publish;

import static org.awaitility.Awaitility.await;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.file.Path;
import java.time.Duration;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.api.io.TempDir;
import org.tallywire.api.TimeSource;
import org.tallywire.journal.Journal;

/** MQTT 3.1.1, MQTT-3.1.4-2: of two connections with one client id the broker ends the older. */
@Timeout(60)
class TakeOverTest {

  private static final Duration SOON = Duration.ofSeconds(40);
  private static final int COUNT = 1000;

  @TempDir Path folder;

  @Test
  void twoBridgesWithOneClientIdAreToldAndBothGetEverythingThrough() throws Exception {
    Mosquitto.require();
    Heard one = new Heard();
    Heard two = new Heard();
    try (Journal first = Journal.open(folder.resolve("first"), TimeSource.system());
        Journal second = Journal.open(folder.resolve("second"), TimeSource.system());
        Mosquitto broker = Mosquitto.start(folder, Mosquitto.freePort());
        Subscriber subscriber = Subscriber.start(broker.port(), "shop/+/+/reading");
        Subscriber verdicts = Subscriber.start(broker.port(), "shop/+/+/verdict");
        Publisher left = Bench.publisher(first, Bench.address(broker.port()), one);
        Publisher right = Bench.publisher(second, Bench.address(broker.port()), two)) {
      left.start();
      right.start();
      await()
          .atMost(SOON)
          .until(
              () ->
                  one.said("another process may be using client id")
                      && two.said("another process may be using client id"));
      Bench.append(first, "left", COUNT);
      Bench.append(second, "right", COUNT);
      assertTrue(left.awaitDelivered(COUNT, SOON), () -> left.standing().toString());
      assertTrue(right.awaitDelivered(COUNT, SOON), () -> right.standing().toString());
      await()
          .atMost(Duration.ofMinutes(1))
          .until(() -> distinct(subscriber) + distinct(verdicts) == 2 * COUNT);
      assertEquals(List.of(), first.shelf());
      assertEquals(List.of(), second.shelf());
    }
  }

  private static long distinct(Subscriber subscriber) {
    return subscriber.messages().stream().map(Subscriber.Message::hex).distinct().count();
  }
}
