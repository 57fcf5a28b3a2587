package org.tallywire.bridge;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.BufferedReader;
import java.io.InputStream;
import java.io.InputStreamReader;
import java.net.URI;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.List;
import java.util.Optional;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.tallywire.api.TimeSource;
import org.tallywire.format.SetupException;

/** What an opening that fails leaves behind, and what one that succeeds keeps. */
class BridgeTest {

  @TempDir private Path data;

  @Test
  @DisplayName("Without a broker the state says so, records are kept, and old ones may go")
  void noBroker() throws Exception {
    BridgeConfig config = Bench.config(data, Optional.of(Duration.ofDays(1)), List.of());
    BridgeConfig none =
        new BridgeConfig(
            config.site(),
            config.data(),
            config.keep(),
            Optional.empty(),
            config.page(),
            config.stations(),
            config.testSets(),
            config.drivers());
    try (Bridge bridge = Bridge.open(none, TimeSource.system())) {
      URI page = bridge.start();
      assertEquals(Optional.empty(), bridge.publisher());
      try (InputStream events = page.resolve("/events").toURL().openStream()) {
        String state = "";
        var lines = new BufferedReader(new InputStreamReader(events, StandardCharsets.UTF_8));
        while (!state.contains("\"state\":\"running\"")) {
          state = String.valueOf(lines.readLine());
        }
        assertTrue(state.contains("\"broker\":\"none\""), state);
        assertTrue(state.contains("No broker is configured"), state);
      }
    }
    assertFalse(Files.exists(data.resolve("client-id")), "nobody was to be called");
  }

  @Test
  @DisplayName("An opening that fails behind the journal lets go of it; the client id stays")
  void failedOpening() throws Exception {
    BridgeConfig config = Bench.config(data, Optional.empty(), List.of());
    Path clientId = Files.createDirectory(data.resolve("client-id"));
    SetupException refused =
        assertThrows(SetupException.class, () -> Bridge.open(config, TimeSource.system()).close());
    assertTrue(refused.problems().get(0).contains("cannot be used"), refused.problems().toString());
    Files.delete(clientId);
    Bridge.open(config, TimeSource.system()).close();
    String made = Files.readString(clientId);
    assertTrue(made.matches("tallywire[0-9a-f]{12}"), made);
    Bridge.open(config, TimeSource.system()).close();
    assertEquals(made, Files.readString(clientId));
  }
}
