package org.tallywire.simulator;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.net.InetAddress;
import java.net.ServerSocket;
import java.net.Socket;
import java.time.Duration;
import java.util.Optional;
import org.awaitility.Awaitility;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.tallywire.simulator.face.Line;
import org.tallywire.simulator.wire.TcpWire;

/** The instrument as a TCP server on loopback. */
class TcpConversationTest {

  private static final int ALL = 21;

  private static Socket connect(String address) throws Exception {
    assertTrue(address.startsWith("tcp 127.0.0.1:"), address);
    int port = Integer.parseInt(address.substring(address.indexOf(':') + 1));
    return new Socket(InetAddress.getLoopbackAddress(), port);
  }

  private static TestFleet start() throws Exception {
    return TestFleet.start("--tcp=0", "--pace=200");
  }

  private static TestBridge over(Socket socket) throws IOException {
    return new TestBridge(socket.getInputStream(), socket.getOutputStream());
  }

  @Test
  @DisplayName("L-37b: a new connection takes the place of the old, which may be dead")
  void aNewConnectionTakesThePlaceOfTheOld() throws Exception {
    try (TestFleet fleet = start()) {
      String address = fleet.address();
      String boot;
      try (Socket socket = connect(address);
          TestBridge bridge = over(socket)) {
        bridge.await("start");
        boot = bridge.open(1, 0, 3);
        bridge.take(boot, 1, 1);
        try (Socket second = connect(address);
            TestBridge newcomer = over(second)) {
          Awaitility.await().atMost(Duration.ofMinutes(1)).until(bridge::ended);
          newcomer.say(
              new Line('>', "send")
                  .with("req", 7)
                  .with("boot", boot)
                  .with("after", 1)
                  .with("credit", 3));
          assertEquals(
              Optional.of("302"),
              newcomer.await(line -> true).text("code"),
              "the old session has ended with its connection, nothing of it comes here");
          assertEquals(boot, newcomer.open(8, 1, 3));
          newcomer.take(boot, 2, 5);
        }
      }
      try (Socket socket = connect(address);
          TestBridge bridge = over(socket)) {
        assertEquals(boot, bridge.open(1, 5, 8));
        bridge.take(boot, 6, ALL);
      }
    }
  }

  @Test
  void closingHangsUpAndIsHarmlessTwice() throws Exception {
    TestFleet fleet = start();
    String address = fleet.address();
    try (Socket socket = connect(address);
        TestBridge bridge = over(socket)) {
      bridge.open(1, 0, 3);
      fleet.close();
      fleet.close();
      Awaitility.await().atMost(Duration.ofMinutes(1)).until(bridge::ended);
    }
    assertThrows(IOException.class, () -> connect(address));
  }

  @Test
  void aPortInUseIsNamed() throws Exception {
    try (ServerSocket taken = new ServerSocket(0, 1, InetAddress.getLoopbackAddress());
        TcpWire wire = new TcpWire(taken.getLocalPort())) {
      IOException refused = assertThrows(IOException.class, wire::plugIn);
      assertTrue(
          refused.getMessage().contains("127.0.0.1:" + taken.getLocalPort()), refused.getMessage());
    }
  }
}
