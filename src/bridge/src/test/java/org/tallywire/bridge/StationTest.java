package org.tallywire.bridge;

import static org.awaitility.Awaitility.await;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.time.Duration;
import java.util.Arrays;
import java.util.List;
import java.util.Optional;
import java.util.concurrent.CopyOnWriteArrayList;
import java.util.regex.Pattern;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Link;
import org.tallywire.api.LinkAddress;
import org.tallywire.api.LinkException;
import org.tallywire.api.TimeSource;
import org.tallywire.journal.Journal;
import org.tallywire.kit.ScriptedLink;

/** One station with the real line driver and a real journal, over a link that the test scripts. */
class StationTest {

  private static final String CHANNEL = "<channel req=%d n=1 of=1 ch=1 quantity=%s unit=%s";

  private static final LinkAddress ADDRESS = LinkAddress.Serial.at("scripted", 115_200);

  @TempDir private Path folder;

  private final List<ScriptedLink> opened = new CopyOnWriteArrayList<>();
  private final List<String> states = new CopyOnWriteArrayList<>();
  private volatile LinkException refusal;
  private Journal journal;
  private StateBoard board;
  private Station station;

  @BeforeEach
  void start() throws Exception {
    journal = Journal.open(folder, TimeSource.system());
    board = new StateBoard(TimeSource.system());
    board.tell((name, record) -> states.add(new String(record, StandardCharsets.UTF_8)));
    station = station(Optional.empty());
  }

  private Station station(Optional<String> instrument) {
    return new Station(
        new BridgeConfig.Station(
            "bay-1", Drivers.shipped().named("line").orElseThrow(), ADDRESS, instrument),
        address -> open(),
        new Recorder(journal, TimeSource.system()),
        board,
        TimeSource.system());
  }

  @AfterEach
  void close() {
    station.close();
    journal.close();
  }

  @Test
  @DisplayName("Half a line and noise at attach cost nothing: the first whole reading is recorded")
  void attach() {
    station.start();
    ScriptedLink link = link(0);
    link.arrive(bytes("ock=free status=ok test=turns-ratio*12"));
    link.arrive(new byte[] {0, (byte) 0xFF, '\n'});
    converse(link);
    link.arrive(reading(1));
    awaitReadings(1);
    await().atMost(Duration.ofMinutes(1)).until(() -> written(link).contains(">ack boot=b1 seq=1"));
  }

  @Test
  @DisplayName("Unplugged in mid-line: the rest is not waited for; the new link goes on after it")
  void unplugged() {
    station.start();
    converse(link(0));
    link(0).arrive(reading(1));
    awaitReadings(1);
    byte[] second = reading(2);
    link(0).arrive(Arrays.copyOf(second, second.length / 2));
    link(0).cut();
    converse(link(1));
    assertTrue(written(link(1)).contains(" boot=b1 after=1 "), written(link(1)));
    link(1).arrive(reading(2));
    awaitReadings(2);
    assertTrue(states.stream().anyMatch(s -> s.contains("\"state\":\"down\"")), states.toString());
  }

  @Test
  @DisplayName(
      "A port that is busy is tried again until it is free, and the state says who and why")
  void busy() {
    refusal = new LinkException(FaultCode.LINK_BUSY, "opening scripted: process 1 has it open");
    station.start();
    await()
        .atMost(Duration.ofMinutes(1))
        .until(() -> states.stream().anyMatch(s -> s.contains("process 1 has it open")));
    refusal = null;
    converse(link(0));
    link(0).arrive(reading(1));
    awaitReadings(1);
  }

  @Test
  @DisplayName("Only noise comes: the state asks whether the speed and the driver are right")
  void wrongSpeed() {
    station.start();
    link(0).arrive(bytes("\u0000\u00f8\u00f8x\u0080\n"));
    await()
        .atMost(Duration.ofMinutes(1))
        .until(() -> states.stream().anyMatch(s -> s.contains("is the speed right")));
  }

  @Test
  @DisplayName("An instrument of another major version is refused, and the state says so")
  void otherVersion() {
    station.start();
    ScriptedLink link = link(0);
    int request = request(link, ">hello", 1);
    link.arrive(line(hello(request).replace("version=1.0", "version=2.0")));
    await()
        .atMost(Duration.ofMinutes(1))
        .until(() -> states.stream().anyMatch(s -> s.contains("speaks version 2.0")));
  }

  @Test
  @DisplayName("L-17c: another list under the same boot id ends the session, and the state says so")
  void otherChannels() {
    station.start();
    ScriptedLink link = link(0);
    converse(link);
    link.arrive(line("!start boot=b1"));
    link.arrive(line(hello(request(link, ">hello", 2))));
    link.arrive(line(CHANNEL.formatted(request(link, ">channels", 2), "test-voltage", "V")));
    await()
        .atMost(Duration.ofMinutes(1))
        .until(() -> states.stream().anyMatch(s -> s.contains("lists other channels")));
    await().atMost(Duration.ofMinutes(1)).until(() -> opened.size() > 1);
  }

  @Test
  @DisplayName("Another instrument on the next link: told in the state, its own sequence recorded")
  void replaced() throws Exception {
    station.start();
    converse(link(0));
    link(0).arrive(reading(1));
    awaitReadings(1);
    link(0).cut();
    converse(link(1), "008");
    link(1).arrive(reading(1));
    awaitReadings(2);
    awaitState("another instrument than before: serial 007 was replaced by serial 008");
    assertTrue(written(link(1)).contains(" boot=b1 after=0 "), "its numbers are its own");
  }

  @Test
  @DisplayName("A station that is set to one instrument takes nothing from another, and says so")
  void wrongInstrument() throws Exception {
    station = station(Optional.of("007"));
    station.start();
    ScriptedLink wrong = link(0);
    wrong.arrive(line(hello(request(wrong, ">hello", 1)).replace("=007", "=008")));
    awaitState("No reading is taken: the instrument here has serial 008, and this station is set");
    assertFalse(written(wrong).contains(">send"), "it was asked for readings");
    converse(link(1));
    link(1).arrive(reading(1));
    awaitReadings(1);
    assertFalse(states.get(states.size() - 1).contains("another instrument"));
  }

  @Test
  @DisplayName("An instrument that starts again on the same link is told in the state")
  void startedAgain() {
    station.start();
    ScriptedLink link = link(0);
    converse(link);
    link.arrive(line("!start boot=b2"));
    link.arrive(line(hello(request(link, ">hello", 2)).replace("boot=b1", "boot=b2")));
    link.arrive(line(CHANNEL.formatted(request(link, ">channels", 2), "turns-ratio", "1")));
    awaitState("serial 007, has started again: its boot id is b2, it was b1");
  }

  @Test
  @DisplayName("close() is bounded, frees a waiting reader, and may come twice")
  void closing() {
    station.start();
    converse(link(0));
    station.close();
    station.close();
    assertFalse(
        Thread.getAllStackTraces().keySet().stream()
            .anyMatch(thread -> thread.getName().equals("station bay-1")));
    assertTrue(states.get(states.size() - 1).contains("\"state\":\"stopped\""));
  }

  private Link open() throws LinkException {
    LinkException refused = refusal;
    if (refused != null) {
      throw refused;
    }
    ScriptedLink link = new ScriptedLink();
    opened.add(link);
    return link;
  }

  private ScriptedLink link(int index) {
    await().atMost(Duration.ofMinutes(1)).until(() -> opened.size() > index);
    return opened.get(index);
  }

  /** Answers hello, channels and send. */
  private void converse(ScriptedLink link) {
    converse(link, "007");
  }

  private void converse(ScriptedLink link, String serial) {
    link.arrive(line(hello(request(link, ">hello", 1)).replace("=007", "=" + serial)));
    link.arrive(line(CHANNEL.formatted(request(link, ">channels", 1), "turns-ratio", "1")));
    link.arrive(line("<ok req=" + request(link, ">send", 1)));
  }

  /**
   * Waits for the nth request of a kind and returns its number; one that is repeated keeps it (rule
   * L-16).
   */
  private static int request(ScriptedLink link, String kind, int nth) {
    Pattern request = Pattern.compile(kind + " req=([0-9]+)[^\n]*\n");
    await().atMost(Duration.ofMinutes(1)).until(() -> numbers(request, link).size() >= nth);
    return numbers(request, link).get(nth - 1);
  }

  private static List<Integer> numbers(Pattern request, ScriptedLink link) {
    return request
        .matcher(written(link))
        .results()
        .map(found -> Integer.parseInt(found.group(1)))
        .distinct()
        .toList();
  }

  private void awaitReadings(int count) {
    await()
        .atMost(Duration.ofMinutes(1))
        .untilAsserted(
            () ->
                assertEquals(
                    count,
                    journal.read(0, 100).stream().filter(e -> e.kind().equals("reading")).count()));
  }

  private void awaitState(String words) {
    await()
        .atMost(Duration.ofMinutes(1))
        .until(() -> states.stream().anyMatch(state -> state.contains(words)));
  }

  private static String hello(int request) {
    return ("<hello req=%d version=1.0 maker=Invented model=tester serial=007 firmware=0.1 boot=b1"
            + " line=240 store=500 beat=2000")
        .formatted(request);
  }

  private static byte[] reading(int number) {
    return line("!reading boot=b1 seq=%d clock=none status=ok v1=1.0".formatted(number));
  }

  private static String written(ScriptedLink link) {
    return new String(link.written(), StandardCharsets.ISO_8859_1);
  }

  private static byte[] bytes(String text) {
    return text.getBytes(StandardCharsets.ISO_8859_1);
  }

  private static byte[] line(String body) {
    return bytes("%s*%04X\n".formatted(body, crc(bytes(body))));
  }

  /** CRC-16/IBM-3740 once more, table-free: the driver's own is not visible here. */
  private static int crc(byte[] bytes) {
    int crc = 0xFFFF;
    for (byte b : bytes) {
      crc ^= (b & 0xFF) << 8;
      for (int bit = 0; bit < 8; bit++) {
        crc = (crc & 0x8000) != 0 ? (crc << 1) ^ 0x1021 : crc << 1;
      }
      crc &= 0xFFFF;
    }
    return crc;
  }
}
