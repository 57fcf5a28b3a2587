package org.tallywire.bridge;

import java.io.PrintWriter;
import java.nio.file.Path;
import java.util.Objects;
import java.util.Optional;
import org.jspecify.annotations.Nullable;
import org.tallywire.format.FormatException;
import org.tallywire.format.RecordFormat;
import org.tallywire.format.SetupException;
import org.tallywire.journal.Draft;
import org.tallywire.journal.JournalEntry;
import org.tallywire.journal.JournalException;
import org.tallywire.journal.JournalView;
import org.tallywire.testset.TestSetEvent;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;
import picocli.CommandLine.Spec;

/** Which test set of which bridge it is about, and who acts. */
final class TestSetArguments {

  @Spec(Spec.Target.MIXEE)
  private @Nullable CommandSpec spec;

  @Parameters(
      index = "0",
      paramLabel = "CONFIG|DATA",
      description = "the bridge's configuration file, or its data folder")
  private Path given = Path.of("");

  @Parameters(index = "1", paramLabel = "TEST-SET", description = "id of the test set")
  private String id = "";

  @Option(names = "--by", required = true, paramLabel = "NAME", description = "who does it")
  private String by = "";

  /** Returns where the command says what it has to say. */
  PrintWriter out() {
    return Objects.requireNonNull(spec).commandLine().getOut();
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
    try (JournalView journal = Folder.view(Folder.of(given))) {
      Optional<JournalEntry> entry = journal.find(TestSetEvent.openedId(id));
      if (entry.isPresent()
          && RecordFormat.testSetEvent(entry.get().payload()) instanceof TestSetEvent.Opened o) {
        return o;
      }
      throw new SetupException(
          "the journal knows no test set \"%s\"; see tallywire test-set list %s"
              .formatted(id, given));
    } catch (JournalException | FormatException e) {
      throw new SetupException("data: " + e.getMessage());
    }
  }

  /** Leaves a record for the bridge and returns the exit code. */
  int leave(Draft draft, String done) throws SetupException {
    return Leaving.leave(Objects.requireNonNull(spec), Folder.of(given), draft, done);
  }

  /** Leaves an event of the test set. */
  int leave(TestSetEvent event, String done) throws SetupException {
    return leave(Examination.draft(event), done);
  }
}
