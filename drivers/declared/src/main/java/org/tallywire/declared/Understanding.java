package org.tallywire.declared;

import java.time.Instant;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.regex.Pattern;
import org.tallywire.api.ClockQuality;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Frame;
import org.tallywire.api.FrameException;
import org.tallywire.api.Instrument;
import org.tallywire.api.SessionHost;
import org.tallywire.api.Value;

/** Makes readings of lines by the rules of a file (DRV-8, DRV-9, DRV-12 to DRV-17). */
final class Understanding {

  /** What an instrument can say of itself; as many characters as a record takes. */
  static final List<String> IDENTITY = List.of("maker", "model", "serial", "firmware");

  private static final int LONGEST_IDENTITY = 64;
  private static final Pattern COUNT = Pattern.compile("[0-9]{1,18}");

  private final Declaration declaration;
  private final SessionHost host;
  private final Numbering numbering;

  Understanding(Declaration declaration, SessionHost host) {
    this.declaration = declaration;
    this.host = host;
    this.numbering = new Numbering(declaration, host);
  }

  /** What came of a line. */
  record Outcome(boolean reading, boolean identity, boolean blockEnded) {}

  Outcome take(Frame frame, Target target) throws FrameException {
    String text = declaration.shape().text(frame.bytes());
    for (LineRule rule : declaration.rules()) {
      Optional<Map<String, String>> fields = rule.match(text);
      if (fields.isPresent()) {
        return apply(rule, whole(rule, fields.get()), frame, target);
      }
    }
    target.forgetBlock();
    throw new FrameException(
        FaultCode.FRAME_SYNTAX,
        "no rule of the file knows the line \"%s\"".formatted(Bytes.written(text)),
        frame.bytes());
  }

  /** Returns the fields of a line; a group of it that took no part holds nothing. */
  private static Map<String, String> whole(LineRule rule, Map<String, String> fields) {
    Map<String, String> all = new HashMap<>(fields);
    rule.form().fields().forEach(name -> all.putIfAbsent(name, ""));
    return all;
  }

  private Outcome apply(LineRule rule, Map<String, String> fields, Frame frame, Target target)
      throws FrameException {
    boolean again = rule.block() == LineRule.Block.BEGINS && target.inBlock();
    try {
      enter(rule, frame, target);
      boolean reading = act(rule, fields, frame, target);
      boolean ended = rule.block() == LineRule.Block.ENDS;
      if (ended) {
        target.forgetBlock();
      }
      if (again) {
        throw new FrameException(
            FaultCode.OUT_OF_ORDER,
            "a block began again (%s) before the one before it ended, which is lost"
                .formatted(rule.name()),
            frame.bytes());
      }
      return new Outcome(reading, rule.identifies(), ended);
    } catch (FieldException e) {
      target.forgetBlock();
      throw new FrameException(
          e.code(), "the line (%s) %s".formatted(rule.name(), e.getMessage()), frame.bytes());
    }
  }

  /** Puts a line into the block that it belongs to. */
  private void enter(LineRule rule, Frame frame, Target target) throws FieldException {
    if (rule.block() == LineRule.Block.NONE) {
      return;
    }
    if (rule.block() == LineRule.Block.BEGINS) {
      target.beginBlock();
    } else if (!target.inBlock()) {
      throw new FieldException(
          FaultCode.OUT_OF_ORDER, "belongs to a block, and none has begun or is whole so far");
    }
    if (!target.add(frame.text(), declaration.longestBlock())) {
      throw new FieldException(
          FaultCode.FRAME_TOO_LONG,
          "makes its block longer than %d lines or 4096 bytes"
              .formatted(declaration.longestBlock()));
    }
  }

  private boolean act(LineRule rule, Map<String, String> fields, Frame frame, Target target)
      throws FieldException {
    String said = fields.get(Fields.ADDRESS);
    if (said != null && !target.address().isEmpty() && !said.equals(target.address())) {
      throw new FieldException(
          FaultCode.OUT_OF_ORDER,
          "comes from address %s, and %s was asked"
              .formatted(Bytes.written(said), target.address()));
    }
    if (!rule.readings().isEmpty() && !rule.identifies() && declaration.asksWho()) {
      target.mustHaveSaidWho();
    }
    if (rule.error()) {
      throw new FieldException(FaultCode.INSTRUMENT_ERROR, "says that the instrument refused");
    }
    if (rule.identifies()) {
      identify(fields, target);
    }
    boolean waits = declaration.rules().stream().anyMatch(LineRule::identifies);
    if (rule.identifies() || !rule.readings().isEmpty() || !waits) {
      makeKnown(target);
    }
    if (rule.started()) {
      numbering.started(target);
    }
    Map<String, String> all = target.with(fields);
    if (!rule.readings().isEmpty()) {
      give(rule, all, frame, target);
    }
    for (String name : rule.remember()) {
      target.remember(name, fields.getOrDefault(name, ""));
    }
    return !rule.readings().isEmpty();
  }

  private void identify(Map<String, String> fields, Target target) throws FieldException {
    target.saidWho();
    for (String part : IDENTITY) {
      String text = fields.get(part);
      if (text != null) {
        String stripped = text.strip();
        if (stripped.codePointCount(0, stripped.length()) > LONGEST_IDENTITY) {
          throw new FieldException(
              "has a %s of more than %d characters".formatted(part, LONGEST_IDENTITY));
        }
        target.says(part, stripped);
      }
    }
  }

  private void makeKnown(Target target) {
    Instrument instrument = target.instrument(declaration);
    if (!target.known().equals(Optional.of(instrument))) {
      target.makeKnown(instrument);
      numbering.identified(target, instrument);
      host.identified(target.address(), instrument);
      target.contradiction().ifPresent(host::contradicted);
    }
  }

  private void give(LineRule rule, Map<String, String> fields, Frame frame, Target target)
      throws FieldException {
    boolean alone = rule.block() == LineRule.Block.NONE;
    Optional<Instant> takenAt = Optional.empty();
    ClockQuality clock = ClockQuality.NONE;
    boolean dated = false;
    if (rule.time().isPresent()) {
      TimeRule time = rule.time().get();
      takenAt = Optional.of(time(time, fields, frame));
      clock = time.clock();
      dated = time.isDated(time.text(fields));
    }
    List<Numbering.Observation> observations = new ArrayList<>();
    for (ReadingRule reading : rule.readings()) {
      List<Value> values = reading.values(fields, declaration.numbers());
      if (!values.isEmpty()) {
        observations.add(
            new Numbering.Observation(
                values, reading.labels(fields), reading.status().read(fields), takenAt, clock));
      }
    }
    if (observations.isEmpty()) {
      throw new FieldException("has no value: every field holds a mark for none");
    }
    Optional<Long> count =
        rule.count().isPresent()
            ? Optional.of(count(rule.count().get(), fields))
            : Optional.empty();
    numbering.give(
        new Numbering.Taken(
            target.address(),
            target.instrument(declaration),
            observations,
            rule.count(),
            count,
            dated,
            alone ? frame.text() : target.blockText(),
            frame.receivedAt()));
  }

  private static Instant time(TimeRule rule, Map<String, String> fields, Frame frame)
      throws FieldException {
    String text = rule.text(fields);
    return rule.read(text, frame.receivedAt())
        .orElseThrow(
            () ->
                new FieldException(
                    "has in %s \"%s\", which is no time of the pattern"
                        .formatted(rule.from(), Bytes.written(text))));
  }

  private static long count(CountRule rule, Map<String, String> fields) throws FieldException {
    String text = fields.getOrDefault(rule.from(), "").strip();
    if (COUNT.matcher(text).matches()) {
      long count = Long.parseLong(text);
      if (count >= Math.min(rule.first(), rule.then()) && count <= rule.last()) {
        return count;
      }
    }
    throw new FieldException(
        "has in %s \"%s\", which is no count from %d to %d"
            .formatted(
                rule.from(),
                Bytes.written(text),
                Math.min(rule.first(), rule.then()),
                rule.last()));
  }
}
