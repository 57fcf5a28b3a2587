package org.tallywire.simulator;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.net.InetAddress;
import java.net.ServerSocket;
import java.util.ArrayList;
import java.util.List;
import org.junit.jupiter.api.Test;

/** All instruments are started, or none. */
class FleetTest {

  private static final InetAddress LOOPBACK = InetAddress.getLoopbackAddress();

  private static final class Said implements Fleet.Announcer {
    private final List<String> announced = new ArrayList<>();

    @Override
    public void announce(String what, String serial, String rest) {
      announced.add("%s %s %s".formatted(what, serial, rest));
    }

    @Override
    public void remark(String words) {}
  }

  /** Returns the first of three free ports, of which the second is taken by the caller's server. */
  private static int firstOfThree(ServerSocket second) throws IOException {
    int first = second.getLocalPort() - 1;
    new ServerSocket(first, 1, LOOPBACK).close();
    new ServerSocket(first + 2, 1, LOOPBACK).close();
    return first;
  }

  @Test
  void whereOneWireCannotBeHadNothingIsAnnouncedAndNothingStaysOpen() throws Exception {
    try (ServerSocket taken = new ServerSocket(0, 1, LOOPBACK)) {
      int first = firstOfThree(taken);
      Said said = new Said();
      try (Fleet fleet =
          new Fleet(
              TestFleet.options("--tcp=" + first, "--instruments=3", "--plant=frozen display"),
              said)) {
        IOException refused = assertThrows(IOException.class, fleet::start);
        String words = String.valueOf(refused.getMessage());
        assertTrue(words.startsWith("nothing is started: instrument 2 cannot be: "), words);
        assertEquals(List.of(), said.announced);
        assertEquals(List.of(), fleet.benches());
        new ServerSocket(first, 1, LOOPBACK).close();
      }
    }
  }

  @Test
  void eachIsAnnouncedAfterItsFaultsAndInOrder() throws Exception {
    try (TestFleet fleet =
        TestFleet.start("--tcp=0", "--instruments=2", "--seed=5", "--plant=frozen display")) {
      assertEquals(
          List.of(
              "planted SIM-0005 frozen-display - -",
              "ready SIM-0005 tcp",
              "planted SIM-0006 frozen-display - -",
              "ready SIM-0006 tcp"),
          fleet.announced().stream().map(line -> line.replaceAll(" 127.*", "")).toList());
    }
  }
}
