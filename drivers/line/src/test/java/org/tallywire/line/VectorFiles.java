package org.tallywire.line;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import com.networknt.schema.Error;
import com.networknt.schema.InputFormat;
import com.networknt.schema.SchemaRegistry;
import com.networknt.schema.SpecificationVersion;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.HexFormat;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.TreeSet;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import java.util.stream.Stream;

/** The test vectors of {@code shared/vectors/line}. */
final class VectorFiles {

  static final Path PAGE = Path.of("../../shared/protocol.md");
  static final Path FOLDER = Path.of("../../shared/vectors/line");
  static final String READINGS = "readings.json";

  private static final ObjectMapper JSON = new ObjectMapper();
  private static final Pattern RULE =
      Pattern.compile("(?m)^- \\*\\*(L-[0-9]+)\\*\\* (.*(?:\\n  - .*)*)$");
  private static final Pattern LETTER = Pattern.compile("\\(([a-z])\\) ");

  private VectorFiles() {}

  /** Bytes, and what a receiver makes of them. */
  @SuppressWarnings("ArrayRecordComponent") // vectors are run, never compared
  record Vector(String name, String rule, String reader, byte[] bytes, List<Outcome> expect) {

    boolean isFor(String side) {
      return reader.equals("both") || reader.equals(side);
    }
  }

  /** Returns the names of all files with vectors of bytes. */
  static List<Path> files() throws IOException {
    try (Stream<Path> files = Files.list(FOLDER)) {
      return files
          .filter(f -> f.toString().endsWith(".json"))
          .filter(f -> !f.toString().endsWith(".schema.json"))
          .filter(f -> !f.endsWith(READINGS))
          .sorted()
          .toList();
    }
  }

  static JsonNode read(Path file) throws IOException {
    return JSON.readTree(Files.readString(file));
  }

  /** Returns what is wrong with a file by a schema, and with what it cites. */
  static List<String> problems(Path file, String schema, String list) throws IOException {
    String text = Files.readString(FOLDER.resolve(schema));
    List<String> problems = new ArrayList<>();
    SchemaRegistry.withDefaultDialect(SpecificationVersion.DRAFT_2020_12)
        .getSchema(text, InputFormat.JSON)
        .validate(Files.readString(file), InputFormat.JSON)
        .stream()
        .map(Error::toString)
        .forEach(problems::add);
    Set<String> known = rules();
    Set<String> cited = new TreeSet<>();
    Set<String> names = new TreeSet<>();
    for (JsonNode vector : read(file).get(list)) {
      cited.add(vector.get("rule").asText());
      if (!names.add(vector.get("name").asText())) {
        problems.add("a name twice: " + vector.get("name"));
      }
    }
    Set<String> stated = new TreeSet<>();
    read(file).path("rules").forEach(rule -> stated.add(rule.asText()));
    if (!stated.isEmpty() && !stated.equals(cited)) {
      problems.add("states the rules " + stated + " and cites " + cited);
    }
    cited.removeAll(known);
    cited.forEach(rule -> problems.add("the page has no rule " + rule));
    return problems;
  }

  /** Returns every rule of the page, with its letter where it has letters. */
  private static Set<String> rules() throws IOException {
    Set<String> rules = new TreeSet<>();
    Matcher rule = RULE.matcher(Files.readString(PAGE));
    while (rule.find()) {
      Matcher letter = LETTER.matcher(rule.group(2));
      boolean one = true;
      while (letter.find()) {
        rules.add(rule.group(1) + letter.group(1));
        one = false;
      }
      if (one) {
        rules.add(rule.group(1));
      }
    }
    return rules;
  }

  static List<Vector> vectors(Path file) throws IOException {
    List<Vector> vectors = new ArrayList<>();
    for (JsonNode vector : read(file).get("vectors")) {
      List<Outcome> expect = new ArrayList<>();
      vector.get("expect").forEach(outcome -> expect.add(outcome(outcome)));
      vectors.add(
          new Vector(
              vector.get("name").asText(),
              vector.get("rule").asText(),
              vector.path("reader").asText("both"),
              bytes(vector.get("bytes")),
              expect));
    }
    return vectors;
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

  private static Outcome outcome(JsonNode outcome) {
    JsonNode line = outcome.get("line");
    if (line == null) {
      return new Outcome.Fault(
          outcome.get("fault").asText(), outcome.path("joined").asBoolean(false));
    }
    return new Outcome.Line(
        line.get("mark").asText().charAt(0), line.get("kind").asText(), texts(line.get("fields")));
  }

  static Map<String, String> texts(JsonNode object) {
    Map<String, String> texts = new LinkedHashMap<>();
    object.properties().forEach(field -> texts.put(field.getKey(), field.getValue().asText()));
    return texts;
  }
}
