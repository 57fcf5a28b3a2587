package org.tallywire.link;

import static org.awaitility.Awaitility.await;
import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTimeoutPreemptively;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardCopyOption;
import java.time.Duration;
import java.util.Optional;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.condition.EnabledOnOs;
import org.junit.jupiter.api.condition.OS;
import org.junit.jupiter.api.io.TempDir;
import org.tallywire.api.ControlLines;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Link;
import org.tallywire.api.LinkAddress;
import org.tallywire.api.LinkException;
import org.tallywire.api.SerialSettings;
import org.tallywire.simulator.wire.PtyWire;

/** The serial library itself at a real pseudo-terminal, whose other end is the test's. */
@EnabledOnOs({OS.LINUX, OS.MAC})
class SerialLinkTest {

  private static final Duration SOON = Duration.ofSeconds(5);
  private static final byte[] HELLO = "hello\n".getBytes(StandardCharsets.US_ASCII);

  @TempDir private Path folder;

  private Path adapter;
  private PtyWire wire;
  private Links links;

  @BeforeEach
  void plugIn() throws Exception {
    adapter = folder.resolve("adapter");
    wire = new PtyWire(Optional.of(adapter));
    wire.plugIn();
    links = links();
  }

  @AfterEach
  void unplug() {
    wire.close();
  }

  @Test
  @DisplayName(
      "Bytes go both ways; a read without any returns 0 in time (J5, J7: slices of 100 ms)")
  void carries() throws Exception {
    try (Link link = links.open(address(ControlLines.USUAL))) {
      link.settle();
      link.write(HELLO);
      assertArrayEquals(HELLO, atTheOtherEnd(HELLO.length));
      byte[] buffer = new byte[64];
      long begun = System.nanoTime();
      assertEquals(0, link.read(buffer, Duration.ofMillis(20)));
      assertTrue(System.nanoTime() - begun < SOON.toNanos());
      wire.write(HELLO, 0, HELLO.length);
      assertEquals("hello\n", text(link, HELLO.length));
    }
  }

  @Test
  @DisplayName("J1: pulled out, the read says that the port is gone; it opens anew when it is back")
  void pulledOut() throws Exception {
    try (Link link = links.open(address(ControlLines.USUAL))) {
      wire.unplug();
      LinkException e = assertThrows(LinkException.class, () -> readOn(link));
      assertEquals(FaultCode.LINK_LOST, e.code());
      assertEquals(
          FaultCode.LINK_NOT_FOUND,
          assertThrows(LinkException.class, () -> links.open(address(ControlLines.USUAL))).code());
    }
    wire.plugIn();
    carries();
  }

  @Test
  @DisplayName(
      "J13, A.3-12: a name that leads to another device ends the link; the next one is new")
  void elsewhere() throws Exception {
    PtyWire other = new PtyWire(Optional.empty());
    other.plugIn();
    try (Link link = links.open(address(ControlLines.USUAL))) {
      Path next = folder.resolve("next");
      Files.createSymbolicLink(next, Path.of(other.address().substring("pty ".length())));
      Files.move(next, adapter, StandardCopyOption.ATOMIC_MOVE);
      LinkException e = assertThrows(LinkException.class, () -> readOn(link));
      assertTrue(e.getMessage().contains("the port is gone"), e.getMessage());
      try (Link again = links.open(address(ControlLines.USUAL))) {
        other.write(HELLO, 0, HELLO.length);
        assertEquals("hello\n", text(again, HELLO.length));
      }
    } finally {
      other.close();
    }
  }

  @Test
  @DisplayName(
      "J6: a write that nobody takes ends within its limit, and so does the close after it")
  void nobodyReads() throws Exception {
    Link link = links.open(address(ControlLines.USUAL));
    byte[] much = new byte[1024 * 1024]; // more than a pseudo-terminal has room for
    LinkException e =
        assertTimeoutPreemptively(
            SOON, () -> assertThrows(LinkException.class, () -> link.write(much)));
    assertEquals(FaultCode.LINK_LOST, e.code());
    assertTimeoutPreemptively(SOON, link::close);
    await().atMost(SOON).until(() -> BoundedClose.leftBehind() == 0);
    try (Link again = links.open(address(ControlLines.USUAL))) {
      wire.write(HELLO, 0, HELLO.length);
      assertEquals("hello\n", text(again, HELLO.length));
    }
  }

  @Test
  @DisplayName("J3: a close from another thread frees the reader; a second close does nothing")
  void closeFreesTheReader() throws Exception {
    Link link = links.open(address(ControlLines.USUAL));
    CompletableFuture<LinkException> reader =
        CompletableFuture.supplyAsync(() -> assertThrows(LinkException.class, () -> readOn(link)));
    link.close();
    link.close();
    assertEquals(FaultCode.LINK_LOST, reader.get(5, TimeUnit.SECONDS).code());
    assertEquals(
        FaultCode.LINK_LOST, assertThrows(LinkException.class, () -> link.write(HELLO)).code());
    carries();
  }

  @Test
  @DisplayName("J12: what comes while it settles is no data, nothing is sent; then data are data")
  void settles() throws Exception {
    ControlLines lines = new ControlLines(true, true, Duration.ofMillis(400));
    try (Link link = links.open(address(lines))) {
      CompletableFuture<Void> early =
          CompletableFuture.runAsync(() -> say("booting, version 1\r\n"));
      long begun = System.nanoTime();
      link.settle();
      assertTrue(System.nanoTime() - begun >= Duration.ofMillis(400).toNanos());
      early.get(5, TimeUnit.SECONDS);
      assertEquals(0, link.read(new byte[64], Duration.ofMillis(20)));
      wire.write(HELLO, 0, HELLO.length);
      assertEquals("hello\n", text(link, HELLO.length));
    }
  }

  @Test
  @DisplayName("J12: a close ends a long settling")
  void closedWhileSettling() throws Exception {
    Link link = links.open(address(new ControlLines(true, true, Duration.ofSeconds(60))));
    CompletableFuture<FaultCode> settling =
        CompletableFuture.supplyAsync(() -> assertThrows(LinkException.class, link::settle).code());
    link.close();
    assertEquals(FaultCode.LINK_LOST, settling.get(5, TimeUnit.SECONDS));
  }

  @Test
  @EnabledOnOs(OS.LINUX)
  @DisplayName(
      "J12: the library is told of the lines before it opens: lowered ones stay so at a close")
  void lines() throws Exception {
    // a pseudo-terminal has no such lines, but the library clears HUPCL (which would raise and
    // lower them at opening and close) if and only if one of them is to be low
    setHangUp();
    try (Link link = links.open(address(new ControlLines(false, true, Duration.ZERO)))) {
      link.settle();
      assertTrue(terminal().contains("-hupcl"), terminal());
    }
    setHangUp();
    try (Link link = links.open(address(new ControlLines(true, false, Duration.ZERO)))) {
      link.settle();
      assertTrue(terminal().contains("-hupcl"), terminal());
    }
    setHangUp();
    try (Link link = links.open(address(ControlLines.USUAL))) {
      link.settle();
      assertFalse(terminal().contains("-hupcl"), terminal());
    }
  }

  @Test
  @DisplayName("J6: flow control is off, whatever it was before")
  void flowControl() throws Exception {
    stty("ixon", "ixoff", "crtscts");
    try (Link link = links.open(address(ControlLines.USUAL))) {
      link.settle();
      String now = terminal();
      for (String off : new String[] {"-ixon", "-ixoff", "-crtscts"}) {
        assertTrue(now.contains(off), now);
      }
    }
  }

  @Test
  @DisplayName("J10: a port that is open in this program is refused, under any of its names")
  void openHere() throws Exception {
    try (Link link = links.open(address(ControlLines.USUAL))) {
      link.settle();
      String device = wire.address().substring("pty ".length());
      LinkException e =
          assertThrows(LinkException.class, () -> links.open(LinkAddress.Serial.at(device, 9600)));
      assertEquals(FaultCode.LINK_BUSY, e.code());
      assertTrue(e.getMessage().contains("this program itself"), e.getMessage());
    }
    carries();
  }

  private Links links() {
    return new Links(folder.resolve("native"), folder);
  }

  private LinkAddress address(ControlLines lines) {
    return new LinkAddress.Serial(adapter.toString(), SerialSettings.at(115_200), lines);
  }

  private void say(String words) {
    byte[] bytes = words.getBytes(StandardCharsets.US_ASCII);
    try {
      wire.write(bytes, 0, bytes.length);
    } catch (IOException e) {
      throw new IllegalStateException(e);
    }
  }

  private static void readOn(Link link) throws LinkException {
    byte[] buffer = new byte[64];
    long end = System.nanoTime() + SOON.toNanos();
    while (System.nanoTime() < end) {
      link.read(buffer, Duration.ofMillis(200));
    }
  }

  private static String text(Link link, int length) throws LinkException {
    ByteArrayOutputStream heard = new ByteArrayOutputStream();
    byte[] buffer = new byte[64];
    long end = System.nanoTime() + SOON.toNanos();
    while (heard.size() < length && System.nanoTime() < end) {
      heard.write(buffer, 0, link.read(buffer, Duration.ofMillis(200)));
    }
    return heard.toString(StandardCharsets.US_ASCII);
  }

  private byte[] atTheOtherEnd(int length) throws IOException {
    ByteArrayOutputStream heard = new ByteArrayOutputStream();
    byte[] buffer = new byte[64];
    long end = System.nanoTime() + SOON.toNanos();
    while (heard.size() < length && System.nanoTime() < end) {
      heard.write(buffer, 0, wire.read(buffer, 100));
    }
    return heard.toByteArray();
  }

  private void setHangUp() throws Exception {
    stty("hupcl");
  }

  private String terminal() throws Exception {
    return stty("-a");
  }

  /** Asks the system's own program about the port, or sets it. */
  private String stty(String... words) throws Exception {
    String[] command = new String[words.length + 3];
    command[0] = "stty";
    command[1] = OS.LINUX.isCurrentOs() ? "-F" : "-f";
    command[2] = wire.address().substring("pty ".length());
    System.arraycopy(words, 0, command, 3, words.length);
    Process process = new ProcessBuilder(command).redirectErrorStream(true).start();
    String said = new String(process.getInputStream().readAllBytes(), StandardCharsets.US_ASCII);
    assertTrue(process.waitFor(5, TimeUnit.SECONDS), "stty did not end");
    assertEquals(0, process.exitValue(), said);
    return said;
  }
}
