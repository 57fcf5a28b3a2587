package org.tallywire.declared;

import java.time.Duration;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.TreeMap;

/** Reads how lines are cut, checked and what their numbers look like. */
final class LinesReader {

  private static final byte[] NOTHING = new byte[0];
  private static final Map<String, byte[]> ENDS =
      Map.of("any", NOTHING, "CR", bytes("\r"), "LF", bytes("\n"), "CR LF", bytes("\r\n"));
  private static final int MOST_END = 8;
  private static final int MOST_LINE = 2048;
  private static final Duration PAUSE = Duration.ofSeconds(2);

  private LinesReader() {}

  private static byte[] bytes(String text) {
    return Bytes.read(text).orElseThrow();
  }

  static LineShape shape(Optional<Section> lines, Optional<Section> check) {
    byte[] end = NOTHING;
    byte[] start = NOTHING;
    int longest = 256;
    Duration pause = PAUSE;
    LineShape.Characters characters = LineShape.Characters.ASCII;
    if (lines.isPresent()) {
      Section keys = lines.get();
      end = end(keys);
      start = keys.bytes("start", "\"\\x02\"").orElse(NOTHING);
      if (start.length > 1) {
        keys.problem("start", "is one byte; write its first, and match the rest in a rule");
      }
      longest = keys.whole("longest", 4, MOST_LINE, longest);
      pause = keys.duration("pause", Duration.ofMillis(50), Duration.ofMinutes(1), pause);
      characters =
          keys.word(
                  "characters", Words.of(LineShape.Characters.values(), LineShape.Characters::word))
              .orElse(characters);
      boolean same = start.length == 1 && end.length > 0 && start[0] == end[0];
      if (same) {
        keys.problem("end", "begins with the start byte; write another end");
      }
    }
    LineShape bare = new LineShape(start, end, Optional.empty(), longest, pause, characters);
    return new LineShape(
        start, end, check.flatMap(c -> check(c, bare)), longest, pause, characters);
  }

  private static byte[] end(Section keys) {
    Optional<byte[]> end =
        keys.converted(
            "end",
            "any, CR, LF, CR LF or 1 to %d bytes".formatted(MOST_END),
            "CR LF",
            text ->
                Optional.ofNullable(ENDS.get(text))
                    .or(() -> Bytes.read(text))
                    .filter(b -> text.equals("any") || (b.length > 0 && b.length <= MOST_END)));
    return end.orElse(NOTHING);
  }

  private static Optional<CheckRule> check(Section keys, LineShape shape) {
    Optional<CheckKind> kind = kind(keys);
    boolean behind = keys.word("place", placeWords()).orElse("before-end").equals("behind-end");
    byte[] mark = keys.bytes("mark", "\"*\"").orElse(NOTHING);
    int from = keys.whole("from", 1, MOST_LINE, 1);
    List<String> covers = covers(keys);
    if (behind && shape.endsAnyhow()) {
      keys.problem(
          "place",
          "is behind-end, and lines end with any of CR and LF; write the end's bytes: lines: {end: \"\\x03\"}");
    }
    if (behind && mark.length > 0) {
      keys.problem("mark", "stands before a check value that comes before the end; leave it out");
    }
    if (!behind && covers.contains("end")) {
      keys.problem("covers", "has the end, which comes after this check value; leave end out");
    }
    CheckWriting writing = writing(keys, kind.orElse(new CheckKind.Xor(0)).bits());
    if (writing.form() == CheckWriting.Form.BINARY && !behind) {
      keys.problem(
          "written",
          "is binary before the end of a line, where it could look like the end; only with place:"
              + " behind-end");
    }
    keys.end();
    return kind.map(
        k ->
            new CheckRule(
                k,
                writing,
                behind,
                mark,
                covers.contains("start"),
                covers.contains("mark"),
                covers.contains("end"),
                from));
  }

  private static Map<String, String> placeWords() {
    Map<String, String> words = new LinkedHashMap<>();
    words.put("before-end", "before-end");
    words.put("behind-end", "behind-end");
    return words;
  }

  private static List<String> covers(Section keys) {
    List<String> known = List.of("start", "text", "mark", "end");
    List<String> covers = new ArrayList<>();
    for (String word : keys.texts("covers")) {
      if (known.contains(word)) {
        covers.add(word);
      } else {
        keys.problem(
            "covers", "has \"%s\"; %s".formatted(Bytes.written(word), Words.choice(word, known)));
      }
    }
    if (keys.has("covers") && !covers.contains("text")) {
      keys.problem("covers", "is without the text; write [text] or [text, end]");
    }
    return covers;
  }

  private static Optional<CheckKind> kind(Section keys) {
    if (!keys.has("kind")) {
      keys.problem("kind", "is missing; write kind: xor, or kind: crc-16/modbus");
      return Optional.empty();
    }
    if (keys.isSection("kind")) {
      return keys.section("kind").flatMap(LinesReader::ownCrc);
    }
    CheckKind.Complement complement =
        keys.word("complement", Words.of(CheckKind.Complement.values()))
            .orElse(CheckKind.Complement.NONE);
    Map<String, CheckKind> kinds = new LinkedHashMap<>();
    kinds.put("xor", new CheckKind.Xor(0));
    kinds.put("sum-8", new CheckKind.Sum(8, complement));
    kinds.put("sum-16", new CheckKind.Sum(16, complement));
    kinds.putAll(CrcCatalogue.byName());
    Optional<CheckKind> kind = keys.word("kind", kinds);
    if (keys.has("complement") && kind.isPresent() && !(kind.get() instanceof CheckKind.Sum)) {
      keys.problem("complement", "is for sums; leave it out");
    }
    return kind;
  }

  private static Optional<CheckKind> ownCrc(Section keys) {
    Optional<Integer> bits = keys.word("width", new TreeMap<>(Map.of("8", 8, "16", 16, "32", 32)));
    if (!keys.has("width") || !keys.has("polynomial")) {
      keys.problem("width", "and polynomial are needed; write {width: 16, polynomial: 0x8005}");
    }
    int width = bits.orElse(32);
    CheckKind kind =
        new CheckKind.Crc(
            width,
            hex(keys, "polynomial", width),
            hex(keys, "initial", width),
            keys.flag("reflect-in", false),
            keys.flag("reflect-out", false),
            hex(keys, "final-xor", width));
    keys.end();
    return bits.map(b -> kind);
  }

  private static long hex(Section keys, String key, int bits) {
    return keys.converted(
            key,
            "a hexadecimal number of at most %d bits".formatted(bits),
            "0x07",
            text ->
                text.matches("0x[0-9A-Fa-f]{1,8}")
                    ? Optional.of(Long.parseLong(text.substring(2), 16))
                        .filter(n -> n <= CheckKind.mask(bits))
                    : Optional.<Long>empty())
        .orElse(0L);
  }

  private static CheckWriting writing(Section keys, int bits) {
    CheckWriting.Form form =
        keys.word("written", Words.of(CheckWriting.Form.values())).orElse(CheckWriting.Form.HEX);
    int bytes = bits / 8;
    int usual =
        switch (form) {
          case HEX, HEX_LOWER, HEX_UPPER -> 2 * bytes;
          case DECIMAL -> CheckKind.mask(bits) > 0xFFFF ? 10 : bytes == 1 ? 3 : 5;
          case BINARY -> bytes;
        };
    int digits = keys.whole("digits", 1, 10, usual);
    if (form == CheckWriting.Form.BINARY && digits != usual) {
      keys.problem("digits", "is the bytes of the check value; leave it out");
      digits = usual;
    }
    boolean low =
        keys.word("order", new TreeMap<>(Map.of("high-first", false, "low-first", true)))
            .orElse(false);
    long mask = keys.has("mask") ? hex(keys, "mask", bits) : CheckKind.mask(bits);
    return new CheckWriting(form, bytes, digits, low, mask, keys.whole("plus", 0, 255, 0));
  }

  static NumberStyle numbers(Section keys) {
    char decimal = keys.word("decimal", new TreeMap<>(Map.of(".", '.', ",", ','))).orElse('.');
    String thousands =
        keys.word("thousands", new TreeMap<>(Map.of(",", ",", ".", ".", "'", "'", " ", " ")))
            .orElse("");
    if (thousands.equals(String.valueOf(decimal))) {
      keys.problem("thousands", "is the decimal mark too; write another, or leave it out");
      thousands = "";
    }
    keys.end();
    return new NumberStyle(decimal, thousands);
  }
}
