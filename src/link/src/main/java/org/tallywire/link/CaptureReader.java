package org.tallywire.link;

import java.io.BufferedReader;
import java.io.IOException;
import java.math.BigDecimal;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.Optional;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/**
 * Reads a capture file, as {@code shared/capture.md} describes it, event by event, in constant
 * memory. Used by one thread.
 */
public final class CaptureReader implements AutoCloseable {

  private static final int LONGEST_LINE = 4096;
  private static final int NANO_DIGITS = 9;
  private static final Pattern EVENT =
      Pattern.compile("([0-9]{1,9}(?:\\.[0-9]{1,9})?) ([<>]) ?(.*)");

  private final Path file;
  private final BufferedReader in;
  private int line;
  private Duration last = Duration.ZERO;

  private CaptureReader(Path file, BufferedReader in) {
    this.file = file;
    this.in = in;
  }

  /**
   * Opens a file.
   *
   * @throws IOException if it cannot be read, or with a sentence if it is no capture file
   */
  public static CaptureReader open(Path file) throws IOException {
    if (!Files.isRegularFile(file)) {
      throw new IOException("%s: there is no such file".formatted(file));
    }
    // every byte is some character, so that what is wrong is told with its line
    CaptureReader reader =
        new CaptureReader(file, Files.newBufferedReader(file, StandardCharsets.ISO_8859_1));
    try {
      Optional<String> first = reader.nextLine();
      if (!first.equals(Optional.of(CaptureWriter.FIRST_LINE))) {
        throw reader.wrong(
            "a capture file begins with the line \"%s\"".formatted(CaptureWriter.FIRST_LINE));
      }
      return reader;
    } catch (IOException e) {
      reader.close();
      throw e;
    }
  }

  /**
   * Returns the next event; empty at the end of the file.
   *
   * @throws IOException with file, line and a sentence if it is none
   */
  public Optional<CaptureEvent> next() throws IOException {
    Optional<String> text = nextLine();
    while (text.isPresent() && (text.get().isBlank() || text.get().startsWith("#"))) {
      text = nextLine();
    }
    return text.isEmpty() ? Optional.empty() : Optional.of(event(text.get()));
  }

  private CaptureEvent event(String text) throws IOException {
    Matcher parts = EVENT.matcher(text);
    if (!parts.matches()) {
      throw wrong("an event is written as in: 0.250000 < +1.234\\r\\n");
    }
    BigDecimal seconds = new BigDecimal(parts.group(1));
    Duration elapsed = Duration.ofNanos(seconds.movePointRight(NANO_DIGITS).longValueExact());
    if (elapsed.compareTo(last) < 0) {
      throw wrong("%s s is before the event above it".formatted(parts.group(1)));
    }
    last = elapsed;
    try {
      byte[] bytes = VisibleBytes.parse(parts.group(3));
      if (bytes.length == 0) {
        throw wrong("an event has at least one byte");
      }
      return new CaptureEvent(
          elapsed,
          parts.group(2).equals("<") ? CaptureEvent.Direction.CAME : CaptureEvent.Direction.SENT,
          bytes);
    } catch (IllegalArgumentException e) {
      throw wrong("in the bytes, " + e.getMessage());
    }
  }

  private Optional<String> nextLine() throws IOException {
    StringBuilder text = new StringBuilder();
    int c = in.read();
    if (c < 0) {
      return Optional.empty();
    }
    line++;
    while (c >= 0 && c != '\n') {
      if (text.length() == LONGEST_LINE) {
        throw wrong("it is longer than %d characters".formatted(LONGEST_LINE));
      }
      text.append((char) c);
      c = in.read();
    }
    int end = text.length();
    return Optional.of(
        end > 0 && text.charAt(end - 1) == '\r' ? text.substring(0, end - 1) : text.toString());
  }

  private IOException wrong(String sentence) {
    return new IOException("%s, line %d: %s".formatted(file, line, sentence));
  }

  @Override
  public void close() throws IOException {
    in.close();
  }
}
