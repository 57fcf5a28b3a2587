package org.tallywire.fault;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.HashMap;
import java.util.Iterator;
import java.util.List;
import java.util.Map;
import java.util.Random;
import java.util.TreeMap;

/**
 * A disk that keeps what it was told to sync and forgets the rest, fed from a trace: bytes of a
 * file last once the file is synced, a name once its folder is. POSIX, fsync: nothing more is
 * promised. After a sync that failed, what it should have kept counts as lost, also if a later one
 * succeeds: the kernel may have marked the pages clean (PostgreSQL's "fsync errors", 2018).
 */
final class Disk {

  private static final int SECTOR = 512;

  /** What becomes of the writes that no sync covers. */
  enum Rest {
    /** All is gone. */
    DROPPED,
    /** All is there, as when only the process ends. */
    KEPT,
    /** Each is there or not; the last that is there is cut off somewhere. */
    TORN,
    /** Each is there in some of its sectors. */
    SECTORS
  }

  /** A change of a file: bytes at a place, or a new length where there are no bytes. */
  @SuppressWarnings("ArrayRecordComponent") // not compared
  private record Change(long at, byte[] bytes) {}

  private static final class Content {
    private byte[] kept = new byte[0];
    private final List<Change> waiting = new ArrayList<>();
  }

  private final Map<String, Content> names = new TreeMap<>();
  private final Map<String, Content> keptNames = new TreeMap<>();

  /** Folders as they are, and those that a sync of the folder around has made last. */
  private final Map<String, Boolean> folders = new HashMap<>();

  private final Path root;

  /**
   * @param root the folder around all others; it lasts
   */
  Disk(Path root) {
    this.root = root;
    folders.put(root.toString(), true);
  }

  void apply(Operation operation) {
    String path = operation.path();
    switch (operation.kind()) {
      case FOLDER -> folders.put(path, false);
      case OPEN -> open(path, operation.at());
      case WRITE, ZEROS -> change(path, new Change(operation.at(), operation.written()));
      case TRUNCATE -> change(path, new Change(operation.at(), null));
      case SYNC -> sync(path);
      case SYNC_FOLDER -> syncFolder(path);
      case UNLINK -> names.remove(path);
      case RENAME -> names.put(operation.text(), names.remove(path));
      case FAILED -> {
        if (operation.failedClass() == WatchControl.SYNC && names.containsKey(path)) {
          names.get(path).waiting.clear();
        }
      }
      case MAP, MARK, TERMINAL -> {}
    }
  }

  private void open(String path, long how) {
    if (!names.containsKey(path) && !folders.containsKey(path)) {
      names.put(path, new Content());
    }
    if ((how & 2) != 0) {
      change(path, new Change(0, null));
    }
  }

  private void change(String path, Change change) {
    if (path.endsWith("/reserve")) {
      return; // megabytes of zeros; its content is nothing to anybody, it is found empty
    }
    names.computeIfAbsent(path, any -> new Content()).waiting.add(change);
  }

  private void sync(String path) {
    Content content = names.get(path);
    if (content != null) {
      content.waiting.forEach(change -> content.kept = changed(content.kept, change));
      content.waiting.clear();
    }
  }

  private void syncFolder(String folder) {
    keptNames.keySet().removeIf(name -> inside(name, folder) && !names.containsKey(name));
    names.forEach(
        (name, content) -> {
          if (inside(name, folder)) {
            keptNames.put(name, content);
          }
        });
    folders.replaceAll((name, lasts) -> lasts || inside(name, folder));
  }

  private static boolean inside(String name, String folder) {
    return name.substring(0, Math.max(0, name.lastIndexOf('/'))).equals(folder);
  }

  /** Writes the folder as it would be found after a power cut now. */
  void write(Path into, Rest rest, Random random) throws IOException {
    Map<String, Content> survivors = new TreeMap<>(rest == Rest.KEPT ? names : keptNames);
    if (rest == Rest.TORN || rest == Rest.SECTORS) {
      names.forEach(
          (name, content) -> {
            if (random.nextBoolean()) {
              survivors.put(name, content);
            }
          });
    }
    if (rest == Rest.TORN || rest == Rest.SECTORS) {
      survivors.keySet().removeIf(name -> !names.containsKey(name) && random.nextBoolean());
    }
    for (Map.Entry<String, Content> file : survivors.entrySet()) {
      Path original = Path.of(file.getKey());
      boolean reachable = rest == Rest.KEPT || lasts(original.getParent());
      // memory shared between processes; SQLite makes it anew
      if (reachable && !file.getKey().endsWith("-shm")) {
        Path copy = into.resolve(root.relativize(original).toString());
        Files.createDirectories(copy.getParent());
        Files.write(copy, bytes(file.getValue(), rest, random));
      }
    }
  }

  private boolean lasts(Path folder) {
    for (Path each = folder; each.startsWith(root); each = each.getParent()) {
      if (!folders.getOrDefault(each.toString(), true)) {
        return false;
      }
    }
    return true;
  }

  private static byte[] bytes(Content content, Rest rest, Random random) {
    byte[] bytes = content.kept;
    if (rest == Rest.DROPPED) {
      return bytes;
    }
    List<Change> some = new ArrayList<>(content.waiting);
    if (rest != Rest.KEPT) {
      some.removeIf(change -> random.nextInt(3) == 0);
    }
    for (Iterator<Change> left = some.iterator(); left.hasNext(); ) {
      Change change = left.next();
      if (rest == Rest.TORN && !left.hasNext() && change.bytes != null) {
        int part = random.nextInt(change.bytes.length + 1);
        change = new Change(change.at, Arrays.copyOf(change.bytes, part));
      }
      bytes =
          rest == Rest.SECTORS && change.bytes != null
              ? mixed(bytes, change, random)
              : changed(bytes, change);
    }
    return bytes;
  }

  /** Applies a write in those of its sectors that chance picks. */
  private static byte[] mixed(byte[] before, Change change, Random random) {
    byte[] after = changed(before, change);
    for (long sector = change.at / SECTOR; sector * SECTOR < after.length; sector++) {
      if (random.nextBoolean()) {
        int from = Math.toIntExact(sector * SECTOR);
        for (int i = from; i < Math.min(from + SECTOR, after.length); i++) {
          after[i] = i < before.length ? before[i] : 0;
        }
      }
    }
    return after;
  }

  private static byte[] changed(byte[] before, Change change) {
    if (change.bytes == null) {
      return Arrays.copyOf(before, Math.toIntExact(change.at));
    }
    int at = Math.toIntExact(change.at);
    byte[] after = Arrays.copyOf(before, Math.max(before.length, at + change.bytes.length));
    System.arraycopy(change.bytes, 0, after, at, change.bytes.length);
    return after;
  }
}
