package org.tallywire.format;

import java.math.BigDecimal;
import java.nio.file.Path;
import java.time.LocalDate;
import java.time.format.DateTimeParseException;
import java.util.ArrayList;
import java.util.EnumSet;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.regex.Pattern;
import org.jspecify.annotations.Nullable;
import org.tallywire.acceptance.Nameplate;
import org.tallywire.acceptance.PlanOptions;
import org.tallywire.acceptance.RatioBasis;
import org.tallywire.acceptance.Step;
import org.tallywire.acceptance.TestPlan;
import org.tallywire.acceptance.resistance.Celsius;
import org.tallywire.api.Quantity;
import org.tallywire.api.Unit;
import org.tallywire.testset.EarlierResult;

/**
 * Earlier results out of a CSV file, by a map of its columns. Nothing is guessed: a cell that
 * cannot be read is told with its line and column, and then nothing is imported; an empty value
 * cell is no result.
 */
public final class ImportedResults {

  private static final int MOST_PROBLEMS = 20;
  private static final Pattern NUMBER =
      Pattern.compile("[+-]?[0-9]{1,40}(\\.[0-9]{1,40})?([eE][+-]?[0-9]{1,2})?");

  /** The unit in which a quantity that belongs to a step is judged. */
  private static final Map<String, Unit> UNITS =
      Map.of(
          "turns-ratio", Unit.ONE,
          "phase-displacement", Unit.DEGREE,
          "excitation-current", Unit.MILLIAMPERE,
          "winding-resistance", Unit.OHM,
          "insulation-resistance", Unit.MEGOHM,
          "insulation-resistance-30-s", Unit.MEGOHM,
          "insulation-resistance-10-min", Unit.MEGOHM,
          "short-circuit-impedance", Unit.PERCENT);

  private static final Map<String, String> TESTS =
      Map.of(
          "phase-displacement", Step.TURNS_RATIO,
          "excitation-current", Step.TURNS_RATIO,
          "insulation-resistance-30-s", Step.INSULATION_RESISTANCE,
          "insulation-resistance-10-min", Step.INSULATION_RESISTANCE);

  private final String name;
  private final ImportMap map;
  private final Optional<TestPlan> plan;
  private final Problems problems = new Problems();
  private final Map<String, Integer> columns = new HashMap<>();
  private final List<EarlierResult> results = new ArrayList<>();
  private int unfilled;

  private ImportedResults(String name, ImportMap map, Optional<Nameplate> plate) {
    this.name = name;
    this.map = map;
    this.plan =
        plate.map(
            p ->
                TestPlan.of(
                    p,
                    new PlanOptions(
                        EnumSet.allOf(PlanOptions.TestKind.class), RatioBasis.TERMINALS)));
  }

  /**
   * Reads the file.
   *
   * @param mapping file with the map
   * @param plate whose steps the results must fit, if it is given
   * @throws SetupException with up to 20 problems, each with line and column
   */
  public static ImportedResults read(Path csv, Path mapping, Optional<Nameplate> plate)
      throws SetupException {
    ImportMap map = ImportMap.read(mapping);
    ImportedResults imported = new ImportedResults(csv.toString(), map, plate);
    imported.rows(CsvRows.read(csv.toString(), map.text(csv), map.separator()));
    imported.problems.throwIfAny();
    return imported;
  }

  /** Returns the results, in the order of the file. */
  public List<EarlierResult> results() {
    return List.copyOf(results);
  }

  /** Returns how many cells for values were empty. */
  public int unfilled() {
    return unfilled;
  }

  private void rows(List<CsvRows.Row> rows) throws SetupException {
    CsvRows.Row head =
        rows.stream()
            .filter(row -> row.line() == map.head())
            .findFirst()
            .orElseThrow(
                () ->
                    new SetupException(
                        "%s: has no row that begins on line %d, where head-line says the names stand"
                            .formatted(name, map.head())));
    for (int i = 0; i < head.cells().size(); i++) {
      String column = head.cells().get(i).strip();
      if (!column.isEmpty() && columns.put(column, i) != null) {
        problems.add(
            "%s line %d column %d: \"%s\" names two columns; give them different names"
                .formatted(name, head.line(), i + 1, column));
      }
    }
    map.values().forEach(taken -> known(taken, head));
    problems.throwIfAny();
    for (CsvRows.Row row : rows) {
      if (row.line() > head.line() && !row.blank()) {
        map.values().forEach(taken -> take(row, taken));
      }
      if (problems.count() >= MOST_PROBLEMS) {
        problems.add("%s: and perhaps more; these first".formatted(name));
        return;
      }
    }
  }

  private void known(ImportMap.Taken taken, CsvRows.Row head) {
    List<String> wanted = new ArrayList<>();
    taken
        .parts()
        .values()
        .forEach(
            part -> {
              if (part instanceof ImportMap.Part.Column column) {
                wanted.add(column.name());
              }
            });
    taken.only().ifPresent(only -> wanted.add(only.column()));
    for (String column : wanted) {
      if (!columns.containsKey(column)) {
        problems.add(
            "%s line %d: has no column \"%s\", which the map asks for; the columns are %s"
                .formatted(name, head.line(), column, String.join(", ", head.cells())));
      }
    }
  }

  private void take(CsvRows.Row row, ImportMap.Taken taken) {
    if (taken.only().isPresent()
        && !cell(row, taken.only().get().column()).equals(taken.only().get().is())) {
      return;
    }
    Cells cells = new Cells(row, taken);
    if (cells.text("value").isEmpty()) {
      unfilled++;
      return;
    }
    int before = problems.count();
    Optional<EarlierResult> result = cells.result();
    if (problems.count() == before) {
      result.ifPresent(results::add);
    }
  }

  private String cell(CsvRows.Row row, String column) {
    int index = columns.getOrDefault(column, -1);
    return index < 0 || index >= row.cells().size() ? "" : row.cells().get(index).strip();
  }

  /** What one row says of one value. */
  private final class Cells {

    private final CsvRows.Row row;
    private final ImportMap.Taken taken;

    Cells(CsvRows.Row row, ImportMap.Taken taken) {
      this.row = row;
      this.taken = taken;
    }

    String text(String key) {
      ImportMap.@Nullable Part part = ImportMap.part(taken, key);
      if (part instanceof ImportMap.Part.Fixed fixed) {
        return fixed.text();
      }
      if (!(part instanceof ImportMap.Part.Column column)) {
        return "";
      }
      String text = cell(row, column.name());
      if (column.words().isEmpty() || text.isEmpty()) {
        return text;
      }
      String word = column.words().get(text);
      if (word == null) {
        problem(
            key,
            "\"%s\" is none of the words of the map: %s"
                .formatted(text, String.join(", ", column.words().keySet())));
        return "";
      }
      return word;
    }

    void problem(String key, String what) {
      ImportMap.@Nullable Part part = ImportMap.part(taken, key);
      if (part instanceof ImportMap.Part.Column column) {
        problems.add(
            "%s line %d column %d (%s): %s %s"
                .formatted(
                    name,
                    row.line(),
                    columns.getOrDefault(column.name(), 0) + 1,
                    column.name(),
                    key,
                    what));
      } else {
        problems.add("%s line %d: %s %s".formatted(name, row.line(), key, what));
      }
    }

    Optional<EarlierResult> result() {
      String quantity = text("quantity");
      Optional<BigDecimal> number = number("value");
      Optional<BigDecimal> factor = text("factor").isEmpty() ? Optional.empty() : number("factor");
      Optional<BigDecimal> temperature = temperature();
      Optional<LocalDate> date = date();
      Unit judged = UNITS.get(quantity);
      if (judged == null) {
        problem(
            "quantity",
            "\"%s\" is none of %s"
                .formatted(quantity, String.join(", ", UNITS.keySet().stream().sorted().toList())));
        return Optional.empty();
      }
      Optional<Unit> unit = unit(judged);
      Optional<String> step = step(quantity);
      if (number.isEmpty() || unit.isEmpty() || step.isEmpty() || date.isEmpty()) {
        return Optional.empty();
      }
      return Optional.of(
          new EarlierResult(
              step.get(),
              new Quantity(quantity),
              whole(number.get().multiply(factor.orElse(BigDecimal.ONE))),
              unit.get(),
              text("value"),
              factor,
              temperature,
              date.get(),
              text("source").isEmpty() ? name : text("source"),
              row.line()));
    }

    private static BigDecimal whole(BigDecimal number) {
      return number.scale() < 0 ? number.setScale(0) : number;
    }

    private Optional<BigDecimal> number(String key) {
      boolean fromFile = ImportMap.part(taken, key) instanceof ImportMap.Part.Column;
      String text = text(key);
      char mark = map.comma() && fromFile ? ',' : '.';
      String plain = mark == ',' ? text.replace('.', '?').replace(',', '.') : text;
      if (!NUMBER.matcher(plain).matches()) {
        problem(
            key,
            "\"%s\" is no number with the decimal mark \"%s\" and nothing between its digits"
                .formatted(text, mark));
        return Optional.empty();
      }
      return Optional.of(whole(new BigDecimal(plain)));
    }

    private Optional<BigDecimal> temperature() {
      if (text("temperature").isEmpty()) {
        return Optional.empty();
      }
      Optional<BigDecimal> temperature = number("temperature");
      if (temperature.isPresent() && !Celsius.plausible(temperature.get())) {
        problem(
            "temperature",
            "is %s °C, not %s".formatted(temperature.get().toPlainString(), Celsius.RANGE));
      }
      return temperature;
    }

    private Optional<LocalDate> date() {
      String text = text("date");
      boolean fixed = ImportMap.part(taken, "date") instanceof ImportMap.Part.Fixed;
      try {
        return Optional.of(fixed ? LocalDate.parse(text) : LocalDate.parse(text, map.dates()));
      } catch (DateTimeParseException e) {
        problem(
            "date",
            "\"%s\" is no date of the form %s"
                .formatted(text, fixed ? "2024-05-31" : map.datePattern()));
        return Optional.empty();
      }
    }

    private Optional<Unit> unit(Unit judged) {
      String text = text("unit");
      try {
        Unit unit = new Unit(text);
        if (unit.converts(judged)) {
          return Optional.of(unit);
        }
      } catch (IllegalArgumentException e) {
        // no unit at all: told the same way
      }
      problem(
          "unit", "\"%s\" does not convert to %s; write a code such as it".formatted(text, judged));
      return Optional.empty();
    }

    private Optional<String> step(String quantity) {
      String test = text("test").isEmpty() ? TESTS.getOrDefault(quantity, quantity) : text("test");
      boolean ofPhases = test.equals(Step.TURNS_RATIO) || test.equals(Step.WINDING_RESISTANCE);
      String windings = text("windings");
      if (windings.isEmpty() && test.equals(Step.TURNS_RATIO)) {
        windings = "HV-LV";
      }
      String phase = text("phase").isEmpty() && !ofPhases ? "ABC" : text("phase");
      for (String[] part : new String[][] {{"windings", windings}, {"phase", phase}}) {
        if (part[1].isEmpty()) {
          problem(part[0], "is missing; a result of %s needs it".formatted(test));
          return Optional.empty();
        }
      }
      Optional<String> id = id(test, windings, phase);
      if (id.isEmpty()) {
        problem(
            "phase",
            "%s: no step of the nameplate's plan asks for %s %s %s%s"
                .formatted(phase, test, windings, phase, taps()));
      }
      return id;
    }

    private String taps() {
      return (text("tap").isEmpty() ? "" : " on tap " + text("tap"))
          + (text("on-load-tap").isEmpty() ? "" : ", on-load tap " + text("on-load-tap"));
    }

    private Optional<String> id(String test, String windings, String phase) {
      StringBuilder id = new StringBuilder(test + "/" + windings + "/" + phase);
      for (String tap : List.of(text("tap"), text("on-load-tap"))) {
        if (!tap.isEmpty()) {
          id.append('/').append(tap);
        }
      }
      if (plan.isEmpty()) {
        return Optional.of(id.toString());
      }
      return plan.get().steps().stream()
          .filter(
              step ->
                  step.test().equals(test)
                      && step.windings().equals(windings)
                      && step.phase().equals(phase)
                      && on(step.tap(), text("tap"), test)
                      && on(step.onLoadTap(), text("on-load-tap"), test))
          .findFirst()
          .map(Step::id);
    }

    /** A resistance without a tap is one of the principal tap, as in the plan. */
    private static boolean on(java.util.OptionalInt position, String text, String test) {
      return position.isEmpty()
          || Integer.toString(position.getAsInt()).equals(text)
          || (text.isEmpty() && !test.equals(Step.TURNS_RATIO));
    }
  }
}
