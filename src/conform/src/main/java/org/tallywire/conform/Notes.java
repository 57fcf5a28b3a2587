package org.tallywire.conform;

import java.util.Arrays;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.Map;
import java.util.Set;

/**
 * What was noticed in passing, in lines that came during any check: each fault once, with how often
 * it came. Used by one thread.
 */
final class Notes {

  private final Map<String, Set<String>> held = new LinkedHashMap<>();
  private final Map<Key, Fault> faults = new LinkedHashMap<>();

  private record Key(String check, String citation) {}

  private record Fault(String sentence, int times) {

    Fault again() {
      return new Fault(sentence, times + 1);
    }
  }

  void held(String check, String... citations) {
    held.computeIfAbsent(check, c -> new LinkedHashSet<>()).addAll(Arrays.asList(citations));
  }

  void broken(String check, String citation, String sentence) {
    faults.merge(
        new Key(check, citation), new Fault(sentence, 1), (first, another) -> first.again());
  }

  void tell(Report report) {
    held.forEach((check, citations) -> report.held(check, citations.stream().toList()));
    faults.forEach(
        (key, fault) ->
            report.broken(
                key.check(),
                key.citation(),
                fault.times() == 1
                    ? fault.sentence()
                    : "%s; %d times in all".formatted(fault.sentence(), fault.times())));
  }
}
