package org.tallywire.bridge;

import java.time.Duration;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;
import org.tallywire.api.Command;
import org.tallywire.api.Gap;
import org.tallywire.api.Instrument;
import org.tallywire.api.Link;
import org.tallywire.api.LinkException;
import org.tallywire.api.Reading;
import org.tallywire.api.SequenceNumber;
import org.tallywire.api.SessionHost;
import org.tallywire.api.TimeSource;
import org.tallywire.bridge.StationState.Topic;
import org.tallywire.journal.JournalException;

/** What a driver's session may do over one open link. */
final class Conversation implements SessionHost {

  private static final Logger log = LoggerFactory.getLogger(Conversation.class);

  private final BridgeConfig.Station config;
  private final Link link;
  private final Recorder recorder;
  private final TimeSource time;
  private final StationState state;
  private final Lasting lasting;
  private final LineSpeed line;
  private boolean identified;

  Conversation(
      BridgeConfig.Station config,
      Link link,
      Recorder recorder,
      TimeSource time,
      StationState state,
      Lasting lasting) {
    this.config = config;
    this.link = link;
    this.recorder = recorder;
    this.time = time;
    this.state = state;
    this.lasting = lasting;
    this.line = new LineSpeed(link, config.address());
  }

  @Override
  public TimeSource time() {
    return time;
  }

  @Override
  public Duration lineTime(int bytes) {
    return line.time(bytes);
  }

  @Override
  public Map<String, String> notes() {
    return lasting.notes();
  }

  @Override
  public void send(Command command) throws LinkException {
    if (command.effect() == Command.Effect.MEASURE) {
      // nothing here can confirm at the bench yet, so nothing goes out that may energise a lead
      log.warn("{}: not sent, it would measure: {}", config.name(), command.words());
      return;
    }
    link.write(command.bytes());
  }

  @Override
  public void speed(int baud) throws LinkException {
    line.change(baud);
  }

  @Override
  public void identified(Instrument instrument) {
    identified("", instrument);
  }

  @Override
  public void identified(String address, Instrument instrument) {
    log.info(
        "{}: the instrument is {}",
        config.name(),
        Visible.text(
            "%s %s, serial %s, firmware %s"
                .formatted(
                    instrument.maker(),
                    instrument.model(),
                    instrument.serial(),
                    instrument.firmware())));
    Optional<String> refusal = lasting.instrument().refusal(instrument);
    if (refusal.isPresent()) {
      throw new WrongInstrument(refusal.get());
    }
    identified = true;
    lasting
        .instrument()
        .meet(address, instrument)
        .ifPresent(news -> notice(Topic.INSTRUMENT, news));
    state.connected(instrument);
  }

  @Override
  public void restarted(String sentence) {
    notice(Topic.RESTART, sentence);
  }

  @Override
  public void contradicted(String sentence) {
    notice(Topic.SETTINGS, sentence);
  }

  private void notice(Topic topic, String sentence) {
    String visible = Visible.text(sentence);
    state.noticed().ifPresent(besides -> log.warn("{}: {}{}", config.name(), visible, besides));
    state.notice(topic, visible);
  }

  @Override
  public OptionalLong lastRecorded(Instrument instrument, String epoch) {
    try {
      return recorder.lastRecorded(instrument, config.name(), epoch);
    } catch (JournalException e) {
      throw new StorageFailure(e);
    }
  }

  @Override
  public Optional<Reading> recorded(Instrument instrument, SequenceNumber number) {
    try {
      return recorder.recorded(instrument, config.name(), number);
    } catch (JournalException e) {
      throw new StorageFailure(e);
    }
  }

  @Override
  public void reading(Reading reading) {
    if (!identified) {
      throw new IllegalStateException("the driver gave a reading before it said whose it is");
    }
    lasting.unrecorded().add(reading);
  }

  @Override
  public void repeated() {
    state.repeated();
  }

  @Override
  public void gap(Gap gap) {
    state
        .gapFound()
        .ifPresent(
            besides -> log.warn("{}: {}{}", config.name(), Visible.text(gap.detail()), besides));
    lasting.unrecorded().add(gap);
  }

  @Override
  public void status(String words) {
    state.detail(Visible.text(words));
  }

  /** Ends a conversation with an instrument that is not the one the station is set to. */
  static final class WrongInstrument extends RuntimeException {
    WrongInstrument(String sentence) {
      super(sentence);
    }
  }

  /** Carries a journal's failure through a session, which knows nothing of journals. */
  static final class StorageFailure extends RuntimeException {
    StorageFailure(JournalException cause) {
      super(cause.getMessage(), cause);
    }
  }
}
