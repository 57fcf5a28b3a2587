package org.tallywire.bridge;

import java.util.ArrayList;
import java.util.Iterator;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.function.Consumer;

/**
 * The last things of a stream by their id: so many, and so many bytes of them; older ones are
 * forgotten, so that a stream of any length fits. Used by one thread.
 */
final class Window<T> {

  /** How many a window holds. */
  static final int COUNT = 4096;

  /** How many bytes of records a window holds. */
  static final long BYTES = 8L * 1024 * 1024;

  private record Kept<T>(T thing, long bytes) {}

  private final Map<String, Kept<T>> kept = new LinkedHashMap<>();
  private final int count;
  private final Consumer<T> forgotten;
  private long bytes;

  /** Makes one that tells of each thing that it forgets. */
  Window(int count, Consumer<T> forgotten) {
    this.count = count;
    this.forgotten = forgotten;
  }

  Window() {
    this(COUNT, thing -> {});
  }

  /** Takes a thing, in place of one with the same id. */
  void put(String id, T thing, long size) {
    remove(id);
    kept.put(id, new Kept<>(thing, size));
    bytes += size;
    Iterator<Kept<T>> eldest = kept.values().iterator();
    while ((kept.size() > count || bytes > BYTES) && kept.size() > 1) {
      Kept<T> leaves = eldest.next();
      eldest.remove();
      bytes -= leaves.bytes();
      forgotten.accept(leaves.thing());
    }
  }

  /** Tells whether one more of that size would make it forget something. */
  boolean full(long size) {
    return kept.size() >= count || bytes + size > BYTES;
  }

  boolean has(String id) {
    return kept.containsKey(id);
  }

  Optional<T> find(String id) {
    return Optional.ofNullable(kept.get(id)).map(Kept::thing);
  }

  Optional<T> remove(String id) {
    Kept<T> gone = kept.remove(id);
    if (gone == null) {
      return Optional.empty();
    }
    bytes -= gone.bytes();
    return Optional.of(gone.thing());
  }

  /** Returns what it holds, the eldest first. */
  List<T> all() {
    List<T> all = new ArrayList<>(kept.size());
    kept.values().forEach(one -> all.add(one.thing()));
    return all;
  }
}
