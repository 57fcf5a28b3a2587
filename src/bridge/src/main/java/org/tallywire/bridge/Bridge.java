package org.tallywire.bridge;

import java.io.IOException;
import java.net.URI;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.TreeSet;
import java.util.concurrent.atomic.AtomicBoolean;
import java.util.stream.Collectors;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;
import org.tallywire.acceptance.TestPlan;
import org.tallywire.api.Instrument;
import org.tallywire.api.TimeSource;
import org.tallywire.format.FormatException;
import org.tallywire.format.RecordFormat;
import org.tallywire.format.SetupException;
import org.tallywire.format.StateRecord.Storage;
import org.tallywire.format.StateRecord.Word;
import org.tallywire.journal.Draft;
import org.tallywire.journal.Journal;
import org.tallywire.journal.JournalEntry;
import org.tallywire.journal.JournalException;
import org.tallywire.link.Links;
import org.tallywire.publish.BrokerAddress;
import org.tallywire.publish.Publisher;
import org.tallywire.testset.InstrumentStanding;
import org.tallywire.testset.TestSet;
import org.tallywire.testset.TestSetEvent;
import org.tallywire.web.LivePage;

/**
 * The whole: opens the journal, starts examiner, publisher, page and stations in this order, and
 * closes them in the reverse one. Nothing starts before {@link #start}; {@link #close} is bounded
 * and may be called twice.
 */
final class Bridge implements AutoCloseable {

  private static final Logger log = LoggerFactory.getLogger(Bridge.class);

  private static final Duration STATION_CLOSE_LIMIT = Duration.ofSeconds(6);

  private final BridgeConfig config;
  private final Journal journal;
  private final StateBoard board;
  private final Examination examination;
  private final Optional<Publisher> publisher;
  private final LivePage page;
  private final SignOfLife signOfLife;
  private final Optional<Retention> retention;
  private final List<Station> stations = new ArrayList<>();
  private final List<String> notices = new ArrayList<>();
  private final TimeSource time;
  private final Links links;

  private final AtomicBoolean closed = new AtomicBoolean();

  private Bridge(
      BridgeConfig config,
      Journal journal,
      Optional<BrokerAddress> broker,
      StateBoard board,
      TimeSource time) {
    this.config = config;
    this.journal = journal;
    this.time = time;
    config.broker().ifPresent(one -> notices.addAll(one.notices()));
    this.board = board;
    this.examination =
        new Examination(
            journal,
            new Inbox(config.data()),
            config.stations().stream()
                .map(BridgeConfig.Station::name)
                .collect(Collectors.toCollection(TreeSet::new)),
            time,
            board);
    this.publisher =
        broker.map(
            one ->
                new Publisher(
                    journal,
                    one,
                    board.will(),
                    PublishedRecords.of(config, time),
                    time,
                    new Reports(board)));
    this.signOfLife = new SignOfLife(board, config.data(), journal, publisher);
    this.page = new LivePage(journal, config.page().host(), config.page().port(), time);
    this.retention =
        config
            .keep()
            .map(
                keep ->
                    new Retention(
                        journal, examination::doneWith, publisher.isPresent(), keep, time, board));
    Recorder recorder = new Recorder(journal, time);
    this.links = new Links(config.data().resolve("native"));
    for (BridgeConfig.Station station : config.stations()) {
      stations.add(new Station(station, links::open, recorder, board, time));
    }
  }

  /**
   * Opens the journal and prepares the rest.
   *
   * @throws SetupException if the data folder cannot be used
   */
  static Bridge open(BridgeConfig config, TimeSource time) throws SetupException {
    try {
      StateBoard board = new StateBoard(time);
      Journal journal =
          Journal.open(
              config.data(),
              time,
              (state, sentence) -> board.storage(Storage.valueOf(state.name()), sentence));
      boolean opened = false;
      try {
        config.drivers().forEach(driver -> log.info("{}", driver));
        Optional<BrokerAddress> broker =
            config.broker().isPresent()
                ? Optional.of(address(config, config.broker().get()))
                : Optional.empty();
        Bridge bridge = new Bridge(config, journal, broker, board, time);
        opened = true;
        return bridge;
      } finally {
        if (!opened) {
          journal.close();
        }
      }
    } catch (JournalException e) {
      throw new SetupException("data: " + e.getMessage());
    } catch (IOException e) {
      throw new SetupException("data: %s cannot be used: %s".formatted(config.data(), e));
    }
  }

  /**
   * Starts everything and returns the address of the live page.
   *
   * @throws SetupException if a test set cannot be opened or the page cannot be served
   */
  URI start() throws SetupException {
    publisher.ifPresentOrElse(one -> board.tell(one::publishState), this::sayThatNoneIsConfigured);
    board.tell(page::publishState);
    board.bridge(Word.RUNNING, "");
    signOfLife.start();
    try {
      URI address = page.start();
      examination.catchUp();
      openTestSets();
      examination.start();
      publisher.ifPresent(Publisher::start);
      recallInstruments();
      stations.forEach(Station::start);
      retention.ifPresent(Retention::start);
      return address;
    } catch (JournalException | FormatException e) {
      throw new SetupException("data: " + e.getMessage());
    } catch (IOException e) {
      throw new SetupException("page: " + e.getMessage());
    }
  }

  /** Lets something run when the process is told to end, before any port is closed by others. */
  void atExit(Runnable task) {
    links.atExit(new Thread(task, "exit"));
  }

  /** Returns what a person should know of the start, one sentence each. */
  List<String> notices() {
    return List.copyOf(notices);
  }

  Journal journal() {
    return journal;
  }

  /** Returns what publishes; empty where no broker is configured. */
  Optional<Publisher> publisher() {
    return publisher;
  }

  private void sayThatNoneIsConfigured() {
    board.broker("none", "No broker is configured; records are kept in the journal.", false);
  }

  @Override
  public void close() {
    if (closed.getAndSet(true)) {
      return;
    }
    retention.ifPresent(Retention::close);
    closeStations();
    links.close();
    examination.close();
    signOfLife.close();
    board.bridge(Word.STOPPED, "The bridge was stopped.");
    page.close();
    publisher.ifPresent(Publisher::close);
    journal.close();
  }

  /** Closes all stations at once, since each may take seconds. */
  private void closeStations() {
    List<Thread> closers = new ArrayList<>();
    for (Station station : stations) {
      Thread closer = new Thread(station::close, "close station");
      closer.setDaemon(true);
      closer.start();
      closers.add(closer);
    }
    try {
      for (Thread closer : closers) {
        closer.join(STATION_CLOSE_LIMIT.toMillis());
      }
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
    }
  }

  /** So that an instrument that was exchanged while no bridge ran is noticed. */
  private void recallInstruments() throws JournalException {
    Map<String, Instrument> last = LastInstruments.of(journal);
    for (Station station : stations) {
      Instrument instrument = last.get(station.name());
      if (instrument != null) {
        station.recall(instrument);
      }
    }
  }

  private void openTestSets() throws SetupException, JournalException, FormatException {
    List<TestSetEvent.Opened> fresh = new ArrayList<>();
    List<String> problems = new ArrayList<>();
    for (BridgeConfig.TestSet testSet : config.testSets()) {
      TestSetEvent.Opened opened = opening(testSet);
      Optional<JournalEntry> before = journal.find(opened.id());
      if (before.isEmpty() && journal.knows(opened.id())) {
        problems.add(
            ("test-sets: \"%s\" is recorded already and was removed since, being older than"
                    + " keep-days; a new campaign needs a new id")
                .formatted(testSet.id()));
      } else if (before.isEmpty()) {
        fresh.add(opened);
      } else {
        hindrance(opened, before.get()).ifPresent(problems::add);
      }
      if (journal.find(TestSetEvent.closedId(testSet.id())).isPresent()) {
        notices.add(
            "Test set %s is closed; readings of %s are recorded without a test set."
                .formatted(testSet.id(), String.join(", ", testSet.stations())));
      }
    }
    if (!problems.isEmpty()) {
      throw new SetupException(problems);
    }
    List<Draft> drafts = closings();
    if (!fresh.isEmpty()) {
      List<InstrumentStanding> standings = Standings.of(journal::read);
      fresh.forEach(opened -> drafts.add(Drafts.of(opened.with(standings))));
    }
    if (!drafts.isEmpty()) {
      journal.append(drafts, List.of());
    }
  }

  private TestSetEvent.Opened opening(BridgeConfig.TestSet testSet) {
    return new TestSetEvent.Opened(
        testSet.id(),
        time.now(),
        testSet.stations(),
        testSet.nameplate(),
        TestPlan.of(testSet.nameplate(), testSet.options()),
        testSet.criteria());
  }

  /** Closes test sets that were left open and are not wanted now: nothing more may go into them. */
  private List<Draft> closings() {
    List<Draft> closings = new ArrayList<>();
    for (TestSet testSet : examination.openTestSets()) {
      String id = testSet.opened().testSet();
      boolean byAPerson = !testSet.opened().by().isEmpty();
      if (!byAPerson && config.testSets().stream().noneMatch(wanted -> wanted.id().equals(id))) {
        TestSetEvent.Closed closed = testSet.close(time.now());
        closings.add(Drafts.of(closed));
        notices.add(
            ("Test set %s, which the configuration does not name any more, is closed;"
                    + " steps open: %d.")
                .formatted(id, closed.open().size()));
      }
    }
    return closings;
  }

  /** Says why a test set that the journal knows cannot be gone on with, if so. */
  private static Optional<String> hindrance(TestSetEvent.Opened wanted, JournalEntry before) {
    String id = wanted.testSet();
    try {
      TestSetEvent event = RecordFormat.testSetEvent(before.payload());
      if (event instanceof TestSetEvent.Opened opened
          && opened.nameplate().equals(wanted.nameplate())
          && opened.plan().asksTheSame(wanted.plan())
          && opened.criteria().criteria().equals(wanted.criteria().criteria())
          && opened.stations().equals(wanted.stations())) {
        return Optional.empty();
      }
      return Optional.of(
          ("test-sets: \"%s\" was opened with another nameplate, other tests, another ratio basis,"
                  + " other criteria or other stations; put those back, or use a new id")
              .formatted(id));
    } catch (FormatException e) {
      return Optional.of("test-sets: \"%s\": %s".formatted(id, e.getMessage()));
    }
  }

  /** Returns where a configuration wants records published, and as whom. */
  static BrokerAddress address(BridgeConfig config, BridgeConfig.Broker broker) throws IOException {
    String clientId =
        broker.clientId().isPresent() ? broker.clientId().get() : ClientId.of(config.data());
    return new BrokerAddress(
        broker.uri(),
        clientId,
        broker.username(),
        broker.password(),
        broker.root(),
        config.site(),
        broker.tls(),
        broker.consumers());
  }
}
