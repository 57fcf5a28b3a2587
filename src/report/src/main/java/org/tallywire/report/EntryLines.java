package org.tallywire.report;

import java.io.ByteArrayOutputStream;
import java.nio.charset.StandardCharsets;
import java.security.GeneralSecurityException;
import java.security.KeyPair;
import java.security.MessageDigest;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.HexFormat;
import java.util.List;
import java.util.Optional;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/**
 * Entries of a journal as lines: position, previous digest, digest and the record byte for byte, so
 * that anybody can compute each digest again. Stateless, for any thread.
 */
public final class EntryLines {

  private static final HexFormat HEX = HexFormat.of();
  private static final Pattern LINE =
      Pattern.compile(
          "\\{\"position\":([0-9]{1,18}),\"previous\":\"([0-9a-f]{64})\",\"digest\":\"([0-9a-f]{64})\",\"payload\":(\\{.*\\})\\}",
          Pattern.DOTALL);

  /**
   * A line that was read.
   *
   * @param line its number, from 1
   * @param payload the record byte for byte
   */
  @SuppressWarnings("ArrayRecordComponent") // bytes are what it is about; lines are not compared
  public record Line(long line, long position, String previous, String digest, byte[] payload) {}

  /**
   * What lines say.
   *
   * @param lines those that can be read
   * @param faults a sentence for each line that cannot be, or whose digest does not follow
   */
  public record Content(List<Line> lines, List<String> faults) {
    public Content {
      lines = List.copyOf(lines);
      faults = List.copyOf(faults);
    }
  }

  private EntryLines() {}

  /**
   * Returns the entries of a record with a seal.
   *
   * @throws GeneralSecurityException if the key is not an Ed25519 key
   */
  public static byte[] sealed(TestRecord record, Optional<KeyPair> key)
      throws GeneralSecurityException {
    ByteArrayOutputStream out = new ByteArrayOutputStream();
    for (RecordedEntry entry : record.entries()) {
      out.writeBytes(
          "{\"position\":%d,\"previous\":\"%s\",\"digest\":\"%s\",\"payload\":"
              .formatted(entry.position(), entry.previous(), entry.digest())
              .getBytes(StandardCharsets.US_ASCII));
      out.writeBytes(entry.payload());
      out.writeBytes("}\n".getBytes(StandardCharsets.US_ASCII));
    }
    return SealedLines.seal(
        out.toByteArray(), record.head().position(), record.head().digest(), key);
  }

  /** Reads lines, all but the last of which are to be entries; the last is their seal. */
  public static Content read(byte[] file) {
    List<Line> lines = new ArrayList<>();
    List<String> faults = new ArrayList<>();
    long number = 0;
    int from = 0;
    for (int i = 0; i < file.length; i++) {
      if (file[i] == '\n') {
        number++;
        if (i + 1 < file.length || !isSeal(file, from)) {
          line(number, Arrays.copyOfRange(file, from, i), lines, faults);
        }
        from = i + 1;
      }
    }
    if (from < file.length && !isSeal(file, from)) {
      faults.add("line %d has no end".formatted(number + 1));
    }
    return new Content(lines, faults);
  }

  private static boolean isSeal(byte[] file, int from) {
    byte[] start = "{\"seal\":".getBytes(StandardCharsets.US_ASCII);
    int to = Math.min(file.length, from + start.length);
    return Arrays.equals(start, Arrays.copyOfRange(file, from, to));
  }

  private static void line(long number, byte[] bytes, List<Line> lines, List<String> faults) {
    Matcher parts = LINE.matcher(new String(bytes, StandardCharsets.ISO_8859_1));
    if (!parts.matches()) {
      faults.add("line %d is no entry of a journal with its digests".formatted(number));
      return;
    }
    Line line =
        new Line(
            number,
            Long.parseLong(parts.group(1)),
            parts.group(2),
            parts.group(3),
            parts.group(4).getBytes(StandardCharsets.ISO_8859_1));
    MessageDigest sha = Signing.sha();
    sha.update(HEX.parseHex(line.previous()));
    if (!HEX.formatHex(sha.digest(line.payload())).equals(line.digest())) {
      faults.add(
          "line %d, entry %d: record and digests do not belong together"
              .formatted(number, line.position()));
    }
    follows(lines, line, faults);
    lines.add(line);
  }

  private static void follows(List<Line> lines, Line line, List<String> faults) {
    if (lines.isEmpty()) {
      return;
    }
    Line before = lines.get(lines.size() - 1);
    if (line.position() <= before.position()) {
      faults.add(
          "line %d, entry %d: comes after entry %d, out of order"
              .formatted(line.line(), line.position(), before.position()));
    } else if (line.position() == before.position() + 1
        && !line.previous().equals(before.digest())) {
      faults.add(
          "line %d, entry %d: does not follow on entry %d"
              .formatted(line.line(), line.position(), before.position()));
    }
  }
}
