package org.tallywire.format;

import java.io.IOException;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.stream.Collectors;
import java.util.stream.Stream;
import org.jspecify.annotations.Nullable;
import org.tallywire.api.Quantity;
import org.tallywire.api.Reading;
import org.tallywire.api.RecordedReading;
import org.tallywire.api.Value;

/**
 * Readings as rows of a table, one row a value, with what was found of it where the reading is
 * booked. Beside a value stand the figures of the one verdict that judges that quantity first (of a
 * ratio its deviation, say); all other verdicts that the reading went into are named in the column
 * {@code further}. Used by one thread.
 */
public final class ReadingTable {

  /** The columns, in their order. */
  public static final List<Table.Column> COLUMNS =
      List.of(
          text("test set"),
          text("asset"),
          text("step"),
          text("counts"),
          text("reading"),
          text("station"),
          text("instrument"),
          text("quantity"),
          number("value"),
          text("unit"),
          text("status"),
          text("taken"),
          text("clock"),
          text("received"),
          text("criterion"),
          number("judged"),
          number("expected"),
          text("judged unit"),
          number("deviation"),
          number("limit"),
          text("limit unit"),
          text("verdict"),
          text("sentence"),
          text("further"),
          text("raw"));

  /** Which criteria judge a quantity, the first of them before the others. */
  private static final Map<Quantity, List<String>> JUDGES =
      Map.of(
          Quantity.TURNS_RATIO, List.of("ratio-deviation", "ratio-change"),
          Quantity.PHASE_DISPLACEMENT, List.of("phase-displacement"),
          Quantity.WINDING_RESISTANCE, List.of("resistance-deviation", "resistance-settling"),
          Quantity.TEST_CURRENT, List.of("test-current"),
          Quantity.INSULATION_RESISTANCE, List.of("insulation-resistance"),
          Quantity.INSULATION_RESISTANCE_30_S, List.of("absorption-ratio"),
          Quantity.INSULATION_RESISTANCE_10_MIN, List.of("polarisation-index"),
          Quantity.SHORT_CIRCUIT_VOLTAGE, List.of("short-circuit-impedance"));

  private static final JudgedReadings.Facts NONE =
      new JudgedReadings.Facts("", "", "", "", "", "", "", "", "");

  private final Table table;
  private final JudgedReadings judged;

  public ReadingTable(Table table, JudgedReadings judged) {
    this.table = table;
    this.judged = judged;
  }

  private static Table.Column text(String name) {
    return new Table.Column(name, false);
  }

  private static Table.Column number(String name) {
    return new Table.Column(name, true);
  }

  /** Writes the rows of a reading. */
  public void add(RecordedReading recorded) throws IOException {
    Optional<JudgedReadings.Place> place = judged.place(recorded.id());
    for (Value value : recorded.reading().values()) {
      table.row(row(recorded, value, place.orElse(null)));
    }
  }

  private List<String> row(
      RecordedReading recorded, Value value, JudgedReadings.@Nullable Place place) {
    Reading reading = recorded.reading();
    List<String> cells = new ArrayList<>(COLUMNS.size());
    if (place == null) {
      cells.addAll(List.of("", "", "", ""));
    } else {
      cells.add(place.booking().testSet());
      cells.add(judged.asset(place.booking().testSet()));
      cells.add(place.booking().step());
      cells.add(place.counts() ? "yes" : "no");
    }
    cells.add(recorded.id());
    cells.add(recorded.station());
    cells.add(reading.instrument().serial());
    cells.add(value.quantity().name());
    cells.add(
        value instanceof Value.Measured measured
            ? measured.text()
            : ((Value.Missing) value).reason().word());
    cells.add(value.unit().code());
    cells.add(reading.status().word());
    cells.add(reading.takenAt().map(ReadingTable::time).orElse(""));
    cells.add(reading.clock().word());
    cells.add(time(reading.receivedAt()));
    found(cells, value, place);
    cells.add(reading.raw());
    return cells;
  }

  private void found(List<String> cells, Value value, JudgedReadings.@Nullable Place place) {
    Map<String, JudgedReadings.Facts> facts =
        place == null ? Map.of() : judged.facts(place.booking());
    JudgedReadings.Facts first =
        JUDGES.getOrDefault(value.quantity(), List.of()).stream()
            .filter(facts::containsKey)
            .findFirst()
            .map(facts::get)
            .orElse(NONE);
    cells.add(first.criterion());
    cells.add(first.judged());
    cells.add(first.expected());
    cells.add(first.unit());
    cells.add(first.deviation());
    cells.add(first.limit());
    cells.add(first.deviationUnit());
    cells.add(first.state());
    cells.add(first.sentence());
    Stream<String> others =
        facts.values().stream()
            .filter(one -> !one.criterion().equals(first.criterion()))
            .map(one -> one.criterion() + ": " + one.state());
    Stream<String> comparisons =
        place == null ? Stream.empty() : judged.comparisons(place.booking());
    cells.add(Stream.concat(others, comparisons).collect(Collectors.joining("; ")));
  }

  private static String time(Instant instant) {
    return Json.time(instant);
  }
}
