package org.tallywire.fault;

import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.channels.FileChannel;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.sql.Connection;
import java.sql.DriverManager;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.sql.Statement;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import org.tallywire.api.TimeSource;
import org.tallywire.journal.Journal;
import org.tallywire.journal.JournalException;

/**
 * Runs a script on one journal, with a fault on the way: an exception or no effect is right, and
 * afterwards everything acknowledged is there and nothing else. Its lies are kept as sentences.
 */
final class FaultRun {

  private static final int PATIENCE = 4;

  private final Path folder;
  private final WatchControl control;
  private final List<Script.Step> steps;
  private final FileChannel marks;
  private final List<String> lies = new ArrayList<>();

  private Expected state;
  private int next;
  private boolean refused;
  private Journal journal;

  /**
   * @param folder of the journal; what is in it must be after {@code next} steps, or one more
   * @param marks a file that the watcher traces as marks
   */
  FaultRun(
      Path folder,
      WatchControl control,
      List<Script.Step> steps,
      int next,
      Expected state,
      FileChannel marks) {
    this.folder = folder;
    this.control = control;
    this.steps = steps;
    this.next = next;
    this.state = state;
    this.marks = marks;
  }

  static FileChannel marks(Path watched) throws IOException {
    return FileChannel.open(
        watched.resolve("marks"), StandardOpenOption.CREATE, StandardOpenOption.APPEND);
  }

  List<String> lies() {
    return lies;
  }

  /** Returns whether anything was refused with an exception. */
  boolean refused() {
    return refused;
  }

  /** Goes on with the script until its end, or until the fault lets nothing pass. */
  void underFault(FileFault fault) throws IOException {
    control.arm(fault);
    int attempts = 0;
    while (next < steps.size() && attempts < PATIENCE) {
      try {
        step();
        attempts = 0;
      } catch (JournalException e) {
        refused = true;
        steps.get(next).begun().on(state);
        attempts++;
      } catch (RuntimeException | Error e) {
        lies.add("step %d %s: %s".formatted(next, steps.get(next).name(), e));
        attempts++;
      }
    }
    if (next < steps.size() && !fault.forever()) {
      lies.add("after one failure step %d %s never works".formatted(next, steps.get(next).name()));
    }
    control.disarm();
  }

  /** Without faults: closes, opens, compares, repeats what failed, does the rest, compares. */
  void afterwards() throws IOException, SQLException {
    close();
    try {
      open();
      compareWithEither();
      while (next < steps.size()) {
        step();
      }
      if (journal == null) {
        open();
      }
      state.difference(journal).ifPresent(found -> lies.add("at the end: " + found));
    } catch (JournalException e) {
      lies.add("without faults at step %d: %s".formatted(next, e.getMessage()));
    }
    close();
    String check = integrity(folder);
    if (!check.equals("ok")) {
      lies.add("integrity_check: " + check);
    }
  }

  /** The step that failed was done whole or not at all; each is right. */
  private void compareWithEither() throws JournalException {
    Optional<String> without = state.difference(journal);
    if (without.isEmpty()) {
      return;
    }
    Optional<String> with = Optional.of("all is done");
    if (next < steps.size()) {
      Expected done = state.copy();
      steps.get(next).done().on(done);
      with = done.difference(journal);
    }
    if (with.isPresent()) {
      lies.add(
          "opened again, before step %d: %s; after it: %s"
              .formatted(next, without.get(), with.get()));
    }
  }

  private void step() throws JournalException, IOException {
    if (journal == null) {
      open();
    }
    Script.Step step = steps.get(next);
    if (step.reopens()) {
      close();
    } else {
      step.doing().to(journal);
    }
    step.done().on(state);
    mark(marks, folder, next);
    next++;
    look();
  }

  /** Whoever follows the journal hears its head at the opening, so it must last from then on. */
  private void open() throws JournalException, IOException {
    Journal opened = Journal.open(folder, TimeSource.system());
    journal = opened;
    mark(marks, folder, "told " + opened.head());
  }

  /** What can be read must be right, also while other things fail. */
  private void look() {
    if (journal == null) {
      return;
    }
    try {
      state
          .difference(journal)
          .ifPresent(found -> lies.add("after step %d: %s".formatted(next - 1, found)));
    } catch (JournalException e) {
      refused = true;
    }
  }

  static void mark(FileChannel marks, Path folder, int step) throws IOException {
    mark(marks, folder, "done " + step);
  }

  private static void mark(FileChannel marks, Path folder, String what) throws IOException {
    marks.write(ByteBuffer.wrap((what + " " + folder).getBytes(StandardCharsets.UTF_8)));
  }

  private void close() {
    if (journal != null) {
      journal.close();
      journal = null;
    }
  }

  static String integrity(Path folder) throws SQLException {
    Path file = folder.resolve("journal.db");
    if (!Files.exists(file)) {
      return "there is no " + file;
    }
    try (Connection connection = DriverManager.getConnection("jdbc:sqlite:" + file);
        Statement statement = connection.createStatement();
        ResultSet rows = statement.executeQuery("PRAGMA integrity_check")) {
      return rows.next() ? rows.getString(1) : "no answer";
    }
  }
}
