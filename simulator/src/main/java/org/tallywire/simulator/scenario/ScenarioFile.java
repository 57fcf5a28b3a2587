package org.tallywire.simulator.scenario;

import java.io.IOException;
import java.io.InputStream;
import java.io.UncheckedIOException;
import java.nio.ByteBuffer;
import java.nio.charset.CharacterCodingException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.NoSuchFileException;
import java.nio.file.Path;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDateTime;
import java.time.ZoneOffset;
import java.time.format.DateTimeParseException;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.Set;
import org.tallywire.simulator.scenario.Problems.Place;
import org.yaml.snakeyaml.nodes.MappingNode;
import org.yaml.snakeyaml.nodes.Node;

/**
 * Reads scenarios from YAML that people write: plain words, and a unit with every number. The shape
 * is told by {@code shared/schema/scenario.json}, by examples in {@code simulator/scenarios}.
 * Everything may be left out; every mistake is told at once with its line and column.
 */
public final class ScenarioFile {

  /** What stands at the top of a file. */
  static final Set<String> KEYS =
      Set.of("scenario", "about", "seed", "starts at", "transformer", "tester", "faults");

  private static final List<String> SHIPPED =
      List.of(
          "hollow-lane",
          "shorted-turns",
          "wrong-tap",
          "reversed-winding",
          "residual-magnetism",
          "left-magnetised",
          "hot-winding",
          "wrong-plate",
          "missing-neutral",
          "rough-line",
          "full-store",
          "tired-tester",
          "scpi-bench",
          "talk-only-bench",
          "large-unit");

  private static final long LARGEST = 100_000;
  private static final int MOST_SEED = 999_999_999;
  private static final long USUAL_SEED = 1;

  private ScenarioFile() {}

  /** Returns the names of the scenarios that are inside this program. */
  public static List<String> shipped() {
    return SHIPPED;
  }

  /**
   * Reads a scenario.
   *
   * @param name of one inside this program, or else of a file
   * @param seed another than it names, nothing for its own
   */
  public static Scenario read(String name, OptionalLong seed) throws ScenarioException {
    return SHIPPED.contains(name) ? shipped(name + ".yaml", seed) : read(Path.of(name), seed);
  }

  private static Scenario shipped(String file, OptionalLong seed) throws ScenarioException {
    try (InputStream stream = ScenarioFile.class.getResourceAsStream(file)) {
      if (stream == null) {
        throw new IllegalStateException(file + " was not packed into this program");
      }
      return parse(file, decode(file, stream.readAllBytes()), seed);
    } catch (IOException e) {
      throw new UncheckedIOException(e);
    }
  }

  private static Scenario read(Path file, OptionalLong seed) throws ScenarioException {
    String name = file.toString();
    try {
      long size = Files.size(file);
      if (size > LARGEST) {
        throw new ScenarioException(
            List.of("%s: %d bytes; a scenario has at most %d".formatted(name, size, LARGEST)));
      }
      return parse(name, decode(name, Files.readAllBytes(file)), seed);
    } catch (NoSuchFileException e) {
      throw new ScenarioException(List.of(name + ": there is no such file" + noneShipped(name)));
    } catch (IOException e) {
      throw new ScenarioException(List.of("%s: cannot be read: %s".formatted(name, e)));
    }
  }

  /** Returns what to say where a name without folder and ending is no file either. */
  private static String noneShipped(String name) {
    return name.matches("[\\w -]+")
        ? " and no scenario of that name inside this program;%s there are %s"
            .formatted(Wording.suggestion(name, SHIPPED), String.join(", ", SHIPPED))
        : "";
  }

  private static String decode(String name, byte[] bytes) throws ScenarioException {
    try {
      String text = StandardCharsets.UTF_8.newDecoder().decode(ByteBuffer.wrap(bytes)).toString();
      return text.startsWith("\ufeff") ? text.substring(1) : text;
    } catch (CharacterCodingException e) {
      throw new ScenarioException(
          List.of(name + ": is not UTF-8 text; save it as UTF-8 in the editor"));
    }
  }

  /**
   * Reads a text.
   *
   * @param name stands for it in problems
   */
  static Scenario parse(String name, String text, OptionalLong seed) throws ScenarioException {
    Problems problems = Problems.inFile(name);
    Section top = top(text, problems);
    String title = top.written("scenario").map(Written::text).orElse(name);
    String about = top.written("about").map(Written::text).orElse("");
    Optional<Integer> written = top.written("seed").flatMap(w -> w.whole(0, MOST_SEED));
    Optional<Instant> startsAt = top.written("starts at").flatMap(ScenarioFile::moment);
    Optional<PlateEntry> entry = top.section("transformer", PlateEntry.KEYS).map(PlateEntry::new);
    Optional<Plate> plate =
        top.has("transformer")
            ? entry.flatMap(PlateEntry::plate)
            : Optional.of(PlateEntry.HOLLOW_LANE);
    Optional<Double> celsius = entry.flatMap(PlateEntry::celsius);
    TesterPlan tester =
        top.section("tester", TesterEntry.KEYS).map(TesterEntry::plan).orElse(TesterEntry.USUAL);
    Optional<Scenario> sound =
        plate.map(
            p ->
                new Scenario(
                    title,
                    about,
                    seed.orElse(written.map(Integer::longValue).orElse(USUAL_SEED)),
                    startsAt,
                    p,
                    celsius,
                    tester,
                    List.of()));
    FaultReader faults = new FaultReader(sound, Duration.ZERO, problems);
    List<Planted> planted = top.items("faults", faults::read);
    problems.refuse();
    return sound.orElseThrow().with(planted);
  }

  private static Section top(String text, Problems problems) throws ScenarioException {
    Place start = new Place(1, 1);
    Optional<Node> top = PlainYaml.top(text, problems);
    if (top.isEmpty()) {
      problems.add(start, "there is nothing in it; write for example scenario: A bad joint");
    } else if (top.get() instanceof MappingNode mapping) {
      return Section.of("", mapping, KEYS, problems);
    } else {
      problems.add(start, "write keys with values, for example scenario: A bad joint");
    }
    problems.refuse();
    throw new IllegalStateException("a problem was told and not refused");
  }

  private static Optional<Instant> moment(Written written) {
    String text = written.text().replaceFirst("Z$", "").strip().replaceFirst("[ T]+", "T");
    try {
      return Optional.of(LocalDateTime.parse(text).toInstant(ZoneOffset.UTC));
    } catch (DateTimeParseException none) {
      written.refuse("is no date with a time; write for example 2026-03-02 08:00 (UTC)");
      return Optional.empty();
    }
  }
}
