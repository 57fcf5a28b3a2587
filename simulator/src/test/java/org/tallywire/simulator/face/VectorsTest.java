package org.tallywire.simulator.face;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.HexFormat;
import java.util.List;
import java.util.Map;
import java.util.TreeMap;
import java.util.stream.Stream;
import java.util.stream.StreamSupport;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.DynamicContainer;
import org.junit.jupiter.api.DynamicTest;
import org.junit.jupiter.api.TestFactory;
import org.tallywire.simulator.face.LineCodec.Decoded;

/** Every vector of {@code shared/vectors/line} that an instrument reads. */
class VectorsTest {

  private static final Path FOLDER = Path.of("..", "shared", "vectors", "line");
  private static final ObjectMapper JSON = new ObjectMapper();
  private static final String DISCARDED = "discarded";

  @TestFactory
  @DisplayName("L-1 to L-10: what an instrument makes of bytes")
  Stream<DynamicContainer> vectors() throws IOException {
    List<DynamicContainer> containers = new ArrayList<>();
    for (Path file : files()) {
      JsonNode vectors = JSON.readTree(Files.readString(file)).get("vectors");
      Stream<DynamicTest> tests =
          StreamSupport.stream(vectors.spliterator(), false)
              .filter(vector -> !vector.path("reader").asText("both").equals("bridge"))
              .map(VectorsTest::test);
      containers.add(DynamicContainer.dynamicContainer(file.getFileName().toString(), tests));
    }
    assertTrue(containers.size() >= 15, containers.size() + " files");
    return containers.stream();
  }

  private static List<Path> files() throws IOException {
    try (Stream<Path> files = Files.list(FOLDER)) {
      return files
          .filter(f -> f.toString().endsWith(".json"))
          .filter(f -> !f.toString().endsWith(".schema.json"))
          .filter(f -> !f.endsWith("readings.json"))
          .sorted()
          .toList();
    }
  }

  private static DynamicTest test(JsonNode vector) {
    return DynamicTest.dynamicTest(
        vector.get("rule").asText() + " " + vector.get("name").asText(),
        () -> assertEquals(expected(vector.get("expect")), found(bytes(vector.get("bytes")))));
  }

  /**
   * Returns what a receiver says that only counts what it discards: three of the faults are one to
   * it, and it does not tell of noise before a line.
   */
  private static List<String> expected(JsonNode outcomes) {
    List<String> texts = new ArrayList<>();
    for (JsonNode outcome : outcomes) {
      JsonNode line = outcome.get("line");
      if (line != null) {
        Map<String, String> fields = new TreeMap<>();
        line.get("fields").properties().forEach(f -> fields.put(f.getKey(), f.getValue().asText()));
        texts.add(line.get("mark").asText() + line.get("kind").asText() + fields);
      } else if (!outcome.path("joined").asBoolean(false)) {
        String fault = outcome.get("fault").asText();
        texts.add(fault.equals("syntax") ? fault : DISCARDED);
      }
    }
    return texts;
  }

  private static List<String> found(byte[] bytes) {
    LineReader reader = new LineReader();
    List<String> texts = new ArrayList<>();
    for (byte b : bytes) {
      reader.take(b).ifPresent(decoded -> texts.add(text(decoded)));
    }
    return texts;
  }

  private static String text(Decoded decoded) {
    if (decoded instanceof Decoded.Whole whole) {
      Line line = whole.line();
      return line.mark() + line.kind() + new TreeMap<>(line.fields());
    }
    return decoded instanceof Decoded.Syntax ? "syntax" : DISCARDED;
  }

  private static byte[] bytes(JsonNode pieces) {
    if (!pieces.isArray()) {
      return hex(pieces);
    }
    ByteArrayOutputStream all = new ByteArrayOutputStream();
    for (JsonNode piece : pieces) {
      byte[] once = hex(piece.isObject() ? piece.get("hex") : piece);
      int times = piece.isObject() ? piece.get("times").asInt() : 1;
      for (int i = 0; i < times; i++) {
        all.writeBytes(once);
      }
    }
    return all.toByteArray();
  }

  private static byte[] hex(JsonNode text) {
    return HexFormat.of().parseHex(text.asText().replace(" ", ""));
  }
}
