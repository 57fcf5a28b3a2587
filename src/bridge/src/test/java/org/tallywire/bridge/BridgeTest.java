package org.tallywire.bridge;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.file.Files;
import java.nio.file.Path;
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
