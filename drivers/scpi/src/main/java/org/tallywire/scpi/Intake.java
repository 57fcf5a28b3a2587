package org.tallywire.scpi;

import java.time.Instant;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;
import org.tallywire.api.ClockQuality;
import org.tallywire.api.FrameException;
import org.tallywire.api.Gap;
import org.tallywire.api.Instrument;
import org.tallywire.api.Reading;
import org.tallywire.api.SequenceNumber;
import org.tallywire.api.SessionHost;

/** Makes readings of answers, each once, and declares those that are missing. */
final class Intake {

  private final SessionHost host;
  private final ScpiSettings settings;
  private final Instrument instrument;
  private final Epochs epochs;
  private String before = "";

  Intake(SessionHost host, ScpiSettings settings, Instrument instrument, Epochs epochs) {
    this.host = host;
    this.settings = settings;
    this.instrument = instrument;
    this.epochs = epochs;
  }

  /** Returns what an answer says: a reading, or those in the lines of its one block. */
  List<Answer> answers(byte[] message) throws FrameException {
    List<Element> elements = Response.elements(message);
    List<Answer> answers = new ArrayList<>();
    if (elements.size() == 1 && elements.get(0) instanceof Element.Block block) {
      for (byte[] line : lines(block.bytes())) {
        settings.fields().read(Response.elements(line), line).ifPresent(answers::add);
      }
    } else {
      settings.fields().read(elements, message).ifPresent(answers::add);
    }
    return answers;
  }

  /** Cuts at LF, but not in a string; empty lines are passed over. */
  private static List<byte[]> lines(byte[] block) {
    List<byte[]> lines = new ArrayList<>();
    int from = 0;
    boolean inString = false;
    for (int i = 0; i <= block.length; i++) {
      boolean end = i == block.length;
      inString ^= !end && block[i] == '"';
      if (end || (block[i] == '\n' && !inString)) {
        int to = i > from && block[i - 1] == '\r' ? i - 1 : i;
        if (to > from) {
          lines.add(Arrays.copyOfRange(block, from, to));
        }
        from = i + 1;
      }
    }
    return lines;
  }

  /** Returns the first number that was missed before this one, if one was. */
  OptionalLong missedBefore(Answer answer) {
    if (answer.number().isEmpty()) {
      return OptionalLong.empty();
    }
    long next = epochs.last() + 1;
    return answer.number().getAsLong() > next ? OptionalLong.of(next) : OptionalLong.empty();
  }

  /** Gives readings that are new, in order, and declares what is missing before each. */
  void give(List<Answer> answers, Instant receivedAt) {
    int part = 0;
    for (Answer answer : answers) {
      if (answer.number().isEmpty()) {
        giveUnnumbered(answer, part++, receivedAt);
      } else if (answer.number().getAsLong() > epochs.last()) {
        giveNumbered(answer, answer.number().getAsLong(), receivedAt);
      } else {
        host.repeated();
      }
    }
  }

  private void giveNumbered(Answer answer, long number, Instant receivedAt) {
    long next = epochs.last() + 1;
    // what an instrument took before it was first met here was never promised to anybody
    if (number > next && epochs.known()) {
      host.gap(
          new Gap(
              instrument,
              new SequenceNumber(epochs.name(), next),
              number - 1,
              Gap.Reason.SKIPPED,
              "readings %d to %d were not asked for in time, and the instrument does not give them any more"
                  .formatted(next, number - 1),
              "",
              host.time().now()));
    }
    epochs.gave(number);
    Optional<SequenceNumber> sequence = Optional.of(new SequenceNumber(epochs.name(), number));
    host.reading(reading(answer, sequence, 0, receivedAt));
  }

  private void giveUnnumbered(Answer answer, int part, Instant receivedAt) {
    if (part == 0 && !settings.repeats() && answer.text().equals(before)) {
      host.repeated();
      return;
    }
    before = answer.text();
    host.reading(reading(answer, Optional.empty(), part, receivedAt));
  }

  private Reading reading(
      Answer answer, Optional<SequenceNumber> sequence, int part, Instant receivedAt) {
    return new Reading(
        instrument,
        sequence,
        part,
        answer.labels(),
        answer.values(),
        answer.status(),
        Optional.empty(),
        ClockQuality.NONE,
        receivedAt,
        answer.text());
  }
}
