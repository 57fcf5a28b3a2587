package org.tallywire.fault;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Optional;
import java.util.Random;
import java.util.stream.Stream;
import org.tallywire.api.TimeSource;
import org.tallywire.journal.Journal;
import org.tallywire.journal.JournalException;

/** Opens the journal that a power cut would leave at a moment of a traced script, and compares. */
final class Images {

  private final Disk disk;
  private final Path scratch;
  private final List<Script.Step> steps;
  private final Expected state = new Expected();
  private int done;
  private long told;
  private boolean any;

  /**
   * @param root the folder that was watched, with one journal's folder in it
   * @param scratch where images are made; deleted after each
   */
  Images(Path root, Path scratch, List<Script.Step> steps) {
    this.disk = new Disk(root);
    this.scratch = scratch;
    this.steps = steps;
    begin();
  }

  private void begin() {
    if (done < steps.size()) {
      steps.get(done).begun().on(state);
    }
  }

  /** Returns how many steps are done by now. */
  int done() {
    return done;
  }

  void apply(Operation operation) {
    disk.apply(operation);
    if (operation.kind() == Operation.Kind.MARK) {
      String[] words = operation.text().split(" ", -1);
      long number = Long.parseLong(words[1]);
      if (words[0].equals("told")) {
        told = Math.max(told, number);
        any |= number > 0;
      } else if (number == done) {
        steps.get(done).done().on(state);
        done++;
        any = true;
        begin();
      }
    }
  }

  /** Cuts the power now; a sentence saying what is missing or invented, empty if nothing is. */
  Optional<String> difference(Disk.Rest rest, Random random) throws IOException {
    Watched.delete(scratch);
    Files.createDirectories(scratch);
    disk.write(scratch, rest, random);
    Optional<Path> folder;
    try (Stream<Path> folders = Files.list(scratch)) {
      folder = folders.filter(Files::isDirectory).findFirst();
    }
    if (folder.isEmpty()) {
      return any ? Optional.of("after step " + (done - 1) + " nothing is left") : Optional.empty();
    }
    try (Journal journal = Journal.open(folder.get(), TimeSource.system())) {
      if (journal.head() < told) {
        return Optional.of(
            "before step %d: head %d where an opening told %d"
                .formatted(done, journal.head(), told));
      }
      Optional<String> without = state.difference(journal);
      if (without.isEmpty() || done == steps.size()) {
        return without;
      }
      Expected one = state.copy();
      steps.get(done).done().on(one);
      return one.difference(journal)
          .map(with -> "before step %d: %s; after it: %s".formatted(done, without.get(), with));
    } catch (JournalException e) {
      return Optional.of("after step %d: %s".formatted(done - 1, e.getMessage()));
    } finally {
      Watched.delete(scratch);
    }
  }
}
