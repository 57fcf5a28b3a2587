package org.tallywire.report;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.TreeSet;
import java.util.stream.Collectors;
import org.tallywire.acceptance.CriteriaTable;
import org.tallywire.acceptance.Criterion;
import org.tallywire.acceptance.Rule;
import org.tallywire.acceptance.Verdict;

/** What the verdicts rest on, and what shows later that nothing was changed. */
final class Grounds {

  private final TestRecord record;
  private final Markup page;

  Grounds(TestRecord record, Markup page) {
    this.record = record;
    this.page = page;
  }

  void write() {
    rules();
    method();
    evidence();
  }

  private void rules() {
    page.heading("h2", "Rules and their sources");
    page.element(
        "p",
        "quiet",
        "How sure a source is: found, read there by the makers of the table; memory, recalled from"
            + " it without its text at hand; derived, by arithmetic or circuit theory; practice,"
            + " common practice.");
    Map<String, Set<String>> where = new LinkedHashMap<>();
    Map<String, Rule> rules = new LinkedHashMap<>();
    for (Criterion criterion : record.opened().criteria().criteria()) {
      named(rules, where, criterion.rule(), criterion.name());
    }
    for (Verdict verdict : record.verdicts()) {
      named(rules, where, verdict.rule(), verdict.criterion());
    }
    page.table("rules", "criterion", "rule", "source", "sure");
    rules.forEach(
        (key, rule) ->
            page.row(
                String.join(", ", where.getOrDefault(key, Set.of())),
                rule.text(),
                rule.source(),
                rule.certainty().word()));
    page.endTable();
  }

  private static void named(
      Map<String, Rule> rules, Map<String, Set<String>> where, Rule rule, String criterion) {
    String key = rule.toString();
    rules.put(key, rule);
    where.computeIfAbsent(key, one -> new TreeSet<>()).add(criterion);
  }

  private void method() {
    CriteriaTable table = record.opened().criteria();
    page.element("h2", "", "Decision, method, table");
    Set<String> decisions =
        record.verdicts().stream()
            .map(Verdict::decisionRule)
            .collect(Collectors.toCollection(java.util.LinkedHashSet::new));
    decisions.forEach(page::paragraph);
    List<Map.Entry<String, String>> facts = new ArrayList<>();
    facts.add(
        Map.entry("criteria table", "%s, version %s".formatted(table.name(), table.version())));
    facts.add(Map.entry("its SHA-256", table.digest()));
    Set<String> methods =
        record.verdicts().stream()
            .map(Verdict::method)
            .collect(Collectors.toCollection(TreeSet::new));
    facts.add(
        Map.entry("method of the verdicts", methods.isEmpty() ? "–" : String.join(", ", methods)));
    page.facts(facts);
    if (!record.verdicts().isEmpty() && record.differences().isEmpty()) {
      page.paragraph(
          "When this was made, %s derived again from the readings, bookings and tables in the"
                  .formatted(
                      HtmlReport.counted(
                          record.derivedAgain(), "recorded verdict was", "recorded verdicts were"))
              + " records, those that count no more included; every figure agrees.");
    }
  }

  private void evidence() {
    page.element("h2", "", "How a change would show");
    page.paragraph(
        "Each entry of the journal has a SHA-256 digest over the digest before it and its own"
            + " bytes, so an entry that is changed, left out or put in later breaks the chain. Cutting"
            + " off the end, or writing all of it anew, shows only against a head that somebody else"
            + " holds: keep the head below apart from this file. The entries themselves go with the"
            + " PDF as records.jsonl; tallywire verify FILE checks them and the seal.");
    page.facts(
        List.of(
            Map.entry("journal", record.journal()),
            Map.entry(
                "head",
                "entry %d, written %s"
                    .formatted(record.head().position(), Words.exact(record.head().writtenAt()))),
            Map.entry("its digest", record.head().digest())));
    page.heading("h3", "Entries of this record");
    page.table("rules", "entries", "kind", "digest of the last of them");
    for (Stretch stretch : Stretch.of(record.entries())) {
      page.row(stretch.positions(), stretch.kinds(), stretch.last().digest());
    }
    page.endTable();
  }

  /** Entries that follow one another. */
  private record Stretch(List<RecordedEntry> entries) {

    static List<Stretch> of(List<RecordedEntry> entries) {
      List<Stretch> stretches = new ArrayList<>();
      List<RecordedEntry> current = new ArrayList<>();
      for (RecordedEntry entry : entries) {
        if (!current.isEmpty()
            && current.get(current.size() - 1).position() + 1 != entry.position()) {
          stretches.add(new Stretch(List.copyOf(current)));
          current.clear();
        }
        current.add(entry);
      }
      if (!current.isEmpty()) {
        stretches.add(new Stretch(List.copyOf(current)));
      }
      return stretches;
    }

    RecordedEntry last() {
      return entries.get(entries.size() - 1);
    }

    String positions() {
      long first = entries.get(0).position();
      return entries.size() == 1
          ? String.valueOf(first)
          : "%d to %d".formatted(first, last().position());
    }

    String kinds() {
      Map<String, Long> counts =
          entries.stream()
              .collect(
                  Collectors.groupingBy(
                      RecordedEntry::kind, LinkedHashMap::new, Collectors.counting()));
      return counts.entrySet().stream()
          .map(one -> one.getKey() + " " + one.getValue())
          .collect(Collectors.joining(", "));
    }
  }
}
