package org.tallywire.bridge;

import java.io.PrintWriter;
import java.nio.file.Path;
import java.util.Objects;
import org.jspecify.annotations.Nullable;
import org.tallywire.format.SetupException;
import org.tallywire.journal.Draft;
import org.tallywire.journal.JournalView;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Parameters;
import picocli.CommandLine.Spec;

/** Which bridge a command is about, said first, and where the command says what it has to say. */
final class BridgeArgument {

  @Spec(Spec.Target.MIXEE)
  private @Nullable CommandSpec spec;

  @Parameters(
      index = "0",
      paramLabel = "CONFIG|DATA",
      description = "the configuration file of a bridge, which may be running, or its data folder")
  private Path given = Path.of("");

  /** Returns it as it was said. */
  Path given() {
    return given;
  }

  /** Returns its data folder. */
  Path folder() throws SetupException {
    return Folder.of(given);
  }

  /** Opens its journal for reading. */
  JournalView journal() throws SetupException {
    return Folder.view(folder());
  }

  PrintWriter out() {
    return Objects.requireNonNull(spec).commandLine().getOut();
  }

  /** Says a text that is lines already; what is only printed would stay in the writer. */
  void say(String text) {
    out().print(text);
    out().flush();
  }

  PrintWriter err() {
    return Objects.requireNonNull(spec).commandLine().getErr();
  }

  /** Leaves a record for the bridge and returns the exit code; see {@link Leaving#leave}. */
  int leave(Draft draft, String done) throws SetupException {
    return Leaving.leave(folder(), draft, done, out(), err());
  }
}
