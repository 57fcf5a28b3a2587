package org.tallywire.report;

import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.stream.Collectors;
import org.tallywire.api.Gap;
import org.tallywire.api.Reading;
import org.tallywire.testset.Checklist;
import org.tallywire.testset.ChecklistAnswer;
import org.tallywire.testset.Note;
import org.tallywire.testset.TestSetEvent;

/** What stands beside the results: checklists, notes, what happened, what counts no more, gaps. */
final class Surroundings {

  private final TestRecord record;
  private final Markup page;

  Surroundings(TestRecord record, Markup page) {
    this.record = record;
    this.page = page;
  }

  void write() {
    checklists();
    notes();
    happened();
    superseded();
    leftOver();
  }

  private void checklists() {
    List<Checklist> lists = record.opened().terms().checklists();
    page.heading("h2", "Checklists");
    if (lists.isEmpty()) {
      page.paragraph("This test set has none.");
    }
    for (Checklist list : lists) {
      checklist(list);
    }
  }

  private void checklist(Checklist list) {
    page.heading("h3", "%s (%s)".formatted(list.name(), list.moment().word()));
    Map<String, ChecklistAnswer.Answer> answers = record.checks().answers(list.moment());
    page.table("", "question", "answer", "remark", "source");
    for (Checklist.Item item : list.items()) {
      ChecklistAnswer.Answer answer = answers.get(item.id());
      page.row(
          item.text(),
          answer == null ? "✗ not answered" : reply(answer.reply()),
          answer == null ? "" : answer.remark(),
          "%s; %s".formatted(item.source(), item.certainty().word()));
    }
    page.endTable();
    for (ChecklistAnswer answer : record.answers()) {
      if (answer.moment() == list.moment()) {
        page.paragraph(
            "%s, %s: %s.%s"
                .formatted(
                    answer.by(),
                    Words.time(answer.at()),
                    HtmlReport.counted(answer.answers().size(), "answer", "answers"),
                    answer
                        .override()
                        .map(why -> " The work goes on without the rest: " + Missing.ended(why))
                        .orElse("")));
      }
    }
  }

  private static String reply(ChecklistAnswer.Reply reply) {
    return switch (reply) {
      case YES -> "✓ yes";
      case NO -> "✗ NO";
      case NOT_APPLICABLE -> "– does not apply";
    };
  }

  private void notes() {
    page.element("h2", "", "Notes");
    if (record.notes().isEmpty()) {
      page.paragraph("None.");
    }
    for (Note note : record.notes()) {
      page.open("div", "together")
          .element(
              "p",
              "",
              "%s, %s%s: %s"
                  .formatted(
                      note.by(),
                      Words.time(note.at()),
                      note.step().map(step -> ", about " + step).orElse(""),
                      Words.or(note.text(), "(no words)")))
          .list(
              note.values().stream()
                  .map(value -> value.quantity().name() + " " + Words.value(value))
                  .toList())
          .list(
              note.files().stream()
                  .map(
                      file ->
                          "file %s, %d bytes, SHA-256 %s; kept outside this record"
                              .formatted(file.path(), file.bytes(), file.sha256()))
                  .toList())
          .close("div");
    }
  }

  private void happened() {
    if (record.events().isEmpty()) {
      return;
    }
    page.heading("h2", "While it was open");
    page.table("", "at", "what", "by", "why");
    for (TestSetEvent.During event : record.events()) {
      page.row(
          Words.time(event.at()),
          event.word() + event.step().map(step -> " " + step).orElse(""),
          event.by(),
          event.reason());
    }
    page.endTable();
  }

  private void superseded() {
    page.heading("h2", "Readings that count no more");
    if (record.superseded().isEmpty()) {
      page.paragraph("None: no reading was replaced.");
      return;
    }
    page.table("", "step", "reading", "values", "why", "entry");
    for (TestRecord.Superseded one : record.superseded()) {
      Reading reading = one.taken().recorded().reading();
      page.row(
          one.taken().booking().step(),
          one.taken().recorded().id(),
          StepTables.values(reading) + "; " + StepTables.when(reading),
          one.reason(),
          String.valueOf(one.taken().entry()));
    }
    page.endTable();
  }

  private void leftOver() {
    page.element("h2", "", "What was not done, and what was lost");
    List<String> said = new ArrayList<>(record.missing());
    for (Gap gap : record.gaps()) {
      said.add(
          "Instrument %s, readings %d to %d of epoch %s: %s. %s"
              .formatted(
                  Words.or(gap.instrument().serial(), Words.instrument(gap.instrument())),
                  gap.from().number(),
                  gap.to(),
                  gap.from().epoch(),
                  gap.reason().word(),
                  gap.detail()));
    }
    if (!record.unbooked().isEmpty()) {
      said.add(
          "%s arrived while it was open and belong to no step: %s."
              .formatted(
                  HtmlReport.counted(record.unbooked().size(), "reading", "readings"),
                  record.unbooked().stream().collect(Collectors.joining(", "))));
    }
    List<String> unjudged =
        record.steps().stream()
            .filter(step -> step.taken().isPresent() && step.verdicts().isEmpty())
            .map(step -> Missing.named(step.step()))
            .toList();
    if (!unjudged.isEmpty()) {
      said.add("Read, and judged by no criterion: %s.".formatted(String.join("; ", unjudged)));
    }
    if (said.isEmpty()) {
      page.paragraph("Every step was taken and judged, and no reading is known to be missing.");
    }
    page.list(said);
  }
}
