package org.tallywire.format;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.node.ArrayNode;
import com.fasterxml.jackson.databind.node.ObjectNode;
import java.math.BigDecimal;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import org.tallywire.acceptance.Verdict;
import org.tallywire.api.Quantity;
import org.tallywire.api.Unit;
import org.tallywire.api.Value;
import org.tallywire.testset.Checklist;
import org.tallywire.testset.ChecklistAnswer;
import org.tallywire.testset.InstrumentEvent;
import org.tallywire.testset.Note;

/** What people add in the course of a day: notes, answers to checklists, words on instruments. */
final class DayJson {

  private DayJson() {}

  static ObjectNode write(Note note) {
    ObjectNode node =
        Json.record(RecordFormat.NOTE, note.id(), note.station())
            .put("testSet", note.testSet())
            .put("at", Json.time(note.at()))
            .put("by", note.by())
            .put("text", note.text());
    note.step().ifPresent(step -> node.put("step", step));
    ArrayNode values = node.putArray("values");
    note.values().forEach(value -> values.add(ReadingJson.value(value)));
    ArrayNode files = node.putArray("files");
    for (Note.Attachment file : note.files()) {
      files
          .addObject()
          .put("path", file.path())
          .put("bytes", file.bytes())
          .put("sha256", file.sha256());
    }
    return node;
  }

  static Note note(JsonNode node) throws FormatException {
    List<Value.Measured> values = new ArrayList<>();
    for (JsonNode value : Json.member(node, "values")) {
      if (ReadingJson.readValue(value) instanceof Value.Measured measured) {
        values.add(measured);
      } else {
        throw new FormatException("values: a note has numbers alone");
      }
    }
    List<Note.Attachment> files = new ArrayList<>();
    for (JsonNode file : Json.member(node, "files")) {
      files.add(
          new Note.Attachment(
              Json.text(file, "path"),
              Json.member(file, "bytes").asLong(),
              Json.text(file, "sha256")));
    }
    return new Note(
        Json.text(node, "testSet"),
        Json.text(node, "station"),
        Json.instant(node, "at"),
        Json.text(node, "by"),
        Json.text(node, "text"),
        Json.optionalText(node, "step"),
        values,
        files);
  }

  static ObjectNode write(ChecklistAnswer answer) {
    ObjectNode node =
        Json.record(RecordFormat.CHECKLIST, answer.id(), answer.station())
            .put("testSet", answer.testSet())
            .put("at", Json.time(answer.at()))
            .put("by", answer.by())
            .put("moment", answer.moment().word());
    ArrayNode answers = node.putArray("answers");
    for (ChecklistAnswer.Answer one : answer.answers()) {
      answers
          .addObject()
          .put("item", one.item())
          .put("reply", one.reply().word())
          .put("remark", one.remark());
    }
    answer.override().ifPresent(reason -> node.put("override", reason));
    return node;
  }

  static ChecklistAnswer checklist(JsonNode node) throws FormatException {
    List<ChecklistAnswer.Answer> answers = new ArrayList<>();
    for (JsonNode one : Json.member(node, "answers")) {
      answers.add(
          new ChecklistAnswer.Answer(
              Json.text(one, "item"),
              Json.word(one, "reply", ChecklistAnswer.Reply::of),
              Json.text(one, "remark")));
    }
    return new ChecklistAnswer(
        Json.text(node, "testSet"),
        Json.text(node, "station"),
        Json.instant(node, "at"),
        Json.text(node, "by"),
        Json.word(node, "moment", Checklist.Moment::of),
        answers,
        Json.optionalText(node, "override"));
  }

  static ObjectNode write(InstrumentEvent event) {
    ObjectNode node = Json.record(RecordFormat.VERIFICATION, event.id(), event.station());
    node.put("event", event instanceof InstrumentEvent.Verified ? "verified" : "calibrated")
        .put("at", Json.time(event.at()))
        .put("by", event.by())
        .set("instrument", ReadingJson.instrument(event.instrument()));
    if (event instanceof InstrumentEvent.Calibrated calibrated) {
      return node.put("certificate", calibrated.certificate())
          .put("issuer", calibrated.issuer())
          .put("calibratedOn", calibrated.calibratedOn().toString())
          .put("due", calibrated.due().toString());
    }
    InstrumentEvent.Verified verified = (InstrumentEvent.Verified) event;
    node.put("standard", verified.standard())
        .put("standardSerial", verified.standardSerial())
        .put("quantity", verified.quantity().name())
        .put("unit", verified.unit().code())
        .put("expected", verified.expected().toPlainString());
    verified.measured().ifPresent(number -> node.put("measured", number.toPlainString()));
    verified.deviation().ifPresent(number -> node.put("deviation", number.toPlainString()));
    node.put("limit", verified.limit().toPlainString())
        .put("limitUnit", verified.limitUnit().code())
        .put("uncertainty", verified.uncertainty().toPlainString())
        .put("state", verified.state().word());
    ArrayNode readings = node.putArray("readings");
    verified.readings().forEach(readings::add);
    return node.put("sentence", verified.sentence());
  }

  static InstrumentEvent instrumentEvent(JsonNode node) throws FormatException {
    String event = Json.text(node, "event");
    return switch (event) {
      case "verified" -> verified(node);
      case "calibrated" ->
          new InstrumentEvent.Calibrated(
              Json.text(node, "station"),
              Json.instant(node, "at"),
              Json.text(node, "by"),
              ReadingJson.readInstrument(Json.member(node, "instrument")),
              Json.text(node, "certificate"),
              Json.text(node, "issuer"),
              TermsJson.day(node, "calibratedOn"),
              TermsJson.day(node, "due"));
      default -> throw new FormatException("event: \"%s\" is not in the list".formatted(event));
    };
  }

  private static InstrumentEvent verified(JsonNode node) throws FormatException {
    return new InstrumentEvent.Verified(
        Json.text(node, "station"),
        Json.instant(node, "at"),
        Json.text(node, "by"),
        ReadingJson.readInstrument(Json.member(node, "instrument")),
        Json.text(node, "standard"),
        Json.text(node, "standardSerial"),
        new Quantity(Json.text(node, "quantity")),
        new Unit(Json.text(node, "unit")),
        Json.figure(node, "expected"),
        optional(node, "measured"),
        optional(node, "deviation"),
        Json.figure(node, "limit"),
        new Unit(Json.text(node, "limitUnit")),
        Json.figure(node, "uncertainty"),
        Json.word(node, "state", Verdict.State::of),
        Json.texts(node, "readings"),
        Json.text(node, "sentence"));
  }

  private static Optional<BigDecimal> optional(JsonNode node, String key) throws FormatException {
    return node.has(key) ? Optional.of(Json.figure(node, key)) : Optional.empty();
  }
}
