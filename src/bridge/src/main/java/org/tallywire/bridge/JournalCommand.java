package org.tallywire.bridge;

import java.io.IOException;
import java.io.PrintStream;
import java.nio.file.Path;
import java.time.temporal.ChronoUnit;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.TreeMap;
import java.util.concurrent.Callable;
import org.jspecify.annotations.Nullable;
import org.tallywire.api.TimeSource;
import org.tallywire.format.SetupException;
import org.tallywire.journal.Anchor;
import org.tallywire.journal.Journal;
import org.tallywire.journal.JournalEntry;
import org.tallywire.journal.JournalException;
import org.tallywire.journal.JournalView;
import org.tallywire.publish.Publisher;
import picocli.CommandLine.Command;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;

/** {@code tallywire journal}: what a journal is, how far it goes and who has come how far. */
@Command(
    name = "journal",
    description = {
      "Says which journal a data folder holds, from where to where it goes, how far each follower"
          + " has come and how much lies on the shelf. A bridge may run meanwhile.",
      "Ends with 0, or with 3 if --verify finds a fault."
    },
    mixinStandardHelpOptions = true)
final class JournalCommand implements Callable<Integer> {

  private static final String CONSUMER = Publisher.CONSUMER;

  @Parameters(
      paramLabel = "CONFIG|DATA",
      description = "the bridge's configuration file, or its data folder")
  private Path given = Path.of("");

  @Option(
      names = "--verify",
      description = "check every row and walk the digest chain from its first entry to its last")
  private boolean verify;

  @Option(
      names = "--forget",
      paramLabel = "CONSUMER",
      description =
          "forget how far a consumer has confirmed, so that nothing is kept for it any more; no"
              + " bridge may run on the folder")
  private @Nullable String forgotten;

  @Override
  public Integer call() throws Exception {
    Path data = Folder.of(given);
    if (forgotten != null) {
      forget(data, forgotten);
    }
    try (JournalView journal = Folder.view(data)) {
      status(data, journal, System.out);
      return verify ? verify(journal, System.out) : Tallywire.OK;
    } catch (JournalException e) {
      throw new SetupException("data: " + e.getMessage());
    }
  }

  private static void forget(Path data, String consumer) throws SetupException {
    try (JournalView view = Folder.view(data)) {
      if (!view.cursors().containsKey(CONSUMER + consumer)) {
        throw new SetupException(
            "--forget %s: the journal knows no consumer of that name".formatted(consumer));
      }
    } catch (JournalException e) {
      throw new SetupException("data: " + e.getMessage());
    }
    try (Journal journal = Journal.open(data, TimeSource.system())) {
      journal.forget(CONSUMER + consumer);
    } catch (JournalException e) {
      throw new SetupException("data: " + e.getMessage());
    }
  }

  private static void status(Path data, JournalView journal, PrintStream out)
      throws JournalException, IOException {
    // before the head, so that nobody looks further than it is
    Map<String, Long> cursors = new TreeMap<>(journal.cursors());
    cursors.remove(Examination.BEGIN); // the examiner's second place, nobody who follows
    Anchor anchor = journal.anchor();
    long head = journal.head();
    out.printf("journal    %s%n", journal.identity());
    List<JournalEntry> first = journal.read(anchor.position(), 1);
    if (first.isEmpty()) {
      out.println("entries    none");
    } else {
      JournalEntry last = journal.read(head - 1, 1).get(0);
      out.printf(
          "entries    %d, positions %d to %d, written %s to %s%n",
          head - anchor.position(),
          first.get(0).position(),
          last.position(),
          first.get(0).writtenAt().truncatedTo(ChronoUnit.MILLIS),
          last.writtenAt().truncatedTo(ChronoUnit.MILLIS));
    }
    Folder.cutOff(anchor).ifPresent(sentence -> out.printf("removed    %s%n", sentence));
    cursors.forEach(
        (follower, position) ->
            out.printf(
                "follower   %s: %d%s%n",
                inWords(follower),
                position,
                position < head ? ", %d to go".formatted(head - position) : ", all"));
    Set<Long> replayed = Replayed.noted(data);
    long lying = journal.shelf().stream().filter(one -> !replayed.contains(one.position())).count();
    out.printf(
        "shelf      %s%n", lying == 0 ? "empty" : lying == 1 ? "1 record" : lying + " records");
  }

  private static int verify(JournalView journal, PrintStream out) throws JournalException {
    Optional<String> fault = journal.verify();
    out.printf(
        "verified   %s%n",
        fault.map(f -> "NOT AS IT SHOULD BE: " + Visible.text(f)).orElse("every row and digest"));
    return fault.isEmpty() ? Tallywire.OK : Tallywire.NOT_AS_IT_SHOULD_BE;
  }

  private static String inWords(String follower) {
    return follower.startsWith(CONSUMER)
        ? "confirmed by %s".formatted(Visible.text(follower.substring(CONSUMER.length())))
        : Visible.text(follower);
  }
}
