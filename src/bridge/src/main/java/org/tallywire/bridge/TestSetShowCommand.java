package org.tallywire.bridge;

import java.nio.file.Path;
import java.util.List;
import java.util.concurrent.Callable;
import org.tallywire.format.FormatException;
import org.tallywire.format.SetupException;
import org.tallywire.journal.JournalEntry;
import org.tallywire.journal.JournalException;
import org.tallywire.journal.JournalView;
import picocli.CommandLine.Command;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;

/** {@code tallywire test-set show}. */
@Command(
    name = "show",
    description = {
      "Shows how a test set stands: its lists, its steps with their readings and verdicts, and what"
          + " comes next.",
      "With --follow it tells on, whenever something changes, which step comes next and where its"
          + " leads go, until Ctrl-C or the test set is closed."
    },
    mixinStandardHelpOptions = true)
final class TestSetShowCommand implements Callable<Integer> {

  private static final int PAGE = 256;
  private static final long LOOK_MILLIS = 200;

  @Parameters(
      index = "0",
      paramLabel = "CONFIG|DATA",
      description = "the bridge's configuration file, or its data folder")
  private Path given = Path.of("");

  @Parameters(index = "1", paramLabel = "TEST-SET", description = "id of the test set")
  private String id = "";

  @Option(names = "--readings", description = "show the ids of the readings, for book")
  private boolean readings;

  @Option(names = "--follow", description = "go on telling what comes next")
  private boolean follow;

  @Override
  public Integer call() throws Exception {
    try (JournalView journal = Folder.view(Folder.of(given))) {
      KnownTestSets known = new KnownTestSets(journal::find);
      long position = read(journal, known, journal.anchor().position());
      TestSetText text = new TestSetText(known.find(id));
      System.out.print(Visible.lines(text.whole(readings)));
      if (follow) {
        follow(journal, known, position, text.next());
      }
      return Tallywire.OK;
    } catch (JournalException | FormatException e) {
      throw new SetupException("data: " + e.getMessage());
    }
  }

  private static long read(JournalView journal, KnownTestSets known, long after)
      throws JournalException, FormatException {
    long position = after;
    List<JournalEntry> page = journal.read(position, PAGE);
    while (!page.isEmpty()) {
      for (JournalEntry entry : page) {
        known.take(entry);
        position = entry.position();
      }
      page = journal.read(position, PAGE);
    }
    return position;
  }

  private void follow(JournalView journal, KnownTestSets known, long from, String told)
      throws JournalException, FormatException, SetupException, InterruptedException {
    long position = from;
    String last = told;
    while (known.find(id).closed().isEmpty()) {
      Thread.sleep(LOOK_MILLIS);
      position = read(journal, known, position);
      String next = new TestSetText(known.find(id)).next();
      if (!next.equals(last)) {
        System.out.print("\n" + Visible.lines(next));
        System.out.flush();
        last = next;
      }
    }
  }
}
