package org.tallywire.link;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.time.Duration;
import java.util.List;
import java.util.Optional;
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
import org.tallywire.api.SerialSettings.FlowControl;
import org.tallywire.api.SerialSettings.Parity;
import org.tallywire.api.SerialSettings.StopBits;
import org.tallywire.simulator.wire.PtyWire;

/**
 * What the system says of a port after the library set it, asked with the system's own stty. A
 * pseudo-terminal of Linux keeps all flags but the parity's own switch and the data bits, which it
 * sets to none and 8 (its drivers/tty/pty.c); what the library sets beside them shows them.
 */
@EnabledOnOs(OS.LINUX)
class SerialSettingsTest {

  @TempDir private Path folder;

  private PtyWire wire;
  private Links links;

  @BeforeEach
  void plugIn() throws Exception {
    wire = new PtyWire(Optional.empty());
    wire.plugIn();
    links = new Links(folder.resolve("native"), folder);
  }

  @AfterEach
  void unplug() {
    wire.close();
  }

  @Test
  @DisplayName("Speed, parity and stop bits arrive at the system (J9: its checks of parity, too)")
  void characters() throws Exception {
    // 7 bits: istrip; parity: inpck and ignpar; odd and mark: parodd; mark and space: cmspar
    shows(
        9600, 7, Parity.EVEN, StopBits.ONE, "speed 9600", "istrip", "inpck", "-parodd", "-cmspar");
    shows(1200, 7, Parity.ODD, StopBits.TWO, "speed 1200", "istrip", "parodd", "-cmspar", "cstopb");
    shows(300, 8, Parity.MARK, StopBits.ONE, "speed 300", "-istrip", "parodd", "cmspar", "-cstopb");
    shows(2400, 8, Parity.SPACE, StopBits.ONE, "inpck", "-parodd", "cmspar");
    shows(4800, 8, Parity.NONE, StopBits.ONE, "-inpck", "-istrip", "-parodd", "-cmspar");
    shows(50, 5, Parity.NONE, StopBits.ONE_AND_A_HALF, "speed 50", "istrip", "cstopb");
    shows(12_345, 8, Parity.NONE, StopBits.ONE, "-istrip"); // stty has no word for this speed
  }

  @Test
  @DisplayName("J6: flow control is what was asked for, and nothing else")
  void flow() throws Exception {
    flowShows(FlowControl.NONE, "-ixon", "-ixoff", "-crtscts");
    flowShows(FlowControl.XON_XOFF, "ixon", "ixoff", "-crtscts", "start = ^Q", "stop = ^S");
    flowShows(FlowControl.RTS_CTS, "-ixon", "-ixoff", "crtscts");
  }

  @Test
  @DisplayName("J8: the library drops what waits at a BREAK; nothing here can turn that off")
  void breaks() throws Exception {
    flowShows(
        FlowControl.NONE, "brkint", "-ignbrk"); // when this fails, tell it in pitfalls: better
  }

  @Test
  @DisplayName("What the library would leave out silently is refused, with what to write instead")
  void objections() {
    refused(8, StopBits.ONE, FlowControl.DTR_DSR, true, "write rts-cts");
    refused(8, StopBits.ONE_AND_A_HALF, FlowControl.NONE, true, "write 2");
    refused(5, StopBits.TWO, FlowControl.NONE, true, "write 1.5");
    refused(8, StopBits.ONE, FlowControl.RTS_CTS, false, "set the line on, or flow to none");
  }

  @Test
  @DisplayName("Another speed is set after what was written before is out, and never before")
  void speed() throws Exception {
    SerialSettings settings = SerialSettings.at(300);
    Link link = links.open(address(settings, ControlLines.USUAL));
    try {
      long begun = System.nanoTime();
      link.write(new byte[] {'/', '?', '!', '\r', '\n', 6, '0', '5', '0'});
      Thread other = new Thread(this::readAll, "the other end");
      other.start();
      link.speed(9600);
      assertTrue(System.nanoTime() - begun >= settings.time(9).toNanos());
      assertTrue(stty().contains("speed 9600"), stty());
      link.speed(19_200);
      assertTrue(stty().contains("speed 19200"), stty());
      other.join(TimeUnit.SECONDS.toMillis(5));
    } finally {
      link.close();
    }
    assertEquals(
        FaultCode.LINK_LOST, assertThrows(LinkException.class, () -> link.speed(300)).code());
  }

  /** Reads as a program does that is set to another speed: what it reads is nobody's concern. */
  private void readAll() {
    try {
      byte[] buffer = new byte[64];
      for (int i = 0; i < 5; i++) {
        wire.read(buffer, 100);
      }
    } catch (java.io.IOException e) {
      throw new IllegalStateException(e);
    }
  }

  private void shows(int baud, int bits, Parity parity, StopBits stop, String... words)
      throws Exception {
    shown(
        new SerialSettings(baud, bits, parity, stop, FlowControl.NONE), ControlLines.USUAL, words);
  }

  private void flowShows(FlowControl flow, String... words) throws Exception {
    shown(new SerialSettings(9600, 8, Parity.NONE, StopBits.ONE, flow), ControlLines.USUAL, words);
  }

  private void shown(SerialSettings settings, ControlLines lines, String... words)
      throws Exception {
    try (Link link = links.open(address(settings, lines))) {
      link.settle();
      String all = stty();
      List<String> flags = List.of(all.split("[\\s;]+", -1));
      for (String word : words) {
        assertTrue(word.contains(" ") ? all.contains(word) : flags.contains(word), word + all);
      }
    }
  }

  private void refused(int bits, StopBits stop, FlowControl flow, boolean rts, String words) {
    SerialSettings settings = new SerialSettings(9600, bits, Parity.NONE, stop, flow);
    ControlLines lines = new ControlLines(true, rts, Duration.ZERO);
    LinkException e =
        assertThrows(LinkException.class, () -> links.open(address(settings, lines)).close());
    assertEquals(FaultCode.LINK_REFUSED, e.code());
    assertTrue(e.getMessage().contains(words), e.getMessage());
  }

  private LinkAddress address(SerialSettings settings, ControlLines lines) {
    return new LinkAddress.Serial(wire.address().substring("pty ".length()), settings, lines);
  }

  private String stty() throws Exception {
    String device = wire.address().substring("pty ".length());
    Process process =
        new ProcessBuilder("stty", "-a", "-F", device).redirectErrorStream(true).start();
    String said = new String(process.getInputStream().readAllBytes(), StandardCharsets.US_ASCII);
    assertTrue(process.waitFor(5, TimeUnit.SECONDS), "stty did not end");
    return said;
  }
}
