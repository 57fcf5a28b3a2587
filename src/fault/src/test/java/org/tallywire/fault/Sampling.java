package org.tallywire.fault;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.concurrent.Executors;
import java.util.concurrent.ScheduledExecutorService;
import java.util.concurrent.TimeUnit;
import java.util.function.IntSupplier;
import org.jspecify.annotations.Nullable;
import org.tallywire.journal.JournalEntry;
import org.tallywire.journal.JournalException;
import org.tallywire.journal.JournalView;

/** Takes samples of a bridge that works, on a thread of its own, until it is stopped. */
final class Sampling implements AutoCloseable {

  private static final int PAGE = 1000;
  private static final int MOST_CLASSES = 8;
  private static final double NANOS = 1e9;
  private static final Duration STOP_LIMIT = Duration.ofSeconds(60);

  private final Vitals vitals;
  private final Path data;
  private final Listener listener;
  private final IntSupplier down;
  private final JournalView view;
  private final long begun = System.nanoTime();
  private final List<Sample> samples = new ArrayList<>();
  private final List<Map<String, Long>> histograms = new ArrayList<>();
  private final ScheduledExecutorService thread =
      Executors.newSingleThreadScheduledExecutor(work -> new Thread(work, "watch"));

  private long received;
  private double lastAt;
  private int lastReadings;
  private @Nullable Throwable failure;

  /**
   * A sampling that has not begun.
   *
   * @param data the bridge's folder of data
   * @param down tells how many links may be down
   */
  Sampling(Vitals vitals, Path data, Listener listener, IntSupplier down) throws JournalException {
    this.vitals = vitals;
    this.data = data;
    this.listener = listener;
    this.down = down;
    this.view = JournalView.open(data);
    this.lastReadings = listener.readings();
  }

  /**
   * Begins.
   *
   * @param every the time from sample to sample
   * @param heapEach of so many samples one is with the heap, the first one is
   */
  void start(Duration every, int heapEach) {
    var unused =
        thread.scheduleAtFixedRate(
            () -> guarded(heapEach), every.toMillis(), every.toMillis(), TimeUnit.MILLISECONDS);
  }

  /** Takes a last sample, with the heap, and returns all. */
  List<Sample> stop() throws InterruptedException {
    thread.execute(() -> guarded(1));
    thread.shutdown();
    if (!thread.awaitTermination(STOP_LIMIT.toMillis(), TimeUnit.MILLISECONDS)) {
      throw new AssertionError("taking samples does not end");
    }
    synchronized (this) {
      if (failure != null) {
        throw new AssertionError("a sample could not be taken", failure);
      }
      return List.copyOf(samples);
    }
  }

  private synchronized void guarded(int heapEach) {
    if (failure != null) {
      return;
    }
    try {
      samples.add(sample(samples.size() % heapEach == 0));
    } catch (Exception | Error e) {
      failure = e;
    }
  }

  private Sample sample(boolean withHeap) throws Exception {
    double heap = Double.NaN;
    if (withHeap) {
      Map<String, Long> live = vitals.liveBytes();
      histograms.add(live);
      heap = live.values().stream().mapToLong(Long::longValue).sum();
    }
    double delay = delay();
    double at = (System.nanoTime() - begun) / NANOS;
    int readings = listener.readings();
    double rate = (readings - lastReadings) / (at - lastAt);
    lastAt = at;
    lastReadings = readings;
    Map<String, Integer> kinds = vitals.kinds();
    return new Sample(
        at,
        heap,
        vitals.resident(),
        vitals.threads(),
        Vitals.files(kinds),
        size("journal.db"),
        size("journal.db-wal"),
        rate,
        delay,
        down.getAsInt(),
        kinds);
  }

  /** Returns for how long the oldest entry that was not received has been in the journal. */
  private double delay() throws JournalException {
    while (true) {
      List<JournalEntry> page = view.read(received, PAGE);
      for (JournalEntry entry : page) {
        if (!listener.has(entry.id())) {
          return Math.max(0, Duration.between(entry.writtenAt(), Instant.now()).toNanos() / NANOS);
        }
        received = entry.position();
      }
      if (page.isEmpty()) {
        return 0;
      }
    }
  }

  private long size(String name) throws IOException {
    Path file = data.resolve(name);
    return Files.exists(file) ? Files.size(file) : 0;
  }

  /** Returns the classes whose live bytes grew most in the second half, with their figures. */
  synchronized List<String> grown() {
    if (histograms.isEmpty()) {
      return List.of();
    }
    Map<String, Long> first = histograms.get(histograms.size() / 2);
    Map<String, Long> last = histograms.get(histograms.size() - 1);
    Map<String, Long> more = new HashMap<>();
    last.forEach((name, bytes) -> more.put(name, bytes - first.getOrDefault(name, 0L)));
    return more.entrySet().stream()
        .filter(one -> one.getValue() > 0)
        .sorted(Map.Entry.<String, Long>comparingByValue(Comparator.reverseOrder()))
        .limit(MOST_CLASSES)
        .map(one -> "- %s: %+,d bytes".formatted(one.getKey(), one.getValue()))
        .toList();
  }

  @Override
  public void close() {
    thread.shutdownNow();
    view.close();
  }
}
