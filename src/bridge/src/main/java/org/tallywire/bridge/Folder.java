package org.tallywire.bridge;

import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Optional;
import org.tallywire.format.SetupException;
import org.tallywire.journal.Anchor;
import org.tallywire.journal.JournalException;
import org.tallywire.journal.JournalView;

/** The data folder that a command is to look into, named by itself or by its configuration. */
final class Folder {

  private Folder() {}

  /**
   * Returns the data folder: the given one, or the one that a configuration file names.
   *
   * @throws SetupException if the file cannot be read
   */
  static Path of(Path given) throws SetupException {
    return Files.isRegularFile(given)
        ? BridgeConfigFile.read(given, Drivers.shipped()).data()
        : given;
  }

  /**
   * Opens the journal of a folder for reading; a bridge may run on it.
   *
   * @throws SetupException if there is none or it cannot be read
   */
  static JournalView view(Path data) throws SetupException {
    if (!Files.exists(data.resolve("journal.db"))) {
      throw new SetupException("%s: holds no journal (journal.db)".formatted(data));
    }
    Tallywire.logBeside(data);
    try {
      return JournalView.open(data);
    } catch (JournalException e) {
      throw new SetupException("data: " + e.getMessage());
    }
  }

  /** Says what retention has removed, if anything. */
  static Optional<String> cutOff(Anchor anchor) {
    return anchor.position() == 0
        ? Optional.empty()
        : Optional.of(
            "Entries 1 to %d were removed, being older than keep-days; the first here is entry %d."
                .formatted(anchor.position(), anchor.position() + 1));
  }
}
