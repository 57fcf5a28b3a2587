package org.tallywire.bridge;

import java.io.ByteArrayOutputStream;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.HexFormat;
import java.util.IntSummaryStatistics;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.stream.Collectors;
import org.tallywire.api.Example.Turn;
import org.tallywire.api.LinkException;
import org.tallywire.api.Reading;
import org.tallywire.api.Value;
import org.tallywire.declared.DeclarationException;
import org.tallywire.declared.DeclaredDriver;
import org.tallywire.declared.DeclaredFile;
import org.tallywire.kit.DriverCheck;
import org.tallywire.kit.DriverReport;
import org.tallywire.kit.DriverRule;

/** A declared driver's file, guessed from what a meter said; it passes the check on that. */
final class GuessedFile {

  private static final int LINES_OF_AN_EXAMPLE = 12;
  private static final int MOST_EXAMPLES = 5;
  private static final int MOST_TURNS = 12;
  private static final List<String> CHECKS =
      List.of("xor", "sum-8", "sum-16", "crc-16/modbus", "crc-16/arc", "crc-16/xmodem");

  private final GuessSource source;
  private final Identity identity;
  private final GuessedLines lines;
  private final List<String> remarks = new ArrayList<>();
  private final List<String> head = new ArrayList<>();

  /** What people say of a meter; each may be empty. */
  record Identity(String name, String maker, String model, int baud) {}

  /** Nothing of use can be guessed; the message says why and what to do. */
  static final class Unguessable extends Exception {
    Unguessable(String sentence) {
      super(sentence);
    }
  }

  GuessedFile(GuessSource source, Identity identity) {
    this.source = source;
    this.identity = identity;
    this.lines = new GuessedLines(source.answers(), source.answersAtStart());
    remarks.addAll(source.remarks());
    remarks.addAll(lines.remarks());
  }

  /**
   * A file that passes the check.
   *
   * @param text what to write
   * @param outcome of the check, as a sentence
   */
  record Written(String text, String outcome) {}

  /**
   * Returns the file.
   *
   * @throws Unguessable if no reading comes of the lines, or what was guessed does not play
   */
  Written write() throws Unguessable {
    if (lines.count() == 0) {
      throw new Unguessable("%s: there is no line in it".formatted(source.where()));
    }
    if (!lines.gives()) {
      throw new Unguessable(
          "%s: no line of it has a number with a unit or with decimals: a driver without a reading"
                  .formatted(source.where())
              + " is none. Record some readings");
    }
    String reason = "";
    for (String check : checks()) {
      head();
      List<String> bare = new ArrayList<>(head);
      bare.addAll(lines.yaml(check, source.echo()));
      try {
        String text = String.join("\n", bare) + "\n";
        DeclaredDriver driver = DeclaredFile.parse("guess.yaml", text);
        String whole = text + String.join("\n", examples(driver)) + "\n";
        DriverReport report = DriverCheck.of(DeclaredFile.parse("guess.yaml", whole), 1);
        if (report.isSound()) {
          return new Written(whole, report.lines().get(report.lines().size() - 1));
        }
        String broken = broken(report);
        reason = reason.isEmpty() ? broken : reason;
      } catch (DeclarationException e) {
        reason = reason.isEmpty() ? e.problems().get(0) : reason;
      } catch (LinkException | Unguessable e) {
        reason = reason.isEmpty() ? String.valueOf(e.getMessage()) : reason;
      }
    }
    throw new Unguessable(
        "%s: what was guessed does not play: %s. Write the file by hand, from one of shared/declared"
            .formatted(source.where(), reason));
  }

  private List<String> checks() {
    List<String> checks = new ArrayList<>();
    if (lines.isFramed() && lines.checkDigits() > 0) {
      for (String kind : CHECKS) {
        for (String covers : List.of("[text, end]", "[text]", "[start, text, end]")) {
          checks.add("{kind: %s, place: behind-end, covers: %s}".formatted(kind, covers));
        }
      }
    } else {
      checks.add("");
    }
    return checks;
  }

  private static String broken(DriverReport report) {
    for (DriverRule rule : DriverRule.values()) {
      if (report.outcome(rule) == DriverReport.Outcome.BROKEN) {
        return report.sentences(rule).get(0);
      }
    }
    return "";
  }

  private void head() {
    head.clear();
    head.add("# Begun by `tallywire driver new` from %s.".formatted(Visible.text(source.where())));
    head.add(
        "# To have the keys completed and explained by your editor, put above: # yaml-language-server:"
            + " $schema=");
    head.add("# and the path of shared/schema/declared.schema.json as it is from here.");
    head.add(
        "# Everything here is guessed: go through it with the meter's manual. What was guessed:");
    remarks.forEach(remark -> head.add("# - " + Visible.text(remark)));
    head.add("driver: " + identity.name());
    head.add("version: '0.1'");
    String about = "%s %s".formatted(identity.maker(), identity.model()).strip();
    head.add(
        "about: "
            + GuessText.quoted(about.isEmpty() ? "a meter that nobody has described yet" : about));
    List<String> plate = new ArrayList<>();
    if (!identity.maker().isBlank()) {
      plate.add("maker: " + GuessText.quoted(identity.maker()));
    }
    if (!identity.model().isBlank()) {
      plate.add("model: " + GuessText.quoted(identity.model()));
    }
    if (!plate.isEmpty()) {
      head.add("instrument: {%s}".formatted(String.join(", ", plate)));
    }
    head.add("port: {baud: %d}".formatted(identity.baud()));
    if (source.isAsked()) {
      questions();
    }
  }

  /** What was sent once, and was answered without a number, is sent at the start. */
  private void questions() {
    Map<String, List<Turn>> asked = new LinkedHashMap<>();
    for (Turn turn : source.turns()) {
      if (turn.asked().length > 0) {
        asked.computeIfAbsent(yaml(turn.asked()), q -> new ArrayList<>()).add(turn);
      }
    }
    boolean[] uneven = {false};
    List<String> start = new ArrayList<>();
    List<String> again = new ArrayList<>();
    asked.forEach(
        (question, turns) -> {
          IntSummaryStatistics answers =
              turns.stream()
                  .mapToInt(turn -> new GuessedLines(source.answer(turn), new byte[0]).count())
                  .summaryStatistics();
          boolean reads = !source.isAtStart(turns.get(0));
          List<String> to = reads ? again : start;
          to.add("  # CAUTION: query is guessed. If it starts a measurement, write measure");
          to.add("  - send: " + question);
          to.add("    effect: query");
          to.add("    answer: %d".formatted(Math.max(1, answers.getMin())));
          if (reads) {
            to.add("    every: 2 s");
          }
          uneven[0] |= answers.getMax() > Math.max(1, answers.getMin());
        });
    if (!start.isEmpty()) {
      head.add("at-start:");
      head.addAll(start);
    }
    head.add("ask:");
    head.addAll(again);
    if (uneven[0]) {
      head.add(
          "# guessed: answers have different numbers of lines; what comes after them counts too");
      head.add("listen: {}");
    }
  }

  private List<String> examples(DeclaredDriver driver) throws LinkException, Unguessable {
    List<String> yaml = new ArrayList<>(List.of("examples:"));
    if (source.isAsked()) {
      GuessPlay play = new GuessPlay(driver);
      List<Turn> asked = source.turns().stream().filter(turn -> turn.asked().length > 0).toList();
      play.answer(asked, MOST_TURNS);
      example(yaml, "as it was recorded", play.played(), play);
      return yaml;
    }
    List<byte[]> pieces = pieces(source.answers());
    int from = 0;
    int examples = 0;
    while (from < pieces.size() && examples < MOST_EXAMPLES) {
      int to = Math.min(pieces.size(), from + LINES_OF_AN_EXAMPLE);
      byte[] lines = joined(pieces.subList(from, to));
      GuessPlay play = new GuessPlay(driver);
      play.listen(lines);
      if (!play.readings().isEmpty()) {
        examples++;
        String name = "lines %d to %d".formatted(from + 1, to);
        example(yaml, name, List.of(new Turn(new byte[0], lines)), play);
      } else if (!play.faults().isEmpty()) {
        throw new Unguessable(
            "%s: %s".formatted(source.where(), play.faults().get(0).getMessage()));
      }
      from = to;
    }
    return yaml;
  }

  private void example(List<String> yaml, String name, List<Turn> turns, GuessPlay play)
      throws Unguessable {
    if (!play.faults().isEmpty()) {
      throw new Unguessable("%s: %s".formatted(source.where(), play.faults().get(0).getMessage()));
    }
    yaml.add("  - name: " + name);
    yaml.add("    turns:");
    for (Turn turn : turns) {
      String asked = turn.asked().length > 0 ? "asked: " + yaml(turn.asked()) + ", " : "";
      List<String> sent = pieces(turn.answer()).stream().map(GuessedFile::yaml).toList();
      yaml.add("      - {%ssent: [%s]}".formatted(asked, String.join(",\n          ", sent)));
    }
    yaml.add("    gives:");
    play.readings().forEach(reading -> yaml.add("      - " + gives(reading)));
  }

  private static String gives(Reading reading) {
    String values =
        reading.values().stream()
            .map(value -> "%s: '%s %s'".formatted(value.quantity(), text(value), value.unit()))
            .collect(Collectors.joining(", "));
    String labels =
        reading.labels().entrySet().stream()
            .map(e -> "%s: %s".formatted(e.getKey(), GuessText.quoted(e.getValue())))
            .collect(Collectors.joining(", "));
    return "{values: {%s}%s, status: %s}"
        .formatted(
            values,
            labels.isEmpty() ? "" : ", labels: {%s}".formatted(labels),
            reading.status().word());
  }

  private static String text(Value value) {
    return value instanceof Value.Measured measured
        ? measured.text()
        : ((Value.Missing) value).reason().word();
  }

  /** Cuts behind each end of a line, so that people can read it. */
  private static List<byte[]> pieces(byte[] bytes) {
    List<byte[]> pieces = new ArrayList<>();
    int from = 0;
    for (int i = 1; i <= bytes.length; i++) {
      boolean end =
          bytes[i - 1] == '\n' || (bytes[i - 1] == '\r' && (i == bytes.length || bytes[i] != '\n'));
      if (end || i == bytes.length) {
        pieces.add(Arrays.copyOfRange(bytes, from, i));
        from = i;
      }
    }
    if (!pieces.isEmpty() && !isEnded(pieces)) {
      byte[] last = pieces.remove(pieces.size() - 1);
      byte[] ended = Arrays.copyOf(last, last.length + 1);
      ended[last.length] = '\n';
      pieces.add(ended);
    }
    return pieces;
  }

  /** Tells whether the last line has its end, or stands in a frame. */
  private static boolean isEnded(List<byte[]> pieces) {
    byte[] last = pieces.get(pieces.size() - 1);
    byte b = last[last.length - 1];
    boolean framed = new String(last, StandardCharsets.ISO_8859_1).indexOf(3) >= 0;
    return b == '\r' || b == '\n' || framed;
  }

  private static byte[] joined(List<byte[]> pieces) {
    ByteArrayOutputStream all = new ByteArrayOutputStream();
    pieces.forEach(all::writeBytes);
    return all.toByteArray();
  }

  /** Returns bytes in YAML's double quotes. */
  private static String yaml(byte[] bytes) {
    StringBuilder out = new StringBuilder("\"");
    for (byte b : bytes) {
      switch (b) {
        case '\r' -> out.append("\\r");
        case '\n' -> out.append("\\n");
        case '\t' -> out.append("\\t");
        case '"' -> out.append("\\\"");
        case '\\' -> out.append("\\\\\\\\"); // for YAML and for the driver
        default -> {
          boolean plain = b >= ' ' && b <= '~';
          out.append(plain ? "" + (char) b : "\\x" + HexFormat.of().withUpperCase().toHexDigits(b));
        }
      }
    }
    return out.append('"').toString();
  }
}
