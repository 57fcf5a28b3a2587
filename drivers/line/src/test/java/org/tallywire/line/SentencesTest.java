package org.tallywire.line;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.fasterxml.jackson.core.json.JsonWriteFeature;
import com.fasterxml.jackson.databind.json.JsonMapper;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.HexFormat;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Random;
import java.util.TreeMap;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.tallywire.kit.AbnfSentences;

/** Lines drawn at random from the grammar of the page, as they are and changed in one byte. */
class SentencesTest {

  private static final int SENTENCES = 5_000;
  private static final int STORED = 1_000;
  private static final long STORED_SEED = 20_261_125;
  private static final Path STORED_FILE = VectorFiles.FOLDER.resolve("sentences.json");

  private static final JsonMapper JSON =
      JsonMapper.builder().enable(JsonWriteFeature.ESCAPE_NON_ASCII).build();

  private final Map<String, Integer> counts = new TreeMap<>();

  private void count(Outcome outcome) {
    String name = outcome instanceof Outcome.Fault fault ? fault.name() : "line";
    counts.merge(name, 1, Integer::sum);
  }

  @Test
  @DisplayName("L-1 to L-10: every sentence of the grammar is read as it was derived")
  void sentences() throws IOException {
    long seed = new Random().nextLong();
    AbnfSentences sentences = new AbnfSentences(PageReceiver.grammar(), seed);
    PageReceiver page = new PageReceiver();
    for (int i = 0; i < SENTENCES; i++) {
      Drawn drawn = Drawn.next(sentences, i % 4 == 0 ? 260 : 120);
      String where = "seed %d, sentence %d: %s%s".formatted(seed, i, drawn.body(), drawn.end());
      List<Outcome> found = Outcome.of(drawn.bytes());
      assertEquals(page.outcomes(drawn.bytes()), found, where);
      if (drawn.isLine()) {
        assertEquals(List.of(drawn.expect()), found, where);
      } else {
        assertTrue(found.stream().noneMatch(Outcome.Line.class::isInstance), where);
      }
      count(drawn.expect());
    }
    System.out.printf("sentences, seed %d: %s%n", seed, counts);
    assertTrue(
        counts.getOrDefault("line", 0) > SENTENCES / 2
            && counts.getOrDefault("syntax", 0) > 0
            && counts.getOrDefault("too-long", 0) > 0,
        counts + ", seed " + seed);
  }

  @Test
  @DisplayName("L-10c: with one byte changed, a line is of the grammar or a fault, by the page")
  void mutations() throws IOException {
    long seed = new Random().nextLong();
    Random random = new Random(seed);
    AbnfSentences sentences = new AbnfSentences(PageReceiver.grammar(), seed);
    PageReceiver page = new PageReceiver();
    for (int i = 0; i < SENTENCES; i++) {
      Drawn drawn = Drawn.next(sentences, 150);
      StringBuilder changed = new StringBuilder(drawn.body());
      int place = random.nextInt(changed.length());
      boolean any = random.nextInt(10) == 0;
      char to = (char) (any ? random.nextInt(256) : 0x20 + random.nextInt(0x5F));
      changed.setCharAt(place, to);
      byte[] bytes = Outcome.bytes(changed + "*" + PageReceiver.check(changed.toString()) + "\n");
      String where = "seed %d, sentence %d: %s".formatted(seed, i, changed);
      List<Outcome> expected = page.outcomes(bytes);
      assertEquals(expected, Outcome.of(bytes), where);
      expected.forEach(this::count);
    }
    System.out.printf("changed sentences, seed %d: %s%n", seed, counts);
    assertTrue(
        counts.getOrDefault("line", 0) > SENTENCES / 10
            && counts.getOrDefault("syntax", 0) > SENTENCES / 10,
        counts + ", seed " + seed);
  }

  @Test
  @DisplayName("The stored sentences are those of their seed (-Dtallywire.write writes them)")
  void stored() throws IOException {
    AbnfSentences sentences = new AbnfSentences(PageReceiver.grammar(), STORED_SEED);
    List<String> lines = new ArrayList<>();
    for (int i = 1; i <= STORED; i++) {
      lines.add(
          "    " + json(vector("sentence " + i, Drawn.next(sentences, i % 20 == 0 ? 260 : 50))));
    }
    String text =
        """
        {
          "about": "Lines drawn at random from the grammar of the page, with the right check value.",
          "seed": %d,
          "vectors": [
        %s
          ]
        }
        """
            .formatted(STORED_SEED, String.join(",\n", lines));
    if (System.getProperty("tallywire.write") != null) {
      Files.writeString(STORED_FILE, text);
    }
    assertEquals(text, Files.readString(STORED_FILE));
  }

  private static Map<String, Object> vector(String name, Drawn drawn) {
    Map<String, Object> vector = new LinkedHashMap<>();
    vector.put("name", name);
    Map<String, Object> outcome = new LinkedHashMap<>();
    if (drawn.expect() instanceof Outcome.Line line) {
      vector.put("rule", "L-1a");
      Map<String, Object> parts = new LinkedHashMap<>();
      parts.put("mark", String.valueOf(line.mark()));
      parts.put("kind", line.kind());
      parts.put("fields", line.fields());
      outcome.put("line", parts);
    } else if (drawn.expect() instanceof Outcome.Fault fault) {
      vector.put("rule", fault.name().equals("syntax") ? "L-10a" : "L-6b");
      outcome.put("fault", fault.name());
    }
    if (drawn.body().charAt(0) != '>') {
      vector.put("reader", "bridge");
    }
    vector.put("bytes", HexFormat.of().withUpperCase().formatHex(drawn.bytes()));
    vector.put("expect", List.of(outcome));
    return vector;
  }

  private static String json(Object value) throws IOException {
    return JSON.writeValueAsString(value);
  }
}
