package org.tallywire.link;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTimeoutPreemptively;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.net.InetAddress;
import java.net.ServerSocket;
import java.net.Socket;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.Arrays;
import java.util.concurrent.CompletableFuture;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Link;
import org.tallywire.api.LinkAddress;
import org.tallywire.api.LinkException;

/** Real sockets, and the serial ports that are none; the bridge's tests open a pseudo-terminal. */
class LinksTest {

  private static final Duration SOON = Duration.ofSeconds(5);
  private static final byte[] HELLO = "hello\n".getBytes(StandardCharsets.US_ASCII);

  @TempDir private Path folder;

  private Links links;
  private ServerSocket server;

  @BeforeEach
  void listen() throws Exception {
    links = new Links(folder.resolve("native"));
    server = new ServerSocket(0, 1, InetAddress.getLoopbackAddress());
  }

  @AfterEach
  void stop() throws Exception {
    server.close();
  }

  @Test
  @DisplayName("TCP carries bytes both ways, and a read without any returns 0 in time")
  void carries() throws Exception {
    try (Link link = links.open(address());
        Socket peer = server.accept()) {
      link.write(HELLO);
      assertArrayEquals(HELLO, peer.getInputStream().readNBytes(HELLO.length));
      byte[] buffer = new byte[64];
      assertEquals(0, link.read(buffer, Duration.ofMillis(20)));
      peer.getOutputStream().write(HELLO);
      int count = link.read(buffer, SOON);
      assertArrayEquals(Arrays.copyOf(HELLO, count), Arrays.copyOf(buffer, count));
    }
  }

  @Test
  @DisplayName("When the other side closes, a read says that the link is lost")
  void lost() throws Exception {
    try (Link link = links.open(address())) {
      server.accept().close();
      LinkException e = assertThrows(LinkException.class, () -> link.read(new byte[8], SOON));
      assertEquals(FaultCode.LINK_LOST, e.code());
    }
  }

  @Test
  @DisplayName("A close from another thread frees a waiting reader; a second close does nothing")
  void closeFreesTheReader() throws Exception {
    Link link = links.open(address());
    try (Socket peer = server.accept()) {
      CompletableFuture<FaultCode> reader =
          CompletableFuture.supplyAsync(
              () ->
                  assertThrows(
                          LinkException.class,
                          () -> {
                            while (true) {
                              link.read(new byte[8], SOON);
                            }
                          })
                      .code());
      link.close();
      link.close();
      assertTimeoutPreemptively(SOON, () -> assertEquals(FaultCode.LINK_LOST, reader.get()));
      assertTrue(peer.isConnected());
    }
  }

  @Test
  @DisplayName("An accepted connection carries bytes; a peer that does not read ends the write")
  void accepted() throws Exception {
    try (Socket peer = new Socket(server.getInetAddress(), server.getLocalPort());
        Link link = Links.accepted(server.accept(), "the peer")) {
      peer.getOutputStream().write(HELLO);
      byte[] buffer = new byte[64];
      int count = link.read(buffer, SOON);
      assertArrayEquals(Arrays.copyOf(HELLO, count), Arrays.copyOf(buffer, count));
      byte[] much = new byte[64 * 1024 * 1024]; // more than both sides have room for
      LinkException e =
          assertTimeoutPreemptively(
              SOON, () -> assertThrows(LinkException.class, () -> link.write(much)));
      assertEquals(FaultCode.LINK_LOST, e.code());
      assertTrue(e.getMessage().contains("the peer: not taken within"), e.getMessage());
    }
  }

  @Test
  @DisplayName("Nobody listens: refused, with the address")
  void refused() throws Exception {
    LinkAddress nobody = address();
    server.close();
    LinkException e = assertThrows(LinkException.class, () -> links.open(nobody));
    assertEquals(FaultCode.LINK_REFUSED, e.code());
    assertTrue(e.getMessage().contains(nobody.toString()), e.getMessage());
  }

  @Test
  @DisplayName("A serial port that is not there is told with the ports that are")
  void noSuchPort() {
    LinkException e = open("/dev/nothing-of-that-name");
    assertEquals(FaultCode.LINK_NOT_FOUND, e.code());
    assertTrue(e.getMessage().contains("this machine"), e.getMessage());
  }

  @Test
  @DisplayName("A file and a folder are no serial ports and are not touched; /dev/null is none")
  void noPort() throws Exception {
    Path file = folder.resolve("precious");
    Files.writeString(file, "precious");
    assertEquals(FaultCode.LINK_REFUSED, open(file.toString()).code());
    assertEquals("precious", Files.readString(file));
    assertEquals(FaultCode.LINK_REFUSED, open(folder.toString()).code());
    assertEquals(FaultCode.LINK_REFUSED, open("/dev/null").code());
  }

  @Test
  @DisplayName("J14: screens and terminals of the system are refused, also behind a link of ours")
  void terminals() throws Exception {
    for (String terminal : new String[] {"/dev/tty", "/dev/tty1", "/dev/console", "/dev/ptmx"}) {
      if (Files.exists(Path.of(terminal)) && Files.isDirectory(Path.of("/sys/class/tty"))) {
        Path link = folder.resolve(terminal.substring("/dev/".length()));
        Files.createSymbolicLink(link, Path.of(terminal));
        LinkException e = open(link.toString());
        assertEquals(FaultCode.LINK_REFUSED, e.code(), e.getMessage());
        assertTrue(e.getMessage().contains("no serial port"), e.getMessage());
      }
    }
  }

  @Test
  @DisplayName("What comes over TCP while the instrument settles is no data; a loss then is told")
  void settles() throws Exception {
    Duration settle = Duration.ofMillis(300);
    LinkAddress behind = new LinkAddress.Tcp("127.0.0.1", server.getLocalPort(), settle);
    try (Link link = links.open(behind);
        Socket peer = server.accept()) {
      peer.getOutputStream().write("stray".getBytes(StandardCharsets.US_ASCII));
      long begun = System.nanoTime();
      link.settle();
      assertTrue(System.nanoTime() - begun >= settle.toNanos(), "it settled for less");
      peer.getOutputStream().write(HELLO);
      byte[] buffer = new byte[64];
      int count = link.read(buffer, SOON);
      assertArrayEquals(HELLO, Arrays.copyOf(buffer, count));
    }
    try (Link link = links.open(behind)) {
      server.accept().close();
      assertEquals(FaultCode.LINK_LOST, assertThrows(LinkException.class, link::settle).code());
    }
  }

  private LinkException open(String port) {
    return assertThrows(LinkException.class, () -> links.open(LinkAddress.Serial.at(port, 9600)));
  }

  private LinkAddress address() {
    return new LinkAddress.Tcp("127.0.0.1", server.getLocalPort());
  }
}
