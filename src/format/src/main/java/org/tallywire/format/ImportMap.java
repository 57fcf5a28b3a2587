package org.tallywire.format;

import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.charset.CharacterCodingException;
import java.nio.charset.Charset;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.format.DateTimeFormatter;
import java.time.format.ResolverStyle;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import org.jspecify.annotations.Nullable;

/**
 * How the columns of a CSV file become results ({@code shared/schema/import.schema.json}).
 *
 * @param separator between cells
 * @param comma whether the decimal mark is a comma
 * @param head line with the names of the columns, from 1; what stands before it is passed over
 * @param dates how a date is written
 * @param values what each row holds
 */
record ImportMap(
    char separator,
    boolean comma,
    Charset charset,
    int head,
    String datePattern,
    DateTimeFormatter dates,
    List<Taken> values) {

  /** The keys of a value, in the order in which problems with them are told. */
  static final List<String> KEYS =
      List.of(
          "quantity",
          "value",
          "unit",
          "factor",
          "test",
          "windings",
          "phase",
          "tap",
          "on-load-tap",
          "temperature",
          "date",
          "source");

  private static final int LAST_HEAD = 1000;
  private static final long LARGEST = 16L * 1024 * 1024;

  /**
   * One value of each row.
   *
   * @param parts by key
   * @param only rows in which this column has this word; nothing: every row
   */
  record Taken(Map<String, Part> parts, Optional<Only> only) {}

  /** A condition on a row. */
  record Only(String column, String is) {}

  /** Where a part of a value comes from. */
  sealed interface Part {
    /** The same in every row. */
    record Fixed(String text) implements Part {}

    /**
     * A cell of the row.
     *
     * @param words what the cell's text stands for; none: the text itself
     */
    record Column(String name, Map<String, String> words) implements Part {}
  }

  /**
   * Reads the file.
   *
   * @throws SetupException with every problem found in it
   */
  static ImportMap read(Path file) throws SetupException {
    Problems problems = new Problems();
    YamlSection top = YamlFile.read(file, problems);
    top.optionalText("about");
    char separator =
        word(top, "separator", Map.of("comma", ',', "semicolon", ';', "tab", '\t'), ',');
    boolean comma = word(top, "decimal-mark", Map.of("point", false, "comma", true), false);
    Charset charset =
        word(
            top,
            "encoding",
            Map.of(
                "utf-8", StandardCharsets.UTF_8, "windows-1252", Charset.forName("windows-1252")),
            StandardCharsets.UTF_8);
    int head = top.whole("head-line", 1, LAST_HEAD, 1);
    String pattern = top.optionalText("date-format").orElse("yyyy-MM-dd");
    Optional<DateTimeFormatter> dates = dates(pattern);
    if (dates.isEmpty()) {
      top.problem(
          "date-format",
          "\"%s\" is no pattern such as dd.MM.yyyy (d day, M month, y year)".formatted(pattern));
    }
    List<Taken> values = values(top);
    if (values.isEmpty()) {
      top.problem("values", "is missing: say for each value of a row where it stands");
    }
    top.end();
    problems.throwIfAny();
    return new ImportMap(
        separator, comma, charset, head, pattern, dates.orElseThrow(), List.copyOf(values));
  }

  private static List<Taken> values(YamlSection top) {
    Map<String, Part> common = parts(top);
    List<Taken> values = new ArrayList<>();
    for (YamlSection one : top.list("values")) {
      Map<String, Part> parts = new LinkedHashMap<>(common);
      parts.putAll(parts(one));
      for (String needed : List.of("quantity", "value", "unit", "date")) {
        if (!parts.containsKey(needed)) {
          one.problem(needed, "is missing, here and above");
        }
      }
      Optional<Only> only = one.section("only").map(ImportMap::only);
      one.end();
      values.add(new Taken(parts, only));
    }
    return values;
  }

  /** Returns the text of a CSV file in the map's encoding. */
  String text(Path csv) throws SetupException {
    try {
      if (!Files.isRegularFile(csv)) {
        throw new SetupException("%s: there is no such file".formatted(csv));
      }
      if (Files.size(csv) > LARGEST) {
        throw new SetupException(
            "%s: %d bytes; such a file has at most %d".formatted(csv, Files.size(csv), LARGEST));
      }
      ByteBuffer bytes = ByteBuffer.wrap(Files.readAllBytes(csv));
      return charset.newDecoder().decode(bytes).toString();
    } catch (CharacterCodingException e) {
      throw new SetupException(
          "%s: is no %s text; say encoding: windows-1252 or utf-8 in the map"
              .formatted(csv, charset));
    } catch (IOException e) {
      throw new SetupException("%s: cannot be read: %s".formatted(csv, e));
    }
  }

  private static <T> T word(YamlSection top, String key, Map<String, T> words, T otherwise) {
    return top.has(key)
        ? top.converted(
                key,
                "one of " + String.join(", ", words.keySet().stream().sorted().toList()),
                text -> Optional.ofNullable(words.get(text)))
            .orElse(otherwise)
        : otherwise;
  }

  /** A year is what stands there, so y is the year itself and no day is bent into its month. */
  private static Optional<DateTimeFormatter> dates(String pattern) {
    try {
      return Optional.of(
          DateTimeFormatter.ofPattern(pattern.replace('y', 'u'), Locale.ROOT)
              .withResolverStyle(ResolverStyle.STRICT));
    } catch (IllegalArgumentException e) {
      return Optional.empty();
    }
  }

  private static Map<String, Part> parts(YamlSection section) {
    Map<String, Part> parts = new LinkedHashMap<>();
    for (String key : KEYS) {
      if (!section.has(key)) {
        continue;
      }
      Part part =
          section.isSection(key)
              ? column(section.section(key).orElseThrow())
              : new Part.Fixed(section.text(key));
      if (key.equals("value") && part instanceof Part.Fixed) {
        section.problem(key, "is to name the column it stands in: value: {column: NAME}");
      }
      parts.put(key, part);
    }
    return parts;
  }

  private static Part column(YamlSection section) {
    String name = section.text("column");
    Map<String, String> words = new LinkedHashMap<>();
    section
        .section("words")
        .ifPresent(
            list -> {
              for (String word : list.keys()) {
                words.put(word, list.text(word));
              }
            });
    section.end();
    return new Part.Column(name, words);
  }

  private static Only only(YamlSection section) {
    Only only = new Only(section.text("column"), section.text("is"));
    section.end();
    return only;
  }

  /** Returns the part of a value, if the map gives one. */
  static @Nullable Part part(Taken taken, String key) {
    return taken.parts().get(key);
  }
}
