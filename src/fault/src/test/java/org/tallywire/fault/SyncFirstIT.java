package org.tallywire.fault;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/**
 * L-23 of {@code shared/protocol.md}: an acknowledgement on the wire comes after the disk. Watches
 * the packaged bridge below Java, its files and its ports, and shows for every acknowledgement the
 * sync before it that covers the reading.
 */
class SyncFirstIT {

  private static final Path REPORT = Path.of("target", "sync-before-acknowledgement.md");
  private static final int SHOWN = 40;
  private static final int STRETCH = 200;
  private static final Pattern READING = Pattern.compile("!reading boot=([^ ]+) seq=(\\d+) ");
  private static final Pattern ACK = Pattern.compile(">ack boot=([^ ]+) seq=(\\d+) ");

  @TempDir private Path folder;

  /** Where a reading's entry is on its way to the disk. */
  private static final class Way {
    private final long written;
    private long synced;

    private Way(long written) {
      this.written = written;
    }
  }

  private final Map<String, Way> ways = new HashMap<>();
  private final Map<String, Long> acknowledged = new HashMap<>();
  private final List<String> rows = new ArrayList<>();
  private final List<String> lies = new ArrayList<>();
  private int acks;

  @Test
  @DisplayName("Every acknowledgement on the wire comes after the sync that covers its reading")
  void everyAcknowledgement() throws Exception {
    Fault fault = Fault.of("sync before acknowledgement", 30, 2000);
    Path data = folder.toRealPath().resolve("one").resolve("data");
    Watch watch = Watch.require(folder, data);
    try (Rig rig = new Rig(folder)) {
      rig.add("one", Instruments.start(folder.resolve("instruments"), 2, 10));
      rig.bridge().with(watch.environment(true));
      rig.bridge().start();
      for (int left = fault.cycles(); left > 0; left -= STRETCH) {
        rig.awaitReadings(Math.min(left, STRETCH));
      }
      rig.instruments().pause();
      rig.bridge().stop();
    }
    Trace.read(watch.trace(), 0).forEach(this::take);
    write();
    assertTrue(acks >= fault.cycles() / 20, "only " + acks + " acknowledgements were seen");
    String note = "%d acknowledgements, see %s".formatted(acks, REPORT.getFileName());
    Report.add(new Report.Row(fault, acks, ways.size(), lies.size(), 0, 0, Duration.ZERO, note));
    assertEquals(List.of(), lies, fault.toString());
  }

  private void take(Operation operation) {
    switch (operation.kind()) {
      case WRITE -> {
        if (operation.path().endsWith("/journal.db-wal")) {
          written(operation);
        }
      }
      case SYNC -> {
        if (operation.path().endsWith("/journal.db-wal")) {
          ways.values().stream()
              .filter(way -> way.synced == 0)
              .forEach(way -> way.synced = operation.nanos());
        }
      }
      case TERMINAL -> {
        Matcher ack = ACK.matcher(operation.text());
        while (ack.find()) {
          acks++;
          acknowledged(operation.nanos(), ack.group(1), Long.parseLong(ack.group(2)));
        }
      }
      default -> {}
    }
  }

  /** A page with the reading's own line in it; the bytes around it are SQLite's. */
  private void written(Operation operation) {
    Matcher reading = READING.matcher(new String(operation.bytes(), StandardCharsets.ISO_8859_1));
    while (reading.find()) {
      // a page is written again with its neighbours; the first time counts
      ways.computeIfAbsent(
          key(reading.group(1), Long.parseLong(reading.group(2))),
          any -> new Way(operation.nanos()));
    }
  }

  /** An acknowledgement stands for all readings up to its number. */
  private void acknowledged(long nanos, String boot, long number) {
    long from = acknowledged.getOrDefault(boot, 0L) + 1;
    acknowledged.merge(boot, number, Math::max);
    for (long each = Math.min(from, number); each <= number; each++) {
      Way way = ways.get(key(boot, each));
      if (way == null || way.synced == 0) {
        String state = way == null ? "never written" : "written and not synced";
        lies.add("%s/%d was acknowledged, %s".formatted(boot, each, state));
      } else if (each >= from) {
        rows.add(
            String.format(
                Locale.ROOT,
                "| %s/%d | %s/%d | %.3f ms | %.3f ms |",
                boot,
                number,
                boot,
                each,
                (nanos - way.written) / 1e6,
                (nanos - way.synced) / 1e6));
      }
    }
  }

  private static String key(String boot, long number) {
    return boot + "/" + number;
  }

  private void write() throws Exception {
    List<String> lines = new ArrayList<>();
    lines.add("# The sync before every acknowledgement");
    lines.add("");
    lines.add(
        ("%d acknowledgements on the wire stand for %d readings; %d of these came before their sync."
                + " The first %d readings, seen below Java: how long before the acknowledgement's"
                + " write to the port its entry was written to the log, and the log synced.")
            .formatted(acks, rows.size(), lies.size(), SHOWN));
    lines.add("");
    lines.add("| acknowledgement | reading | written before it | synced before it |");
    lines.add("|---|---|--:|--:|");
    lines.addAll(rows.subList(0, Math.min(SHOWN, rows.size())));
    Files.createDirectories(REPORT.toAbsolutePath().getParent());
    Files.write(REPORT, lines);
  }
}
