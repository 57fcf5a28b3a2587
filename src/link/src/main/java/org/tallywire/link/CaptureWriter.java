package org.tallywire.link;

import java.io.IOException;
import java.io.Writer;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.TimeUnit;
import org.tallywire.api.LinkAddress;

/**
 * Writes a capture file, as {@code shared/capture.md} describes it; what was written is with the
 * system at once, so that it is there however the program ends. Used by one thread.
 */
public final class CaptureWriter implements AutoCloseable {

  static final String FIRST_LINE = "# tallywire capture 1";

  /** So that a line stays readable, and bounded: four characters a byte at most. */
  static final int MOST_BYTES_A_LINE = 240;

  private final Writer out;

  private CaptureWriter(Writer out) {
    this.out = out;
  }

  /**
   * Makes the file, which must not exist.
   *
   * @param address what is captured
   * @param begun the wall time at which it begins
   * @throws java.nio.file.FileAlreadyExistsException if something stands there
   */
  public static CaptureWriter create(Path file, LinkAddress address, Instant begun)
      throws IOException {
    CaptureWriter writer =
        new CaptureWriter(
            Files.newBufferedWriter(
                file, StandardCharsets.US_ASCII, StandardOpenOption.CREATE_NEW));
    byte[] where = address.toString().getBytes(StandardCharsets.UTF_8);
    writer.line(FIRST_LINE);
    writer.line("# address: " + VisibleBytes.text(where, 0, where.length));
    writer.line("# begun: " + begun);
    writer.line("# seconds < came, > sent: bytes");
    return writer;
  }

  /** Writes a piece; a long one, or one of several lines of text, becomes several events. */
  public void write(CaptureEvent event) throws IOException {
    for (String line : lines(event)) {
      line(line);
    }
  }

  /** Writes a remark, which is not played. */
  public void remark(Duration elapsed, String words) throws IOException {
    byte[] utf8 = words.getBytes(StandardCharsets.UTF_8);
    line("# %s %s".formatted(seconds(elapsed), VisibleBytes.text(utf8, 0, utf8.length)));
  }

  private void line(String text) throws IOException {
    out.write(text + "\n");
    out.flush();
  }

  /** Returns the lines of a file that an event is. */
  public static List<String> lines(CaptureEvent event) {
    byte[] bytes = event.bytes();
    String start = seconds(event.elapsed()) + " " + event.direction().mark() + " ";
    List<String> lines = new ArrayList<>();
    int from = 0;
    while (from < bytes.length) {
      int to = from + 1;
      while (to < bytes.length && to - from < MOST_BYTES_A_LINE && bytes[to - 1] != '\n') {
        to++;
      }
      lines.add(start + VisibleBytes.text(bytes, from, to));
      from = to;
    }
    return lines;
  }

  private static String seconds(Duration elapsed) {
    long micros = TimeUnit.NANOSECONDS.toMicros(elapsed.toNanos());
    long second = TimeUnit.SECONDS.toMicros(1);
    return "%d.%06d".formatted(micros / second, micros % second);
  }

  @Override
  public void close() throws IOException {
    out.close();
  }
}
