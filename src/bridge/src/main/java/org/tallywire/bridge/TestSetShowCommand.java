package org.tallywire.bridge;

import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.concurrent.Callable;
import org.tallywire.api.RecordedReading;
import org.tallywire.format.FormatException;
import org.tallywire.format.RecordFormat;
import org.tallywire.format.SetupException;
import org.tallywire.journal.JournalEntry;
import org.tallywire.journal.JournalException;
import org.tallywire.journal.JournalView;
import org.tallywire.testset.TestSet;
import picocli.CommandLine.Command;
import picocli.CommandLine.Mixin;
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
  private static final int MOST_UNBOOKED = 50;

  @Mixin private BridgeArgument bridge = new BridgeArgument();

  @Parameters(index = "1", paramLabel = "TEST-SET", description = "id of the test set")
  private String id = "";

  @Option(
      names = "--readings",
      description = "show the ids of the readings, also of those not booked, for book")
  private boolean readings;

  @Option(names = "--follow", description = "go on telling what comes next")
  private boolean follow;

  @Override
  public Integer call() throws Exception {
    try (JournalView journal = bridge.journal()) {
      KnownTestSets known = new KnownTestSets(journal::find);
      long position = read(journal, known, journal.anchor().position());
      TestSetText text = new TestSetText(known.find(id));
      bridge.say(Visible.lines(text.whole(readings)));
      if (readings) {
        bridge.say(Visible.lines(unbooked(journal, position, known.find(id).testSet())));
      }
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

  /** Returns the last readings of its stations since it was opened that no booking names. */
  private static String unbooked(JournalView journal, long last, TestSet testSet)
      throws JournalException, FormatException {
    long opened = journal.find(testSet.opened().id()).map(JournalEntry::position).orElse(last);
    Map<String, RecordedReading> loose = new LinkedHashMap<>();
    JournalWalk.<FormatException>over(
        journal::read,
        last,
        entry -> {
          if (entry.position() <= opened) {
            return;
          }
          if (entry.kind().equals(RecordFormat.READING) && testSet.fedBy(entry.station())) {
            loose.put(entry.id(), RecordFormat.reading(entry.payload()));
          } else if (entry.kind().equals(RecordFormat.BOOKING)) {
            loose.remove(RecordFormat.booking(entry.payload()).readingId());
          }
        });
    StringBuilder text = new StringBuilder();
    loose.values().stream()
        .skip(Math.max(0, loose.size() - MOST_UNBOOKED))
        .forEach(one -> text.append("  %s%n       %s%n".formatted(Telling.inWords(one), one.id())));
    return loose.isEmpty()
        ? ""
        : "%nNot booked since it was opened, %d readings, the last of them:%n%s"
            .formatted(loose.size(), text);
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
        bridge.say("\n" + Visible.lines(next));
        last = next;
      }
    }
  }
}
