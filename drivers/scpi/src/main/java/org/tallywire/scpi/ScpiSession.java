package org.tallywire.scpi;

import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;
import org.jspecify.annotations.Nullable;
import org.tallywire.api.Command;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Frame;
import org.tallywire.api.FrameException;
import org.tallywire.api.Instrument;
import org.tallywire.api.LinkException;
import org.tallywire.api.Session;
import org.tallywire.api.SessionHost;

/**
 * One conversation: asks who is there; then, round by round, for the event status, for the errors
 * that it tells of, and for a reading. One question at a time, since a new one before the answer is
 * the error "query interrupted" (IEEE 488.2-1992, 6.3.2.3).
 *
 * <p>A query that fails has no answer, so silence is followed by a look into the error queue. After
 * an answer that is none, or silence, nothing is asked for a second, so that what comes late is not
 * taken for the next answer.
 */
final class ScpiSession implements Session {

  private static final Duration PAUSE = Duration.ofSeconds(1);
  private static final int TRIES = 3;

  /** Errors read out in a row at most; usual queues hold 16 to 32. */
  private static final int MOST_ERRORS = 40;

  private final SessionHost host;
  private final ScpiSettings settings;
  private Optional<Question> awaited = Optional.empty();
  private @Nullable Instrument instrument;
  private @Nullable Intake intake;
  private @Nullable Epochs epochs;
  private @Nullable Missed missed;

  /** What was asked when silence made us look into the error queue. */
  private Optional<Question> failed = Optional.empty();

  private boolean noErrorQueue;
  private boolean poweredOn;
  private int silentMissed;
  private boolean gone;
  private int errors;
  private int unanswered;
  private long next;

  /** What can be asked. */
  private enum Question {
    IDENTITY,
    STATUS,
    ERROR,
    READING,
    MISSED
  }

  ScpiSession(SessionHost host, ScpiSettings settings) {
    this.host = host;
    this.settings = settings;
  }

  @Override
  public void start() throws LinkException {
    ask(Question.IDENTITY);
  }

  private void ask(Question question) throws LinkException {
    String message =
        switch (question) {
          case IDENTITY -> "*IDN?";
          case STATUS -> "*ESR?";
          case ERROR -> "SYST:ERR?";
          case READING -> settings.query();
          case MISSED ->
              settings
                  .missed()
                  .orElseThrow()
                  .replace(ScpiSettings.NUMBER, Long.toString(running(missed).wanted()));
        };
    awaited = Optional.of(question);
    byte[] bytes = (message + settings.end()).getBytes(StandardCharsets.US_ASCII);
    host.send(new Command(bytes, Effects.of(message), message));
    next = host.time().nanos() + settings.answer().plus(host.lineTime(bytes.length)).toNanos();
  }

  private static <T> T running(@Nullable T part) {
    if (part == null) {
      throw new IllegalStateException("asked before the instrument said who it is");
    }
    return part;
  }

  private void rest(Duration pause) {
    awaited = Optional.empty();
    missed = null;
    failed = Optional.empty();
    next = host.time().nanos() + pause.toNanos();
  }

  @Override
  public void frame(Frame frame) throws FrameException, LinkException {
    if (awaited.isEmpty()) {
      throw new FrameException(
          FaultCode.OUT_OF_ORDER, "an answer without a question, or a late one", frame.bytes());
    }
    Question question = awaited.get();
    try {
      switch (question) {
        case IDENTITY -> identity(frame);
        case STATUS -> status(frame);
        case ERROR -> error(frame);
        case READING -> reading(frame);
        case MISSED -> missed(frame);
      }
      unanswered = 0;
    } catch (FrameException e) {
      if (e.code() == FaultCode.INSTRUMENT_ERROR) {
        unanswered = 0;
      } else {
        rest(PAUSE);
      }
      throw e;
    }
  }

  private void identity(Frame frame) throws FrameException, LinkException {
    Instrument who = Identity.of(frame);
    host.identified(who);
    if (!who.equals(instrument)) {
      instrument = who;
      epochs = new Epochs(host, who);
      intake = new Intake(host, settings, who, epochs);
    }
    if (poweredOn) {
      poweredOn = false;
      restarted("it says so in its event status register");
      ask(noErrorQueue ? Question.READING : Question.ERROR);
    } else {
      ask(Question.STATUS);
    }
  }

  private void status(Frame frame) throws FrameException, LinkException {
    EventStatus events = EventStatus.of(frame);
    errors = 0;
    if (events.poweredOn()) {
      poweredOn = true; // and another one may stand in its place
      ask(Question.IDENTITY);
      return;
    }
    ask(events.errors() && !noErrorQueue ? Question.ERROR : Question.READING);
  }

  private void restarted(String why) {
    Epochs lives = running(epochs);
    if (lives.known()) {
      host.restarted(
          "The instrument was switched on since it was last heard: %s.".formatted(why)
              + " Readings that it had not given by then are lost, and its numbers begin anew.");
    }
    lives.restarted();
  }

  private void error(Frame frame) throws FrameException, LinkException {
    InstrumentError error = InstrumentError.of(frame);
    if (error.none()) {
      afterErrors();
      return;
    }
    gone = true;
    if (++errors < MOST_ERRORS) {
      ask(Question.ERROR);
    } else {
      afterErrors();
    }
    boolean expected = failed.isPresent() && error.noReading();
    boolean backwards = failed.equals(Optional.of(Question.MISSED));
    if (expected && !backwards) {
      host.status("the instrument has no reading yet");
    } else if (!backwards) {
      throw new FrameException(FaultCode.INSTRUMENT_ERROR, error.sentence(), frame.bytes());
    }
  }

  /** The queue is empty. What was asked before is not asked again in this round. */
  private void afterErrors() throws LinkException {
    boolean told = gone;
    gone = false;
    if (failed.isEmpty()) {
      ask(Question.READING);
    } else if (failed.get() == Question.MISSED
        && missed != null
        && (told || ++silentMissed == TRIES)) {
      silentMissed = 0;
      give(missed.inOrder());
    } else {
      if (!told) {
        host.status("no answer to %s, and no error".formatted(settings.query()));
      }
      rest(settings.every());
    }
  }

  private void reading(Frame frame) throws FrameException, LinkException {
    Intake taking = running(intake);
    List<Answer> answers = taking.answers(frame.bytes());
    if (answers.isEmpty()) {
      host.status("the instrument has no reading yet");
      rest(settings.every());
      return;
    }
    Answer newest = answers.get(answers.size() - 1);
    if (newest.number().isPresent() && newest.number().getAsLong() < running(epochs).last()) {
      restarted(
          "its newest reading has number %d, after %d"
              .formatted(newest.number().getAsLong(), running(epochs).last()));
    }
    OptionalLong from = taking.missedBefore(newest);
    if (answers.size() == 1 && from.isPresent() && settings.missed().isPresent()) {
      missed = new Missed(newest, from.getAsLong());
      ask(Question.MISSED);
      return;
    }
    give(answers);
  }

  private void give(List<Answer> answers) {
    running(intake).give(answers, host.time().now());
    rest(settings.every());
  }

  private void missed(Frame frame) throws FrameException, LinkException {
    Missed looking = running(missed);
    List<Answer> answers = running(intake).answers(frame.bytes());
    if (answers.size() != 1 || !settings.missed().orElseThrow().contains(ScpiSettings.NUMBER)) {
      looking.found(answers);
      give(looking.inOrder());
      return;
    }
    long number = answers.get(0).number().orElseThrow();
    if (number != looking.wanted()) {
      throw new FrameException(
          FaultCode.FRAME_SYNTAX,
          "asked for reading %d it gave %d".formatted(looking.wanted(), number),
          frame.bytes());
    }
    silentMissed = 0;
    if (looking.found(answers.get(0))) {
      give(looking.inOrder());
    } else {
      ask(Question.MISSED);
    }
  }

  /** There is nothing to acknowledge. */
  @Override
  public void durable() {}

  @Override
  public void tick() throws LinkException {
    if (host.time().nanos() - next < 0) {
      return;
    }
    if (awaited.isEmpty()) {
      ask(epochs == null ? Question.IDENTITY : Question.STATUS);
      return;
    }
    Question question = awaited.get();
    if (++unanswered == TRIES) {
      throw new LinkException(
          FaultCode.LINK_SILENT, "no answer to %d questions in a row".formatted(TRIES));
    }
    boolean wanted = question == Question.READING || question == Question.MISSED;
    if (wanted && !noErrorQueue) {
      failed = awaited;
      errors = 0;
      ask(Question.ERROR);
    } else {
      // an instrument of IEEE 488.2 alone has no error queue
      noErrorQueue |= question == Question.ERROR;
      rest(PAUSE);
    }
  }

  @Override
  public long nextTick() {
    return next;
  }
}
