package org.tallywire.format;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.ByteArrayInputStream;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.InputStream;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.Random;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;

class RecordLinesTest {

  private static final String GAP = "{\"record\":\"gap\",\"id\":\"g%d\"}";

  private final List<String> refused = new ArrayList<>();

  @Test
  @DisplayName("Lines with LF, CR LF, a byte order mark, white space and no end are records")
  void ends() throws Exception {
    String text = "\uFEFF" + gap(1) + "\n" + gap(2) + "\r\n\n  \r\n" + gap(3) + "\n" + " " + gap(4);
    assertEquals(List.of("1 g1", "2 g2", "5 g3", "6 g4"), all(stream(text)));
    assertEquals(List.of(), refused);
  }

  @Test
  @DisplayName("A line that is no record is told with its number, and the next one is read")
  void refusals() throws Exception {
    String text =
        String.join(
            "\n",
            "{\"record\":\"gap\",\"id\":",
            "[1]",
            "{\"id\":\"g1\"}",
            "{\"record\":\"gap\"}",
            "{\"record\":\"gap\",\"id\":7}",
            "{\"record\":\"gap\",\"id\":\"g\",\"schema\":2}",
            "{\"record\":\"gap\",\"id\":\"g\",\"id\":\"h\"}",
            gap(8) + gap(8),
            "\u0000",
            gap(10));
    assertEquals(List.of("10 g10"), all(stream(text)));
    assertEquals(9, refused.size(), refused.toString());
    List<String> parts =
        List.of(
            "1: a record of 21 bytes is no JSON at its byte",
            "2: a record is a JSON object",
            "3: the member \"record\" is missing",
            "4: the member \"id\" is missing",
            "5: the member \"id\" is no string",
            "6: schema 2 is not known here",
            "7: ",
            "8: ",
            "9: ");
    for (int i = 0; i < parts.size(); i++) {
      assertTrue(refused.get(i).startsWith(parts.get(i)), refused.get(i));
    }
  }

  @Test
  @DisplayName("The longest line is read; one byte more is told with its length and not kept")
  void longest() throws Exception {
    String record = "{\"record\":\"gap\",\"id\":\"g1\"" + " ".repeat(RecordLines.LONGEST);
    String longest = record.substring(0, RecordLines.LONGEST - 1) + "}";
    assertEquals(List.of("1 g1", "2 g2"), all(stream(longest + "\n" + gap(2))));
    assertEquals(List.of(), refused);
    assertEquals(List.of("2 g2"), all(stream(longest + " \n" + gap(2))));
    assertEquals(List.of("1: a line of 1048577 bytes; a record has at most 1048576"), refused);
  }

  @Test
  @DisplayName("However the bytes come, the records are the same")
  void cuts() throws Exception {
    long seed = new Random().nextLong();
    System.out.println("RecordLinesTest.cuts: seed " + seed);
    Random random = new Random(seed);
    StringBuilder text = new StringBuilder();
    for (int i = 1; i <= 500; i++) {
      text.append(random.nextInt(10) == 0 ? "?".repeat(random.nextInt(200_000)) : gap(i))
          .append('\n');
    }
    List<String> expected = all(stream(text.toString()));
    List<String> told = List.copyOf(refused);
    refused.clear();
    InputStream inPieces =
        new ByteArrayInputStream(text.toString().getBytes(StandardCharsets.UTF_8)) {
          @Override
          public int read(byte[] into, int offset, int length) {
            return super.read(into, offset, Math.min(length, 1 + random.nextInt(3000)));
          }
        };
    assertEquals(expected, all(inPieces));
    assertEquals(told, refused);
  }

  @Test
  @DisplayName("A stream that breaks is an IOException, not an end")
  void breaks() {
    InputStream broken =
        new InputStream() {
          @Override
          public int read() throws IOException {
            throw new IOException("broken");
          }

          @Override
          public int read(byte[] into, int offset, int length) throws IOException {
            throw new IOException("broken");
          }
        };
    assertThrows(IOException.class, () -> all(broken));
  }

  @Test
  @DisplayName("Two records differ in the members that are told, with both; order is nothing")
  void differences() throws Exception {
    AnyRecord one =
        record("{\"record\":\"x\",\"id\":\"1\",\"a\":\"1.00\",\"l\":[{\"b\":\"2\"},3],\"only\":1}");
    AnyRecord same =
        record("{\"id\":\"1\",\"record\":\"x\",\"l\":[{\"b\":\"2\"},3],\"only\":1,\"a\":\"1.00\"}");
    AnyRecord other =
        record("{\"record\":\"x\",\"id\":\"1\",\"a\":\"1.0\",\"l\":[{\"b\":\"4\"},3],\"new\":[]}");
    assertEquals(List.of(), one.differences("here", same, "there"));
    assertEquals(
        List.of(
            "a: here \"1.00\", there \"1.0\"",
            "l[1].b: here \"2\", there \"4\"",
            "only: here 1, there nothing",
            "new: here nothing, there []"),
        one.differences("here", other, "there"));
  }

  private static AnyRecord record(String json) throws FormatException {
    return AnyRecord.of(json.getBytes(StandardCharsets.UTF_8));
  }

  private static String gap(int number) {
    return GAP.formatted(number);
  }

  private static InputStream stream(String text) throws IOException {
    ByteArrayOutputStream bytes = new ByteArrayOutputStream();
    bytes.write(text.getBytes(StandardCharsets.UTF_8));
    return new ByteArrayInputStream(bytes.toByteArray());
  }

  private List<String> all(InputStream in) throws IOException {
    RecordLines lines = new RecordLines(in, (line, reason) -> refused.add(line + ": " + reason));
    List<String> found = new ArrayList<>();
    for (Optional<AnyRecord> next = lines.next(); next.isPresent(); next = lines.next()) {
      found.add(lines.line() + " " + next.get().id());
    }
    assertTrue(lines.drained());
    return found;
  }
}
