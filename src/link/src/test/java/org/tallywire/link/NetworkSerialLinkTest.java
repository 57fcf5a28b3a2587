package org.tallywire.link;

import static org.awaitility.Awaitility.await;
import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.ByteArrayOutputStream;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.HexFormat;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.EnumSource;
import org.tallywire.api.ControlLines;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Link;
import org.tallywire.api.LinkAddress;
import org.tallywire.api.LinkException;
import org.tallywire.api.SerialSettings;
import org.tallywire.api.SerialSettings.FlowControl;
import org.tallywire.api.SerialSettings.Parity;
import org.tallywire.api.SerialSettings.StopBits;
import org.tallywire.link.ComPortServer.Kind;

/** RFC 2217 over RFC 854, 855 and 856, against a server of the tests over a real socket. */
class NetworkSerialLinkTest {

  private static final Duration SOON = Duration.ofSeconds(5);
  private static final SerialSettings USUAL = SerialSettings.at(9600);

  @Test
  @DisplayName("RFC 2217: settings, flow control and lines arrive as they were asked for")
  void settings() throws Exception {
    SerialSettings settings =
        new SerialSettings(65_280, 7, Parity.EVEN, StopBits.TWO, FlowControl.XON_XOFF);
    try (ComPortServer server = new ComPortServer(Kind.GOOD);
        Link link = open(server, settings, new ControlLines(true, false, Duration.ZERO))) {
      link.settle();
      assertArrayEquals(hex("0000FF00"), server.setting(1));
      assertArrayEquals(hex("07"), server.setting(2));
      assertArrayEquals(hex("03"), server.setting(3)); // 3: EVEN
      assertArrayEquals(hex("02"), server.setting(4)); // 2: two stop bits
      assertArrayEquals(hex("02080C"), server.controls()); // XON/XOFF, DTR on, RTS off
      // the option is offered, and a value's FF is doubled, sub-negotiations included (RFC 855)
      String wire = HexFormat.of().withUpperCase().formatHex(server.wire());
      assertTrue(wire.startsWith("FFFB2C"), wire);
      assertTrue(wire.contains("FFFA2C010000FFFF00FFF0"), wire);
      assertTrue(wire.contains("FFFA2C0C03FFF0"), wire); // PURGE-DATA, both buffers
    }
  }

  @Test
  @DisplayName("RFC 2217: the other words for parity, stop bits, flow control")
  void otherWords() throws Exception {
    SerialSettings settings =
        new SerialSettings(300, 5, Parity.MARK, StopBits.ONE_AND_A_HALF, FlowControl.DTR_DSR);
    try (ComPortServer server = new ComPortServer(Kind.GOOD);
        Link link = open(server, settings, new ControlLines(true, true, Duration.ZERO))) {
      link.settle();
      assertArrayEquals(hex("04"), server.setting(3));
      assertArrayEquals(hex("03"), server.setting(4)); // 3: 1.5 stop bits
      assertArrayEquals(hex("1312080B"), server.controls());
    }
  }

  @Test
  @DisplayName("All 256 bytes go both ways, CR alone and FF among them (RFC 854, RFC 856)")
  void allBytes() throws Exception {
    byte[] all = new byte[256];
    for (int i = 0; i < all.length; i++) {
      all[i] = (byte) i;
    }
    try (ComPortServer server = new ComPortServer(Kind.GOOD);
        Link link = open(server, USUAL, ControlLines.USUAL)) {
      link.write(all);
      await().atMost(SOON).until(() -> server.data().length == all.length);
      assertArrayEquals(all, server.data());
      server.send(all);
      assertArrayEquals(all, heard(link, all.length));
      // a command between data, cut in the middle, and an option nobody wants: FF FB 01 is WILL
      // ECHO
      server.raw(hex("41FF"));
      server.raw(hex("FB0142"));
      assertArrayEquals(hex("4142"), heard(link, 2));
      await()
          .atMost(SOON)
          .until(() -> HexFormat.of().formatHex(server.wire()).endsWith("fffe01")); // DONT ECHO
      assertEquals(0, link.read(new byte[8], Duration.ofMillis(20)));
    }
  }

  @Test
  @DisplayName("RFC 2217: another speed is asked for after what was written has gone out")
  void speed() throws Exception {
    try (ComPortServer server = new ComPortServer(Kind.GOOD);
        Link link = open(server, SerialSettings.at(300), ControlLines.USUAL)) {
      long begun = System.nanoTime();
      link.write(new byte[6]);
      link.speed(4800);
      assertTrue(System.nanoTime() - begun >= Duration.ofMillis(200).toNanos()); // 6 × 10 / 300 s
      assertArrayEquals(hex("000012C0"), server.setting(1));
    }
  }

  @Test
  @DisplayName("RFC 2217: no bytes while the server suspends; they go when it resumes")
  void suspended() throws Exception {
    try (ComPortServer server = new ComPortServer(Kind.GOOD);
        Link link = open(server, USUAL, ControlLines.USUAL)) {
      server.say(108);
      server.send(ascii("x"));
      assertArrayEquals(ascii("x"), heard(link, 1)); // so the suspension was heard as well
      CompletableFuture<Void> write =
          CompletableFuture.runAsync(
              () -> {
                try {
                  link.write(ascii("hello"));
                } catch (LinkException e) {
                  throw new IllegalStateException(e);
                }
              });
      server.send(ascii("y"));
      assertEquals(0, server.data().length);
      server.say(109);
      write.get(5, TimeUnit.SECONDS);
      await().atMost(SOON).until(() -> server.data().length == 5);
      assertArrayEquals(ascii("y"), heard(link, 1), "what came meanwhile is kept");
      server.say(108);
      server.send(ascii("z"));
      assertArrayEquals(ascii("z"), heard(link, 1));
      LinkException e = assertThrows(LinkException.class, () -> link.write(ascii("a")));
      assertEquals(FaultCode.LINK_LOST, e.code());
      assertTrue(e.getMessage().contains("has said to wait"), e.getMessage());
    }
  }

  @ParameterizedTest
  @EnumSource(
      value = Kind.class,
      names = {"RAW", "ECHO", "PLAIN_TELNET", "NO_BINARY", "ONE_SPEED"})
  @DisplayName("A server that cannot do it is refused with a sentence that says what to do")
  void refused(Kind kind) throws Exception {
    try (ComPortServer server = new ComPortServer(kind)) {
      LinkException e =
          assertThrows(
              LinkException.class,
              () -> open(server, SerialSettings.at(19_200), ControlLines.USUAL));
      assertEquals(FaultCode.LINK_REFUSED, e.code());
      String expected =
          switch (kind) {
            case ONE_SPEED -> "does not set 19200 baud; it answers that it has 9600";
            case NO_BINARY -> "does not let all bytes through";
            default -> "use tcp in place of rfc2217";
          };
      assertTrue(e.getMessage().contains(expected), e.getMessage());
    }
  }

  @ParameterizedTest
  @EnumSource(
      value = Kind.class,
      names = {"MUTE_CONTROL", "ZEROS"})
  @DisplayName("Servers that confirm no control line, or add zeros to the speed, are taken")
  void tolerated(Kind kind) throws Exception {
    try (ComPortServer server = new ComPortServer(kind);
        Link link = open(server, USUAL, ControlLines.USUAL)) {
      server.send(ascii("+1.234\r\n"));
      assertArrayEquals(ascii("+1.234\r\n"), heard(link, 8));
    }
  }

  @Test
  @DisplayName("The server goes: the link is lost, and says so")
  void lost() throws Exception {
    ComPortServer server = new ComPortServer(Kind.GOOD);
    try (Link link = open(server, USUAL, ControlLines.USUAL)) {
      server.close();
      LinkException e = assertThrows(LinkException.class, () -> link.read(new byte[8], SOON));
      assertEquals(FaultCode.LINK_LOST, e.code());
    }
  }

  private static Link open(ComPortServer server, SerialSettings settings, ControlLines lines)
      throws LinkException {
    return NetworkSerialLink.open(
        new LinkAddress.NetworkSerial("127.0.0.1", server.port(), settings, lines));
  }

  private static byte[] heard(Link link, int length) throws LinkException {
    ByteArrayOutputStream heard = new ByteArrayOutputStream();
    byte[] buffer = new byte[64];
    long end = System.nanoTime() + SOON.toNanos();
    while (heard.size() < length && System.nanoTime() < end) {
      heard.write(buffer, 0, link.read(buffer, Duration.ofMillis(200)));
    }
    return heard.toByteArray();
  }

  private static byte[] hex(String digits) {
    return HexFormat.of().parseHex(digits);
  }

  private static byte[] ascii(String text) {
    return text.getBytes(StandardCharsets.US_ASCII);
  }
}
