package org.tallywire.bridge;

import java.time.Duration;
import java.util.HashMap;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.TimeUnit;
import org.jspecify.annotations.Nullable;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;
import org.tallywire.api.Driver;
import org.tallywire.api.DriverDescription;
import org.tallywire.api.FaultCode;
import org.tallywire.api.FrameException;
import org.tallywire.api.Framer;
import org.tallywire.api.Instrument;
import org.tallywire.api.Link;
import org.tallywire.api.LinkAddress;
import org.tallywire.api.LinkException;
import org.tallywire.api.Session;
import org.tallywire.api.TimeSource;
import org.tallywire.format.StateRecord.Word;
import org.tallywire.journal.JournalException;

/**
 * One instrument's thread: opens the link, cuts frames, hands them to the driver's session, records
 * what comes of it, and begins again, for ever, when the link is lost.
 */
final class Station implements AutoCloseable {

  private static final Logger log = LoggerFactory.getLogger(Station.class);
  private static final Duration CLOSE_LIMIT = Duration.ofSeconds(4);
  private static final Duration SETTLED = Duration.ofSeconds(10);

  private final BridgeConfig.Station config;
  private final Opener opener;
  private final Recorder recorder;
  private final TimeSource time;
  private final StationState state;
  private final Lasting lasting;
  private final CountDownLatch closing = new CountDownLatch(1);
  private final Thread thread;

  private volatile @Nullable Link link;
  private boolean worked;

  Station(
      BridgeConfig.Station config,
      Opener opener,
      Recorder recorder,
      StateBoard board,
      TimeSource time) {
    this.config = config;
    this.opener = opener;
    this.recorder = recorder;
    this.time = time;
    this.state = new StationState(config.name(), gapsSeen(config.driver()), board, time);
    this.lasting =
        new Lasting(
            new Unrecorded(config, recorder, state, time),
            new HashMap<>(),
            new KnownInstrument(config.instrument()));
    this.thread = new Thread(this::run, "station " + config.name());
  }

  private static boolean gapsSeen(Driver driver) {
    return driver.description().memory() != DriverDescription.Memory.NONE;
  }

  /** Opens links. */
  interface Opener {
    Link open(LinkAddress address) throws LinkException;
  }

  String name() {
    return config.name();
  }

  /** Tells it, before its start, which instrument an earlier run of the bridge had here. */
  void recall(Instrument instrument) {
    lasting.instrument().recall(instrument);
  }

  void start() {
    thread.start();
  }

  @Override
  public void close() {
    closing.countDown();
    Link open = link;
    if (open != null) {
      open.close();
    }
    try {
      thread.join(CLOSE_LIMIT.toMillis());
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
    }
    if (thread.isAlive()) {
      log.warn("{}: did not end within {}; left behind", config.name(), CLOSE_LIMIT);
    }
    state.set(Word.STOPPED, "The bridge was stopped.");
  }

  private void run() {
    BackOff backOff = new BackOff();
    while (!isClosing()) {
      try {
        lasting.unrecorded().record();
        connect();
      } catch (LinkException e) {
        down("The link is down: " + e.getMessage(), null);
      } catch (Conversation.WrongInstrument e) {
        down("No reading is taken: " + e.getMessage(), null);
      } catch (JournalException | Conversation.StorageFailure e) {
        down("Readings cannot be put on disk; none is acknowledged: " + e.getMessage(), null);
      } catch (RuntimeException | Error e) {
        down("This conversation ended by a fault of ours: " + e, e);
      }
      if (worked) {
        worked = false;
        backOff.reset();
      }
      pause(backOff.next());
    }
    lasting.unrecorded().end();
  }

  private void connect() throws LinkException, JournalException {
    state.connecting("Opening %s.".formatted(config.address()));
    try (Link opened = opener.open(config.address())) {
      link = opened;
      if (!isClosing()) {
        state.connecting("Opened %s; it is given time to settle.".formatted(config.address()));
        opened.settle();
        converse(opened);
      }
    } finally {
      link = null;
    }
  }

  private void converse(Link opened) throws LinkException, JournalException {
    Conversation conversation = new Conversation(config, opened, recorder, time, state, lasting);
    Framer framer = config.driver().newFramer();
    Session session = config.driver().open(conversation);
    Exchange exchange = new Exchange(opened, framer, session, time, this::fault);
    long begun = time.nanos();
    state.set(Word.WAITING, "Connected to %s.".formatted(config.address()));
    session.start();
    while (!isClosing()) {
      int count = exchange.read();
      if (count > 0 || lasting.unrecorded().isHolding()) {
        worked |= lasting.unrecorded().record();
        if (!lasting.unrecorded().isHolding()) {
          session.durable();
        }
      }
      if (exchange.isDue()) {
        tick(session, exchange);
      }
      worked |= state.isConnected() && time.nanos() - begun > SETTLED.toNanos();
      state.refresh();
    }
  }

  /** Lets the session do what is due; if nobody was ever understood, says what may be wrong. */
  private void tick(Session session, Exchange exchange) throws LinkException {
    try {
      session.tick();
    } catch (LinkException e) {
      if (e.code() != FaultCode.LINK_SILENT || state.isConnected()) {
        throw e;
      }
      String seen = "nothing is heard: is it switched on, and is this its port?";
      if (!exchange.lastFault().isEmpty()) {
        seen = "the last fault was: " + exchange.lastFault();
      } else if (exchange.bytes() > 0) {
        seen = "bytes arrive and make no answer: is the speed right, and is it the right driver?";
      }
      throw new LinkException(FaultCode.LINK_SILENT, "%s; %s".formatted(e.getMessage(), seen), e);
    }
  }

  private void fault(FrameException fault) {
    state
        .faulted()
        .ifPresent(
            besides ->
                log.warn(
                    "{}: {}: {}: {}{}",
                    config.name(),
                    fault.code().word(),
                    Visible.text(String.valueOf(fault.getMessage())),
                    Visible.bytes(fault.bytes()),
                    besides));
  }

  private void down(String sentence, @Nullable Throwable cause) {
    if (isClosing()) {
      return;
    }
    String visible = Visible.text(sentence);
    if (state.down(visible)) {
      if (cause == null) {
        log.warn("{}: {}; tried again by itself", config.name(), visible);
      } else {
        log.error("{}: {}; tried again by itself", config.name(), visible, cause);
      }
    }
  }

  private void pause(Duration pause) {
    try {
      closing.await(pause.toMillis(), TimeUnit.MILLISECONDS);
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
    }
  }

  private boolean isClosing() {
    return closing.getCount() == 0 || Thread.currentThread().isInterrupted();
  }
}
