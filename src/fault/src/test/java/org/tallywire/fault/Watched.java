package org.tallywire.fault;

import java.io.IOException;
import java.nio.channels.FileChannel;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.sql.SQLException;
import java.util.Comparator;
import java.util.List;
import java.util.Optional;
import java.util.Random;
import java.util.TreeSet;
import java.util.stream.Stream;
import org.tallywire.api.TimeSource;
import org.tallywire.journal.Journal;
import org.tallywire.journal.JournalException;

/**
 * The process under the watcher: fails the n-th file operation of a script for n = 1, 2, 3, ...
 * until it completes without reaching it, each n once and for ever after (sqlite.org, How SQLite Is
 * Tested, 3.2). Its result is one line of tab-separated words a lie or a sum.
 */
final class Watched {

  /** Few, and each is followed by power cuts, so that they are all tried in the small size too. */
  private static final FileFault.Mode SYNCS_FOR_EVER =
      new FileFault.Mode(WatchControl.SYNC, true, FileFault.Errno.EIO, false);

  private static final List<FileFault.Mode> MODES =
      List.of(
          mode(false, FileFault.Errno.EIO, false),
          mode(true, FileFault.Errno.EIO, false),
          mode(false, FileFault.Errno.ENOSPC, false),
          mode(true, FileFault.Errno.ENOSPC, true),
          mode(false, FileFault.Errno.EIO, true),
          mode(false, FileFault.Errno.EINTR, false),
          new FileFault.Mode(WatchControl.SYNC, false, FileFault.Errno.EIO, false),
          SYNCS_FOR_EVER);

  /** A state in which a journal is found, and what it must be. */
  private record Found(List<Operation> before, int done, Disk.Rest rest, long seed) {}

  private static final List<Disk.Rest> RESTS = List.of(Disk.Rest.values());

  /** Small enough for a small reserve, which is written for every case. */
  private static final long DISK = 2L << 20;

  private final Path watched;
  private final Path trace;
  private final WatchControl control;
  private final FileChannel marks;
  private final long seed;
  private final Random random;
  private final Path result;
  private int cases;

  private Watched(Path watched, Path trace, WatchControl control, Path result, long seed)
      throws IOException {
    this.watched = watched;
    this.trace = trace;
    this.control = control;
    this.result = result;
    this.marks = FaultRun.marks(watched);
    this.seed = seed;
    this.random = new Random(seed);
  }

  /**
   * Does what it is told and writes its result.
   *
   * @param arguments what to do: {@code plain ROUNDS} or {@code fail ROUNDS SAMPLE IMAGES EACH},
   *     sample 0 for every n, and how many n by lot for each image; before them the result's file
   *     and the seed
   */
  public static void main(String[] arguments) throws Exception {
    Path watched = Path.of(System.getenv("TALLYWIRE_WATCH_FOLDER"));
    Path trace = Path.of(System.getenv("TALLYWIRE_WATCH_TRACE"));
    WatchControl control = WatchControl.of(Path.of(System.getenv("TALLYWIRE_WATCH_CONTROL")));
    control.trace(true, true);
    Watched run =
        new Watched(watched, trace, control, Path.of(arguments[0]), Long.parseLong(arguments[1]));
    // the native library is loaded before, since a fault there is met once in a process only
    control.size(DISK);
    run.warmUp();
    int rounds = Integer.parseInt(arguments[3]);
    if (arguments[2].equals("plain")) {
      run.plain(rounds);
    } else {
      run.fail(
          rounds,
          Integer.parseInt(arguments[4]),
          Integer.parseInt(arguments[5]),
          Integer.parseInt(arguments[6]));
    }
  }

  private static FileFault.Mode mode(boolean forever, FileFault.Errno error, boolean torn) {
    return new FileFault.Mode(WatchControl.ALL, forever, error, torn);
  }

  private void warmUp() throws JournalException, IOException {
    Path folder = watched.resolve("warm");
    Journal.open(folder, TimeSource.system()).close();
    delete(folder.resolve("journal.db"));
  }

  private void plain(int rounds) throws IOException, SQLException {
    Path folder = watched.resolve("plain");
    FaultRun.mark(marks, folder, -1);
    FaultRun run =
        new FaultRun(folder, control, Script.of(seed, rounds).steps(), 0, new Expected(), marks);
    run.underFault(new FileFault(0, Long.MAX_VALUE, false, FileFault.Errno.EIO, false));
    FaultRun.mark(marks, folder, Integer.MAX_VALUE);
    run.afterwards();
    for (String lie : run.lies()) {
      say("lie\tplain\t" + lie);
    }
  }

  private void fail(int rounds, int sample, int images, int each) throws IOException, SQLException {
    List<Script.Step> steps = Script.of(seed, rounds).steps();
    Found nothing = new Found(List.of(), 0, Disk.Rest.DROPPED, 0);
    long from = Files.size(trace);
    countOperations(MODES.get(0), steps, nothing);
    List<Operation> good = Trace.read(trace, from);
    for (FileFault.Mode mode : MODES) {
      each("from nothing", mode, steps, nothing, mode.equals(SYNCS_FOR_EVER) ? 0 : sample);
    }
    for (int image = 0; image < images; image++) {
      Found found = found(good, steps);
      List<Script.Step> few = steps.subList(0, Math.min(steps.size(), found.done() + 3));
      each("recovering", MODES.get(image % MODES.size()), few, found, each);
    }
  }

  /** A power cut at a random moment of the good run. */
  private Found found(List<Operation> good, List<Script.Step> steps) {
    int moment = 1 + random.nextInt(good.size() - 1);
    List<Operation> before = good.subList(0, moment);
    int done = 0;
    for (Operation operation : before) {
      if (operation.kind() == Operation.Kind.MARK && operation.text().startsWith("done")) {
        done = Integer.parseInt(operation.text().split(" ", -1)[1]) + 1;
      }
    }
    Disk.Rest rest = RESTS.get(random.nextInt(RESTS.size()));
    return new Found(before, Math.min(done, steps.size() - 1), rest, random.nextLong());
  }

  private long countOperations(FileFault.Mode mode, List<Script.Step> steps, Found found)
      throws IOException, SQLException {
    one("count", steps, found, mode.at(Long.MAX_VALUE));
    return control.counted();
  }

  private void each(
      String what, FileFault.Mode mode, List<Script.Step> steps, Found found, int sample)
      throws IOException, SQLException {
    long all = countOperations(mode, steps, found);
    TreeSet<Long> numbers = new TreeSet<>();
    while (sample > 0 && numbers.size() < Math.min(sample, all)) {
      numbers.add(1 + random.nextLong(all));
    }
    int tried = 0;
    int refused = 0;
    boolean reached = true;
    for (long n = 1; sample == 0 ? reached : n <= all; n++) {
      if (sample == 0 || numbers.contains(n)) {
        FaultRun run = one(what, steps, found, mode.at(n));
        reached = control.failed() > 0;
        tried += reached ? 1 : 0;
        refused += run.refused() ? 1 : 0;
      }
    }
    say("sum\t%s\t%s\t%d\t%d\t%d".formatted(what, mode, all, tried, refused));
  }

  private FaultRun one(String what, List<Script.Step> steps, Found found, FileFault fault)
      throws IOException, SQLException {
    Path folder = watched.resolve("case-" + ++cases);
    Expected state = new Expected();
    steps.subList(0, found.done()).forEach(step -> step.done().on(state));
    if (found.done() < steps.size()) {
      steps.get(found.done()).begun().on(state);
    }
    prepare(found, folder);
    long from = Files.size(trace);
    FaultRun run = new FaultRun(folder, control, steps, found.done(), state, marks);
    run.underFault(fault);
    run.afterwards();
    List<Operation> traced = Trace.read(trace, from);
    for (String lie : run.lies()) {
      say("lie\t%s, %s\t%s".formatted(what, fault, lie));
    }
    if (found.before().isEmpty() && syncFailed(traced)) {
      powerCuts(what, steps, fault, traced);
    }
    delete(folder);
    return run;
  }

  private void prepare(Found found, Path folder) throws IOException {
    if (found.before().isEmpty()) {
      return;
    }
    Disk disk = new Disk(watched);
    found.before().forEach(disk::apply);
    Path scratch = Files.createDirectories(watched.resolveSibling("scratch"));
    control.trace(false, true);
    disk.write(scratch, found.rest(), new Random(found.seed()));
    try (Stream<Path> folders = Files.list(scratch)) {
      for (Path image : folders.filter(path -> path.toString().contains("case-")).toList()) {
        Files.move(image, folder);
      }
    }
    delete(scratch);
    control.trace(true, true);
  }

  private static boolean syncFailed(List<Operation> traced) {
    return traced.stream().anyMatch(each -> each.failedClass() == WatchControl.SYNC);
  }

  /**
   * A sync that failed must not be taken for done later: the power goes at each acknowledgement
   * behind it, and whenever an opened journal has told its head.
   */
  private void powerCuts(
      String what, List<Script.Step> steps, FileFault fault, List<Operation> traced)
      throws IOException {
    // a watched folder, where no sync is done and costs time
    Images images = new Images(watched, watched.resolve("scratch"), steps);
    control.trace(false, true);
    boolean failed = false;
    for (Operation operation : traced) {
      images.apply(operation);
      failed |= operation.failedClass() == WatchControl.SYNC;
      if (failed && operation.kind() == Operation.Kind.MARK) {
        Optional<String> lie = images.difference(Disk.Rest.DROPPED, random);
        if (lie.isPresent()) {
          say("lie\t%s, %s, then no power\t%s".formatted(what, fault, lie.get()));
        }
      }
    }
    control.trace(true, true);
  }

  /** Adds a line at once, so that a long run shows how far it is. */
  private void say(String line) throws IOException {
    Files.writeString(result, line + "\n", StandardOpenOption.CREATE, StandardOpenOption.APPEND);
  }

  static void delete(Path path) throws IOException {
    if (Files.exists(path)) {
      try (Stream<Path> all = Files.walk(path)) {
        for (Path each : all.sorted(Comparator.reverseOrder()).toList()) {
          Files.delete(each);
        }
      }
    }
  }
}
