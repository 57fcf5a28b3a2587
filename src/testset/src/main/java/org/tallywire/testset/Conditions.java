package org.tallywire.testset;

import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import org.tallywire.acceptance.Finding;
import org.tallywire.api.Quantity;
import org.tallywire.api.Reading;
import org.tallywire.api.RecordedReading;
import org.tallywire.api.Value;

/**
 * The winding temperature that a person noted, for readings that need one and have none of their
 * own. A note holds for what is booked after it: one about a step for that step, any other for the
 * rest. Used by one thread.
 */
final class Conditions {

  /** What is judged at a temperature. */
  private static final List<Quantity> JUDGED_AT_A_TEMPERATURE =
      List.of(
          Quantity.WINDING_RESISTANCE, Quantity.INSULATION_RESISTANCE, Quantity.SHORT_CIRCUIT_LOSS);

  private static final String WHOLE_TEST_SET = "";

  private final Map<String, Note> byStep = new HashMap<>();

  /** By reading. */
  private final Map<String, String> said = new HashMap<>();

  void take(Note note) {
    if (note.value(Quantity.WINDING_TEMPERATURE).isPresent()) {
      byStep.put(note.step().orElse(WHOLE_TEST_SET), note);
    }
  }

  /** Returns a reading with the temperature that was noted for its step, if it needs that. */
  RecordedReading completed(RecordedReading recorded, String step) {
    said.remove(recorded.id());
    Reading reading = recorded.reading();
    Note note = byStep.getOrDefault(step, byStep.get(WHOLE_TEST_SET));
    if (note == null
        || reading.value(Quantity.WINDING_TEMPERATURE).isPresent()
        || JUDGED_AT_A_TEMPERATURE.stream().noneMatch(q -> reading.value(q).isPresent())) {
      return recorded;
    }
    Value.Measured temperature = note.value(Quantity.WINDING_TEMPERATURE).orElseThrow();
    said.put(
        recorded.id(),
        "The winding temperature %s %s is not the instrument's: %s noted it at %s."
            .formatted(temperature.text(), temperature.unit(), note.by(), note.at()));
    List<Value> values = new ArrayList<>(reading.values());
    values.add(temperature);
    return new RecordedReading(
        recorded.id(), recorded.station(), recorded.driver(), reading.with(values));
  }

  /** Says of readings where their temperature came from, as far as it is not their own. */
  List<Finding> findings(List<String> readings) {
    return readings.stream()
        .filter(said::containsKey)
        .map(said::get)
        .distinct()
        .map(sentence -> Finding.seen(Finding.ALL, sentence))
        .toList();
  }
}
