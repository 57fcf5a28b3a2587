package org.tallywire.fault;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Random;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;

/**
 * The power goes at every file operation of the journal (small: at some by lot): what no sync
 * covers is gone, or there in part, in another order, or torn (sqlite.org, How SQLite Is Tested,
 * 3.3 Crash Testing).
 */
class PowerCutIT {

  private static final int SOME = 24;

  @Test
  @DisplayName("Whenever the power goes, all that was acknowledged is there, and nothing else")
  void whatWasAcknowledgedIsThere() throws Exception {
    Fault fault = Fault.of("power cut", SOME, Integer.MAX_VALUE);
    Path folder = Workplace.make("power");
    try {
      int rounds = Fault.isLarge() ? 4 : 2;
      Watch watch = Watch.require(folder);
      List<Operation> traced = trace(watch, fault, rounds);
      List<Script.Step> steps = Script.of(fault.seed(), rounds).steps();
      Images images = new Images(watch.folder(), folder.resolve("scratch"), steps);
      Random random = fault.random();
      List<String> lies = new ArrayList<>();
      int cuts = 0;
      for (int i = 0; i < traced.size(); i++) {
        images.apply(traced.get(i));
        if (Fault.isLarge() || random.nextInt(traced.size()) < SOME / 2) {
          for (Disk.Rest rest : rests(random)) {
            cuts++;
            int at = i;
            images
                .difference(rest, random)
                .ifPresent(lie -> lies.add("operation %d, %s: %s".formatted(at, rest, lie)));
          }
        }
      }
      assertEquals(steps.size(), images.done(), "the script was not traced to its end");
      Report.add(
          new Report.Row(
              fault, cuts, cuts, lies.size(), 0, 0, Duration.ZERO, traced.size() + " operations"));
      assertEquals(List.of(), lies, fault.toString());
    } finally {
      Watched.delete(folder);
    }
  }

  private static List<Disk.Rest> rests(Random random) {
    return Fault.isLarge()
        ? List.of(Disk.Rest.DROPPED, Disk.Rest.TORN, Disk.Rest.TORN, Disk.Rest.SECTORS)
        : List.of(Disk.Rest.DROPPED, random.nextBoolean() ? Disk.Rest.TORN : Disk.Rest.SECTORS);
  }

  /** Runs the script under the watcher and returns what it did to the disk, from its start on. */
  private static List<Operation> trace(Watch watch, Fault fault, int rounds) throws Exception {
    Process process =
        watch.start(
            Watched.class,
            watch.trace().resolveSibling("result").toString(),
            Long.toString(fault.seed()),
            "plain",
            Integer.toString(rounds));
    try {
      assertTrue(process.waitFor(120, TimeUnit.SECONDS), "it does not come to an end");
      assertEquals(0, process.exitValue(), Files.readString(watch.output()));
    } finally {
      process.destroyForcibly();
    }
    List<Operation> all = Trace.read(watch.trace(), 0);
    String place = watch.folder().resolve("plain").toString();
    List<Operation> some =
        all.stream()
            .filter(
                each ->
                    each.path().startsWith(place)
                        || each.text().endsWith(place)
                        || isRoot(each, watch))
            .toList();
    // the native sqlite library wrote what Java asked for, so the watcher sits below both
    assertTrue(some.stream().anyMatch(each -> each.path().endsWith(".db-wal")), "no log was seen");
    assertTrue(
        some.stream().anyMatch(each -> each.path().endsWith("reserve")), "no reserve was seen");
    return some;
  }

  private static boolean isRoot(Operation each, Watch watch) {
    return each.kind() == Operation.Kind.SYNC_FOLDER
        && each.path().equals(watch.folder().toString());
  }
}
