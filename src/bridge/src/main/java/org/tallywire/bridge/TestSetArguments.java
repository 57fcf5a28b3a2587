package org.tallywire.bridge;

import java.io.PrintWriter;
import java.time.Instant;
import java.util.Optional;
import org.tallywire.format.FormatException;
import org.tallywire.format.RecordFormat;
import org.tallywire.format.SetupException;
import org.tallywire.journal.Draft;
import org.tallywire.journal.JournalEntry;
import org.tallywire.journal.JournalException;
import org.tallywire.journal.JournalView;
import org.tallywire.testset.TestSetEvent;
import picocli.CommandLine.Mixin;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;

/** Which test set of which bridge it is about, and who acts. */
final class TestSetArguments {

  @Mixin private BridgeArgument bridge = new BridgeArgument();

  @Parameters(index = "1", paramLabel = "TEST-SET", description = "id of the test set")
  private String id = "";

  @Option(names = "--by", required = true, paramLabel = "NAME", description = "who does it")
  private String by = "";

  /** Returns where the command says what it has to say. */
  PrintWriter out() {
    return bridge.out();
  }

  String id() {
    return id;
  }

  String by() {
    return by;
  }

  /**
   * Returns how the test set was opened.
   *
   * @throws SetupException if the journal knows none of that id
   */
  TestSetEvent.Opened opened() throws SetupException {
    try (JournalView journal = bridge.journal()) {
      Optional<JournalEntry> entry = journal.find(TestSetEvent.openedId(id));
      if (entry.isPresent()
          && RecordFormat.testSetEvent(entry.get().payload()) instanceof TestSetEvent.Opened o) {
        return o;
      }
      throw new SetupException(
          "the journal knows no test set \"%s\"; see tallywire test-set list %s"
              .formatted(id, bridge.given()));
    } catch (JournalException | FormatException e) {
      throw new SetupException("data: " + e.getMessage());
    }
  }

  /** Leaves a record for the bridge and returns the exit code. */
  int leave(Draft draft, String done) throws SetupException {
    return bridge.leave(draft, done);
  }

  /** Makes an event of the test set, of now. */
  interface Making {
    TestSetEvent event(Instant at, String asset, String station);
  }

  /** Leaves an event of the test set. */
  int leave(Making making, String done) throws SetupException {
    TestSetEvent.Opened o = opened();
    return leave(Drafts.of(making.event(Leaving.now(), o.asset(), o.station())), done);
  }
}
