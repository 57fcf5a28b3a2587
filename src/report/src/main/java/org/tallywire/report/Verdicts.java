package org.tallywire.report;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import org.tallywire.acceptance.Examiner;
import org.tallywire.acceptance.Verdict;
import org.tallywire.format.AnyRecord;
import org.tallywire.format.FormatException;
import org.tallywire.format.RecordFormat;
import org.tallywire.testset.TestSet;

/** The recorded verdicts of a test set beside those derived again from its records. One thread. */
final class Verdicts {

  private final Map<String, Verdict> derived = new LinkedHashMap<>();
  private final Map<String, AnyRecord> recorded = new LinkedHashMap<>();
  private final List<String> differences = new ArrayList<>();
  private int agreeing;

  void derived(List<Verdict> verdicts) {
    verdicts.forEach(verdict -> derived.put(verdict.id(), verdict));
  }

  void recorded(AnyRecord verdict) {
    recorded.put(verdict.id(), verdict);
  }

  /**
   * Compares the two and returns the recorded verdicts that count: the last of each subject and
   * criterion, and of a step that named those alone that its last booking made.
   *
   * @param bookingOfStep id of the booking of each step that has a reading
   */
  List<Verdict> counting(TestSet collected, Map<String, String> bookingOfStep)
      throws FormatException {
    compare();
    Map<String, Verdict> last = new LinkedHashMap<>();
    for (AnyRecord one : recorded.values()) {
      Verdict verdict = one.verdict();
      boolean ofStep = collected.opened().plan().step(verdict.subject()).isPresent();
      String booking = bookingOfStep.get(verdict.subject());
      if (!ofStep || (booking != null && verdict.bookings().contains(booking))) {
        String key = verdict.subject() + " " + verdict.criterion();
        last.remove(key);
        last.put(key, verdict);
      }
    }
    return List.copyOf(last.values());
  }

  private void compare() throws FormatException {
    agreeing = 0;
    differences.clear();
    for (AnyRecord one : recorded.values()) {
      Verdict again = derived.get(one.id());
      if (again == null) {
        differences.add(
            one.method().equals(Examiner.METHOD)
                ? "%s is recorded and cannot be derived".formatted(one.id())
                : "%s was made by method %s, which is not this program's"
                    .formatted(one.id(), one.method()));
        continue;
      }
      List<String> found =
          one.differences("recorded", AnyRecord.of(RecordFormat.write(again)), "derived");
      if (found.isEmpty()) {
        agreeing++;
      } else {
        differences.add("%s: %s".formatted(one.id(), String.join(", ", found)));
      }
    }
    derived.forEach(
        (id, verdict) -> {
          if (!recorded.containsKey(id)) {
            differences.add("%s follows and is not recorded: %s".formatted(id, verdict.sentence()));
          }
        });
  }

  int agreeing() {
    return agreeing;
  }

  List<String> differences() {
    return differences;
  }
}
