package org.tallywire.link;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.math.BigDecimal;
import java.nio.charset.StandardCharsets;
import java.nio.file.FileAlreadyExistsException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.Random;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.TimeUnit;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Link;
import org.tallywire.api.LinkAddress;
import org.tallywire.api.LinkException;
import org.tallywire.api.TimeSource;
import org.tallywire.link.CaptureEvent.Direction;

/** Capture files, written and read and played; shared/capture.md says what they are. */
class CaptureTest {

  private static final Duration SOON = Duration.ofSeconds(5);
  private static final Path PAGE = Path.of("../../shared/capture.md");
  private static final LinkAddress WHERE = LinkAddress.Serial.at("/dev/ttyUSB0", 9600);

  @TempDir private Path folder;

  @Test
  @DisplayName("All 256 bytes, alone and in random pieces, come back as they were")
  void roundTrip() throws Exception {
    long seed = new Random().nextLong();
    Random random = new Random(seed);
    List<CaptureEvent> events = new ArrayList<>();
    for (int i = 0; i < 256; i++) {
      events.add(event(i, Direction.CAME, new byte[] {(byte) i}));
    }
    for (int i = 0; i < 200; i++) {
      byte[] bytes = new byte[1 + random.nextInt(1000)];
      random.nextBytes(bytes);
      Direction way = random.nextBoolean() ? Direction.CAME : Direction.SENT;
      events.add(event(300 + i, way, bytes));
    }
    Path file = write(events);
    assertEquals(both(events), both(read(file)), "seed " + seed);
    for (String line : Files.readAllLines(file, StandardCharsets.US_ASCII)) {
      assertTrue(line.matches("[ -~]{1,1000}") && line.equals(line.strip()), line);
    }
  }

  @Test
  @DisplayName("The file that the page shows is what is written, and reads as it says")
  void page() throws Exception {
    Matcher example =
        Pattern.compile("(?s)```\n(# tallywire capture 1\n.*?)```").matcher(Files.readString(PAGE));
    assertTrue(example.find(), "shared/capture.md shows no capture file");
    Path shown = folder.resolve("shown.capture");
    Files.writeString(shown, example.group(1));
    List<CaptureEvent> events = read(shown);
    try (CaptureWriter writer =
        CaptureWriter.create(
            folder.resolve("again"), WHERE, Instant.parse("2026-11-25T09:00:00.012Z"))) {
      for (CaptureEvent event : events) {
        writer.write(event);
      }
      writer.remark(Duration.ofMillis(2500), "ended");
    }
    assertEquals(example.group(1), Files.readString(folder.resolve("again")));
  }

  @Test
  @DisplayName("A file that is there is not written over")
  void refuses() throws Exception {
    Path file = folder.resolve("precious");
    Files.writeString(file, "precious");
    assertThrows(
        FileAlreadyExistsException.class, () -> CaptureWriter.create(file, WHERE, Instant.EPOCH));
    assertEquals("precious", Files.readString(file));
  }

  @ParameterizedTest
  @CsvSource({
    "'x', 'line 1: a capture file begins with'",
    "'# tallywire capture 1\n0.1 < a\n0.05 < b', 'line 3: 0.05 s is before the event above it'",
    "'# tallywire capture 1\n0.1 = a', 'line 2: an event is written as in'",
    "'# tallywire capture 1\n0.1 < a\\q', 'line 2: in the bytes, character 2: behind a'",
    "'# tallywire capture 1\n0.1 < \\x4', 'behind \\x stand two hexadecimal digits'",
    "'# tallywire capture 1\n0.1 < \\x+4', 'behind \\x stand two hexadecimal digits'",
    "'# tallywire capture 1\n0.1 < ', 'line 2: an event has at least one byte'",
    "'# tallywire capture 1\n0.1 < Ω', 'is written byte by byte as \\xHH'",
  })
  @DisplayName("What is wrong with a file is told with its line and what to write")
  void wrong(String content, String sentence) throws Exception {
    Path file = folder.resolve("wrong.capture");
    Files.writeString(file, content);
    IOException e = assertThrows(IOException.class, () -> read(file));
    assertTrue(String.valueOf(e.getMessage()).contains(sentence), e.getMessage());
  }

  @Test
  @DisplayName("A line without an end is not read into memory")
  void endless() throws Exception {
    Path file = folder.resolve("endless.capture");
    Files.writeString(file, "# tallywire capture 1\n0.1 < " + "a".repeat(1_000_000));
    IOException e = assertThrows(IOException.class, () -> read(file));
    assertTrue(String.valueOf(e.getMessage()).contains("longer than 4096"), e.getMessage());
  }

  @Test
  @DisplayName("Played at a pace, what came comes in its time; then the end, and not once more")
  void plays() throws Exception {
    Path file =
        write(
            List.of(
                event(0, Direction.SENT, "*IDN?\n"),
                event(500, Direction.CAME, "one\r\n"),
                event(600, Direction.SENT, "?\n"),
                event(3000, Direction.CAME, "two\r\n")));
    LinkAddress address = new LinkAddress.Recording(file, BigDecimal.TEN);
    try (Links links = new Links(folder)) {
      long begun = System.nanoTime();
      try (Link link = links.open(address)) {
        link.write(new byte[3]);
        assertEquals("one\r\n", text(link, 5));
        assertEquals(0, link.read(new byte[8], Duration.ofMillis(1)));
        assertEquals("two\r\n", text(link, 5));
        assertTrue(System.nanoTime() - begun >= Duration.ofMillis(300).toNanos());
        assertEquals(0, link.read(new byte[8], Duration.ofMillis(1)), "time to understand it");
        LinkException e = assertThrows(LinkException.class, () -> link.read(new byte[8], SOON));
        assertEquals(FaultCode.LINK_LOST, e.code());
        assertTrue(e.getMessage().contains("the recording is at its end"), e.getMessage());
      }
      LinkException e = assertThrows(LinkException.class, () -> links.open(address));
      assertTrue(e.getMessage().contains("is not played again"), e.getMessage());
      try (Link other = links.open(new LinkAddress.Recording(file, BigDecimal.ZERO))) {
        assertEquals("one\r\ntwo\r\n", text(other, 10), "another station's is its own");
      }
    }
  }

  @Test
  @DisplayName("Closed in the middle and opened again, it goes on with the byte where it stood")
  void goesOn() throws Exception {
    Path file =
        write(
            List.of(
                event(0, Direction.CAME, "first\n"),
                event(10, Direction.SENT, "x"),
                event(20, Direction.CAME, "second\n"),
                event(30, Direction.CAME, "third\n")));
    LinkAddress address = new LinkAddress.Recording(file, BigDecimal.ONE);
    StringBuilder heard = new StringBuilder();
    try (Links links = new Links(folder)) {
      while (heard.length() < 19) {
        try (Link link = links.open(address)) {
          byte[] buffer = new byte[4];
          int count = link.read(buffer, SOON);
          heard.append(new String(buffer, 0, count, StandardCharsets.US_ASCII));
        }
      }
    }
    assertEquals("first\nsecond\nthird\n", heard.toString());
  }

  @Test
  @DisplayName("A close frees a reader that waits for the next piece")
  void closeFrees() throws Exception {
    Path file = write(List.of(event(60_000, Direction.CAME, "late\n")));
    try (Links links = new Links(folder)) {
      Link link = links.open(new LinkAddress.Recording(file, BigDecimal.ONE));
      CompletableFuture<FaultCode> reader =
          CompletableFuture.supplyAsync(
              () ->
                  assertThrows(
                          LinkException.class, () -> link.read(new byte[8], Duration.ofMinutes(2)))
                      .code());
      link.close();
      assertEquals(FaultCode.LINK_LOST, reader.get(5, TimeUnit.SECONDS));
    }
  }

  @Test
  @DisplayName("A capture of a link has both ways and is played back the same")
  void capture() throws Exception {
    Path first = write(List.of(event(0, Direction.CAME, "+1.234\r\n")));
    Path second = folder.resolve("second.capture");
    List<CaptureEvent> witnessed = new ArrayList<>();
    try (Links links = new Links(folder);
        CaptureWriter writer = CaptureWriter.create(second, WHERE, Instant.EPOCH);
        Link link =
            new Capture(
                links.open(new LinkAddress.Recording(first, BigDecimal.ZERO)),
                writer,
                TimeSource.system(),
                witnessed::add)) {
      link.write("?\n".getBytes(StandardCharsets.US_ASCII));
      assertEquals("+1.234\r\n", text(link, 8));
      link.speed(300);
    }
    assertEquals("sent ?\\n came +1.234\\r\\n", both(read(second)));
    assertEquals(both(witnessed), both(read(second)));
    assertTrue(Files.readString(second).contains("speed 300 baud"));
  }

  private Path write(List<CaptureEvent> events) throws IOException {
    Path file = folder.resolve("written.capture");
    try (CaptureWriter writer = CaptureWriter.create(file, WHERE, Instant.EPOCH)) {
      for (CaptureEvent event : events) {
        writer.write(event);
      }
    }
    return file;
  }

  private static List<CaptureEvent> read(Path file) throws IOException {
    List<CaptureEvent> events = new ArrayList<>();
    try (CaptureReader reader = CaptureReader.open(file)) {
      Optional<CaptureEvent> next = reader.next();
      while (next.isPresent()) {
        events.add(next.get());
        next = reader.next();
      }
    }
    return events;
  }

  /** Returns what went each way in turn, whatever the pieces are. */
  private static String both(List<CaptureEvent> events) {
    StringBuilder all = new StringBuilder();
    Direction way = null;
    ByteArrayOutputStream run = new ByteArrayOutputStream();
    for (CaptureEvent event : events) {
      if (event.direction() != way) {
        end(run, all);
        way = event.direction();
        all.append(all.isEmpty() ? "" : " ").append(way == Direction.CAME ? "came " : "sent ");
      }
      run.writeBytes(event.bytes());
    }
    end(run, all);
    return all.toString();
  }

  private static void end(ByteArrayOutputStream run, StringBuilder all) {
    byte[] bytes = run.toByteArray();
    String text = VisibleBytes.text(bytes, 0, bytes.length);
    assertArrayEquals(bytes, VisibleBytes.parse(text));
    all.append(text);
    run.reset();
  }

  private static CaptureEvent event(int millis, Direction way, String text) {
    return event(millis, way, text.getBytes(StandardCharsets.US_ASCII));
  }

  private static CaptureEvent event(int millis, Direction way, byte[] bytes) {
    return new CaptureEvent(Duration.ofMillis(millis), way, bytes);
  }

  private static String text(Link link, int length) throws LinkException {
    StringBuilder heard = new StringBuilder();
    byte[] buffer = new byte[64];
    while (heard.length() < length) {
      int count = link.read(buffer, SOON);
      assertTrue(count > 0, "no more after " + heard);
      heard.append(new String(buffer, 0, count, StandardCharsets.US_ASCII));
    }
    return heard.toString();
  }
}
