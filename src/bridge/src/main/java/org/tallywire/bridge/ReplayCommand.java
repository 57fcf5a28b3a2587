package org.tallywire.bridge;

import java.io.IOException;
import java.io.PrintStream;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.Set;
import java.util.concurrent.Callable;
import java.util.stream.Collectors;
import org.jspecify.annotations.Nullable;
import org.tallywire.api.TimeSource;
import org.tallywire.format.SetupException;
import org.tallywire.journal.JournalException;
import org.tallywire.journal.JournalView;
import org.tallywire.journal.Shelved;
import org.tallywire.publish.BrokerAddress;
import org.tallywire.publish.Replay;
import picocli.CommandLine.Command;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;

/** {@code tallywire replay}: publishes a part of the journal once more. */
@Command(
    name = "replay",
    description = {
      "Publishes records of the journal once more: the same ids and bytes on the same topics, in"
          + " their order, with tallies. For a consumer that lacks some. Also those on the shelf are"
          + " tried again.",
      "A bridge may run meanwhile and is not disturbed. Ends with 0 if the broker accepted all, with"
          + " 3 if not."
    },
    mixinStandardHelpOptions = true)
final class ReplayCommand implements Callable<Integer> {

  private static final Duration BETWEEN_LINES = Duration.ofSeconds(2);

  @Parameters(paramLabel = "CONFIG", description = "the bridge's configuration file (YAML)")
  private Path config = Path.of("");

  @Option(
      names = "--from",
      paramLabel = "N|TIME",
      description =
          "the first record: a position in the journal, or the first written at this time or later"
              + " (RFC 3339, such as 2026-11-30T08:00:00Z)")
  private @Nullable String from;

  @Option(
      names = "--to",
      paramLabel = "N|TIME",
      description =
          "the last record: a position, or the last written at this time or before; default the last"
              + " there is now")
  private @Nullable String to;

  @Option(names = "--shelf", description = "only the records that lie on the shelf")
  private boolean shelf;

  @Override
  public Integer call() throws Exception {
    if (shelf == (from != null) || (shelf && to != null)) {
      throw new SetupException("either --from (with or without --to) or --shelf, one of them");
    }
    BridgeConfig read = BridgeConfigFile.read(config, Drivers.shipped());
    if (read.broker().isEmpty()) {
      throw new SetupException("mqtt: none: there is no broker to replay to; configure one");
    }
    try (JournalView journal = Folder.view(read.data())) {
      List<ReplayRange> ranges = ranges(journal);
      if (ranges.isEmpty()) {
        System.out.println("Nothing lies on the shelf.");
        return Tallywire.OK;
      }
      return replay(read, journal, ranges, System.out);
    } catch (JournalException e) {
      throw new SetupException("data: " + e.getMessage());
    } catch (IOException e) {
      throw new SetupException("data: %s cannot be used: %s".formatted(read.data(), e));
    }
  }

  private List<ReplayRange> ranges(JournalView journal) throws JournalException, SetupException {
    if (from != null) {
      return List.of(ReplayRange.of(journal, from, Optional.ofNullable(to)));
    }
    return journal.shelf().stream()
        .map(one -> new ReplayRange(one.position(), one.position()))
        .distinct()
        .toList();
  }

  private static int replay(
      BridgeConfig config, JournalView journal, List<ReplayRange> ranges, PrintStream out)
      throws IOException, JournalException, InterruptedException {
    TimeSource time = TimeSource.system();
    BrokerAddress broker = Bridge.address(config, config.broker().orElseThrow());
    Replay replay = new Replay(journal, broker, PublishedRecords.of(config, time), time);
    long wanted = ranges.stream().mapToLong(range -> range.to() - range.from() + 1).sum();
    out.printf(
        "Replaying %s of journal %s to broker %s, topics %s/%s/…, the same ids and bytes as before.%n",
        inWords(ranges), journal.identity(), broker.uri(), broker.root(), broker.site());
    Set<Long> lying = journal.shelf().stream().map(Shelved::position).collect(Collectors.toSet());
    long published = 0;
    String stopped = "";
    List<Replay.Unpublished> unpublished = new ArrayList<>();
    Progress progress = new Progress(wanted, time, out);
    for (ReplayRange range : ranges) {
      Replay.Outcome outcome;
      try {
        outcome = replay.run(range.from(), range.to(), progress);
      } catch (IllegalArgumentException e) {
        stopped = String.valueOf(e.getMessage()); // retention removed it since it was looked up
        break;
      }
      published += outcome.published();
      progress.before(published);
      unpublished.addAll(outcome.unpublished());
      noteReplayed(config.data(), range.from(), outcome, lying);
      stopped = outcome.stopped();
      if (!stopped.isEmpty()) {
        break;
      }
    }
    return conclude(wanted, published, unpublished, stopped, out);
  }

  private static int conclude(
      long wanted,
      long published,
      List<Replay.Unpublished> unpublished,
      String stopped,
      PrintStream out) {
    out.printf("%d of %d records accepted by the broker.%n", published, wanted);
    for (Replay.Unpublished one : unpublished) {
      out.printf(
          "  position %d, %s: not published: %s%n",
          one.position(), Visible.text(one.id()), Visible.text(one.reason()));
    }
    if (!stopped.isEmpty()) {
      out.printf("Stopped early: %s%n", Visible.text(stopped));
    }
    return published == wanted ? Tallywire.OK : Tallywire.NOT_AS_IT_SHOULD_BE;
  }

  /** Lets the bridge take off the shelf what has gone out now. */
  private static void noteReplayed(Path data, long from, Replay.Outcome outcome, Set<Long> lying)
      throws IOException {
    Set<Long> left =
        outcome.unpublished().stream()
            .map(Replay.Unpublished::position)
            .collect(Collectors.toSet());
    for (long position : lying) {
      if (position >= from && position <= outcome.reached() && !left.contains(position)) {
        Replayed.note(data, position);
      }
    }
  }

  private static String inWords(List<ReplayRange> ranges) {
    ReplayRange first = ranges.get(0);
    if (ranges.size() > 1) {
      return "%d records from the shelf".formatted(ranges.size());
    }
    return first.from() == first.to()
        ? "position %d".formatted(first.from())
        : "positions %d to %d".formatted(first.from(), first.to());
  }

  /** Tells how far it is, now and then. */
  private static final class Progress implements Replay.Listener {

    private final long wanted;
    private final TimeSource time;
    private final PrintStream out;
    private long before;
    private long toldAt;

    Progress(long wanted, TimeSource time, PrintStream out) {
      this.wanted = wanted;
      this.time = time;
      this.out = out;
      this.toldAt = time.nanos();
    }

    /** Says how many were published in ranges that are done. */
    void before(long published) {
      before = published;
    }

    @Override
    public void replayed(long position, long published) {
      long now = time.nanos();
      if (now - toldAt >= BETWEEN_LINES.toNanos()) {
        toldAt = now;
        out.printf("  %d of %d, position %d%n", before + published, wanted, position);
      }
    }
  }
}
