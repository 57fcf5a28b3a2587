package org.tallywire.link;

import static org.awaitility.Awaitility.await;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.net.InetAddress;
import java.net.ServerSocket;
import java.net.Socket;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.time.Duration;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Link;
import org.tallywire.api.LinkAddress;
import org.tallywire.api.LinkException;

/** A port at which instruments call, with real sockets. */
class TcpCallersTest {

  private static final Duration SOON = Duration.ofSeconds(5);

  @TempDir private Path folder;

  private LinkAddress.TcpListener address;

  @BeforeEach
  void choosePort() throws Exception {
    try (ServerSocket free = new ServerSocket(0, 1, InetAddress.getLoopbackAddress())) {
      address = new LinkAddress.TcpListener("127.0.0.1", free.getLocalPort());
    }
  }

  @Test
  @DisplayName("Bytes go both ways; a newer caller wins, the older is told why")
  void newerWins() throws Exception {
    try (Links links = new Links(folder)) {
      CompletableFuture<Link> opening = opening(links);
      try (Socket first = call()) {
        Link link = opening.get(5, TimeUnit.SECONDS);
        first.getOutputStream().write("one\n".getBytes(StandardCharsets.US_ASCII));
        assertEquals("one\n", text(link, 4));
        link.write("yes\n".getBytes(StandardCharsets.US_ASCII));
        assertEquals(
            "yes\n", new String(first.getInputStream().readNBytes(4), StandardCharsets.US_ASCII));
        try (Socket second = call()) { // the first is still open: half-open, for all we know
          LinkException e = assertThrows(LinkException.class, () -> text(link, 1));
          assertEquals(FaultCode.LINK_LOST, e.code());
          assertTrue(e.getMessage().contains("takes the place of this connection"), e.toString());
          link.close();
          try (Link next = links.open(address)) {
            second.getOutputStream().write("two\n".getBytes(StandardCharsets.US_ASCII));
            assertEquals("two\n", text(next, 4));
          }
        }
      }
    }
  }

  @Test
  @DisplayName("What a caller sends while it settles is no data")
  void settles() throws Exception {
    address = new LinkAddress.TcpListener("127.0.0.1", address.port(), Duration.ofMillis(200));
    try (Links links = new Links(folder)) {
      CompletableFuture<Link> opening = opening(links);
      try (Socket caller = call()) {
        caller.getOutputStream().write("stray".getBytes(StandardCharsets.US_ASCII));
        Link link = opening.get(5, TimeUnit.SECONDS);
        link.settle();
        caller.getOutputStream().write("one\n".getBytes(StandardCharsets.US_ASCII));
        assertEquals("one\n", text(link, 4));
      }
    }
  }

  @Test
  @DisplayName("Between two links the port stays open, and who calls then is taken next")
  void between() throws Exception {
    try (Links links = new Links(folder)) {
      CompletableFuture<Link> opening = opening(links);
      try (Socket first = call()) {
        assertTrue(first.isConnected());
        opening.get(5, TimeUnit.SECONDS).close();
      }
      try (Socket early = call();
          Link link = links.open(address)) {
        early.getOutputStream().write("early\n".getBytes(StandardCharsets.US_ASCII));
        assertEquals("early\n", text(link, 6));
      }
    }
    try (ServerSocket again =
        new ServerSocket(address.port(), 1, InetAddress.getLoopbackAddress())) {
      assertTrue(again.isBound(), "closing freed the port");
    }
  }

  @Test
  @DisplayName("Nobody calls: told in time, in a sentence; a port in use is told as such")
  void nobody() throws Exception {
    try (Links links = new Links(folder)) {
      long begun = System.nanoTime();
      LinkException e = assertThrows(LinkException.class, () -> links.open(address));
      assertEquals(FaultCode.LINK_NOT_FOUND, e.code());
      assertTrue(e.getMessage().contains("nobody has called there yet"), e.getMessage());
      assertTrue(System.nanoTime() - begun < SOON.toNanos());
      try (Links others = new Links(folder)) {
        assertEquals(
            FaultCode.LINK_BUSY,
            assertThrows(LinkException.class, () -> others.open(address)).code());
      }
    }
    try (Links links = new Links(folder)) {
      assertEquals(
          FaultCode.LINK_NOT_FOUND,
          assertThrows(
                  LinkException.class,
                  () -> links.open(new LinkAddress.TcpListener("192.0.2.1", address.port())))
              .code(),
          "an address of RFC 5737, which no machine has");
    }
  }

  @Test
  @DisplayName("Two stations at one port: the second is refused; a close ends an opening")
  void twoStations() throws Exception {
    Links links = new Links(folder);
    try {
      CompletableFuture<Link> opening = opening(links);
      await()
          .atMost(SOON)
          .until(
              () ->
                  Thread.getAllStackTraces().keySet().stream()
                      .anyMatch(thread -> thread.getName().equals("accept " + address)));
      try (Socket caller = call();
          Link link = opening.get(5, TimeUnit.SECONDS)) {
        assertTrue(caller.isConnected());
        LinkException e = assertThrows(LinkException.class, () -> links.open(address));
        assertEquals(FaultCode.LINK_BUSY, e.code());
        links.close();
        assertThrows(LinkException.class, () -> link.read(new byte[8], SOON));
      }
    } finally {
      links.close();
    }
  }

  @Test
  @DisplayName("When no link is asked for any more the port is freed by itself")
  void lingers() throws Exception {
    TcpCallers callers = TcpCallers.listen(address, Duration.ofMillis(200));
    assertFalse(callers.isClosed());
    await().atMost(SOON).until(callers::isClosed);
    callers.close(); // the system frees it a moment later
    try (ServerSocket again =
        new ServerSocket(address.port(), 1, InetAddress.getLoopbackAddress())) {
      assertTrue(again.isBound());
    }
  }

  private CompletableFuture<Link> opening(Links links) {
    return CompletableFuture.supplyAsync(
        () -> {
          try {
            return links.open(address);
          } catch (LinkException e) {
            throw new IllegalStateException(e);
          }
        });
  }

  /** Calls as an instrument does: again and again until somebody listens. */
  private Socket call() {
    return await()
        .atMost(SOON)
        .ignoreExceptions()
        .until(
            () -> new Socket(InetAddress.getLoopbackAddress(), address.port()),
            Socket::isConnected);
  }

  private static String text(Link link, int length) throws LinkException {
    StringBuilder heard = new StringBuilder();
    byte[] buffer = new byte[64];
    long end = System.nanoTime() + SOON.toNanos();
    while (heard.length() < length && System.nanoTime() < end) {
      int count = link.read(buffer, Duration.ofMillis(200));
      heard.append(new String(buffer, 0, count, StandardCharsets.US_ASCII));
    }
    return heard.toString();
  }
}
