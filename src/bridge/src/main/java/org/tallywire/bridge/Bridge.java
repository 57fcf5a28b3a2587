package org.tallywire.bridge;

import java.io.IOException;
import java.net.URI;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.UUID;
import java.util.concurrent.atomic.AtomicBoolean;
import org.tallywire.acceptance.TestPlan;
import org.tallywire.api.TimeSource;
import org.tallywire.format.FormatException;
import org.tallywire.format.RecordFormat;
import org.tallywire.format.SetupException;
import org.tallywire.format.StateRecord.Word;
import org.tallywire.journal.Journal;
import org.tallywire.journal.JournalEntry;
import org.tallywire.journal.JournalException;
import org.tallywire.link.Links;
import org.tallywire.publish.BrokerAddress;
import org.tallywire.publish.Publisher;
import org.tallywire.testset.TestSetEvent;
import org.tallywire.web.LivePage;

/**
 * The whole: opens the journal, starts examiner, publisher, page and stations in this order, and
 * closes them in the reverse one. Nothing starts before {@link #start}; {@link #close} is bounded
 * and may be called twice.
 */
final class Bridge implements AutoCloseable {

  private static final int CLIENT_ID_DIGITS = 12;

  private final BridgeConfig config;
  private final Journal journal;
  private final StateBoard board;
  private final Examination examination;
  private final Publisher publisher;
  private final LivePage page;
  private final List<Station> stations = new ArrayList<>();
  private final TimeSource time;
  private final Links links;

  private final AtomicBoolean closed = new AtomicBoolean();

  private Bridge(BridgeConfig config, Journal journal, BrokerAddress broker, TimeSource time) {
    this.config = config;
    this.journal = journal;
    this.time = time;
    this.board = new StateBoard(time);
    this.examination = new Examination(journal, time);
    this.publisher =
        new Publisher(
            journal,
            broker,
            board.will(),
            time,
            (state, sentence) -> board.broker(state.name().toLowerCase(Locale.ROOT), sentence));
    this.page = new LivePage(journal, config.page().host(), config.page().port(), time);
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
      Journal journal = Journal.open(config.data(), time);
      return new Bridge(config, journal, address(config), time);
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
    board.tell(publisher::publishState);
    board.tell(page::publishState);
    board.bridge(Word.RUNNING, "");
    try {
      openTestSets();
      examination.start();
      publisher.start();
      URI address = page.start();
      stations.forEach(Station::start);
      return address;
    } catch (JournalException e) {
      throw new SetupException("data: " + e.getMessage());
    } catch (IOException e) {
      throw new SetupException("page: " + e.getMessage());
    }
  }

  /** Lets something run when the process is told to end, before any port is closed by others. */
  void atExit(Runnable task) {
    links.atExit(new Thread(task, "exit"));
  }

  Journal journal() {
    return journal;
  }

  Publisher publisher() {
    return publisher;
  }

  @Override
  public void close() {
    if (closed.getAndSet(true)) {
      return;
    }
    stations.parallelStream().forEach(Station::close);
    examination.close();
    board.bridge(Word.STOPPED, "The bridge was stopped.");
    page.close();
    publisher.close();
    journal.close();
  }

  private void openTestSets() throws SetupException, JournalException {
    List<String> problems = new ArrayList<>();
    for (BridgeConfig.TestSet testSet : config.testSets()) {
      TestSetEvent.Opened opened =
          new TestSetEvent.Opened(
              testSet.id(),
              time.now(),
              testSet.stations(),
              testSet.nameplate(),
              TestPlan.of(testSet.nameplate()),
              testSet.criteria());
      Optional<JournalEntry> before = journal.find(opened.id());
      if (before.isEmpty()) {
        journal.append(List.of(Examination.draft(opened)), List.of());
      } else {
        hindrance(opened, before.get()).ifPresent(problems::add);
      }
    }
    if (!problems.isEmpty()) {
      throw new SetupException(problems);
    }
  }

  /** Says why a test set that the journal knows cannot be gone on with, if so. */
  private Optional<String> hindrance(TestSetEvent.Opened wanted, JournalEntry before)
      throws JournalException {
    String id = wanted.testSet();
    if (journal.find("test-set:" + id + ":closed").isPresent()) {
      return Optional.of(
          "test-sets: \"%s\" is closed; a new campaign needs a new id".formatted(id));
    }
    try {
      TestSetEvent event = RecordFormat.testSetEvent(before.payload());
      if (event instanceof TestSetEvent.Opened opened
          && opened.nameplate().equals(wanted.nameplate())
          && opened.criteria().equals(wanted.criteria())
          && opened.stations().equals(wanted.stations())) {
        return Optional.empty();
      }
      return Optional.of(
          ("test-sets: \"%s\" was opened with another nameplate, other criteria or other stations;"
                  + " put those back, or use a new id")
              .formatted(id));
    } catch (FormatException e) {
      return Optional.of("test-sets: \"%s\": %s".formatted(id, e.getMessage()));
    }
  }

  private static BrokerAddress address(BridgeConfig config) throws IOException {
    BridgeConfig.Broker broker = config.broker();
    String clientId =
        broker.clientId().isPresent() ? broker.clientId().get() : keptClientId(config.data());
    return new BrokerAddress(
        broker.uri(), clientId, broker.username(), broker.password(), broker.root(), config.site());
  }

  /**
   * Returns a client id of this installation: made once, of letters and digits that any broker
   * takes.
   */
  private static String keptClientId(Path data) throws IOException {
    Path file = data.resolve("client-id");
    if (!Files.exists(file)) {
      String digits = UUID.randomUUID().toString().replace("-", "").substring(0, CLIENT_ID_DIGITS);
      Files.writeString(
          file, "tallywire" + digits, StandardCharsets.US_ASCII, StandardOpenOption.CREATE_NEW);
    }
    return Files.readString(file, StandardCharsets.US_ASCII).strip();
  }
}
