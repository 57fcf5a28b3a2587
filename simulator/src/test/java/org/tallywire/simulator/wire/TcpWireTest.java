package org.tallywire.simulator.wire;

import static org.awaitility.Awaitility.await;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.io.InputStream;
import java.net.Socket;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.Random;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.Test;

/** The TCP wire with real sockets. */
class TcpWireTest {

  private static final int BIG = 32_000_000;

  private final byte[] into = new byte[4096];

  private static void say(Wire wire, String words) throws IOException {
    byte[] bytes = words.getBytes(StandardCharsets.ISO_8859_1);
    wire.write(bytes, 0, bytes.length);
  }

  private String hear(Wire wire) throws IOException {
    int count = wire.read(into, 2000);
    return new String(into, 0, Math.max(0, count), StandardCharsets.ISO_8859_1);
  }

  private void awaitClient(Wire wire) throws IOException {
    assertEquals(0, wire.read(into, 5000));
    assertTrue(wire.attached());
  }

  @Test
  void oneClientTalksAndLeaves() throws IOException {
    try (TcpWire wire = new TcpWire(0)) {
      wire.plugIn();
      assertFalse(wire.attached());
      say(wire, "nobody hears this");
      FarEnd client = FarEnd.of(wire.address());
      awaitClient(wire);
      say(wire, "welcome");
      await().atMost(Duration.ofMinutes(1)).until(() -> client.heard().equals("welcome"));
      client.say(">hello");
      assertEquals(">hello", hear(wire));
      client.leave();
      assertEquals(-1, wire.read(into, 5000));
      assertFalse(wire.attached());
      assertEquals(0, wire.read(into, 0));
    }
  }

  @Test
  void aNewClientTakesThePlaceOfTheOld() throws IOException { // L-37b
    try (TcpWire wire = new TcpWire(0)) {
      wire.plugIn();
      FarEnd old = FarEnd.of(wire.address());
      awaitClient(wire);
      FarEnd young = FarEnd.of(wire.address());
      assertEquals(0, wire.read(into, 5000));
      assertEquals(-1, wire.read(into, 5000), "the old client has gone");
      await().atMost(Duration.ofMinutes(1)).until(old::ended);
      say(wire, "to the young");
      await().atMost(Duration.ofMinutes(1)).until(() -> young.heard().equals("to the young"));
      assertEquals("", old.heard());
    }
  }

  @Test
  void theSamePortIsThereAgainAfterThePlugWasOut() throws IOException {
    try (TcpWire wire = new TcpWire(0)) {
      wire.plugIn();
      String address = wire.address();
      FarEnd client = FarEnd.of(address);
      awaitClient(wire);
      wire.unplug();
      await().atMost(Duration.ofMinutes(1)).until(client::ended);
      assertThrows(IOException.class, () -> FarEnd.of(address));
      assertEquals(-1, wire.read(into, 0));
      wire.plugIn();
      assertEquals(address, wire.address());
      FarEnd again = FarEnd.of(address);
      awaitClient(wire);
      say(wire, "here again");
      await().atMost(Duration.ofMinutes(1)).until(() -> again.heard().equals("here again"));
      IOException taken = assertThrows(IOException.class, () -> new TcpWire(port(wire)).plugIn());
      assertTrue(taken.getMessage().contains("127.0.0.1:" + port(wire)), taken.getMessage());
    }
  }

  private static int port(Wire wire) {
    return Integer.parseInt(wire.address().substring(wire.address().lastIndexOf(':') + 1));
  }

  @Test
  void aSlowClientGetsEverythingInOrderThoughAnotherKnocks() throws Exception {
    byte[] much = new byte[BIG];
    new Random(3).nextBytes(much);
    try (TcpWire wire = new TcpWire(0)) {
      wire.plugIn();
      try (Socket slow = FarEnd.socket(wire.address())) {
        awaitClient(wire);
        CompletableFuture<Boolean> same = CompletableFuture.supplyAsync(() -> readsAll(slow, much));
        try (Socket knocking = FarEnd.socket(wire.address())) {
          wire.write(much, 0, much.length);
          assertTrue(same.get(60, TimeUnit.SECONDS));
          assertEquals(0, wire.read(into, 5000));
          assertEquals(-1, wire.read(into, 0), "only now the one who knocked is let in");
          say(wire, "you");
          assertEquals('y', knocking.getInputStream().read());
        }
      }
    }
  }

  private static boolean readsAll(Socket from, byte[] expected) {
    try {
      InputStream in = from.getInputStream();
      byte[] got = in.readNBytes(expected.length);
      return java.util.Arrays.equals(got, expected);
    } catch (IOException failed) {
      throw new AssertionError(failed);
    }
  }

  @Test
  void aClientThatTakesNothingIsLetGoAfterTwoSeconds() throws IOException {
    try (TcpWire wire = new TcpWire(0)) {
      wire.plugIn();
      try (Socket stuck = FarEnd.socket(wire.address())) {
        awaitClient(wire);
        long begin = System.nanoTime();
        wire.write(new byte[BIG], 0, BIG);
        double seconds = (System.nanoTime() - begin) / 1e9;
        assertTrue(seconds >= 2 && seconds < 20, "took " + seconds + " s");
        assertFalse(wire.attached());
        assertEquals(-1, wire.read(into, 0));
        assertTrue(stuck.isConnected());
        FarEnd next = FarEnd.of(wire.address());
        awaitClient(wire);
        say(wire, "next");
        await().atMost(Duration.ofMinutes(1)).until(() -> next.heard().equals("next"));
      }
    }
  }
}
