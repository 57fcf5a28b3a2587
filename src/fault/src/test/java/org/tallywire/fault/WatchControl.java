package org.tallywire.fault;

import java.io.IOException;
import java.nio.ByteOrder;
import java.nio.MappedByteBuffer;
import java.nio.channels.FileChannel;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.time.Duration;

/**
 * The switches of the watcher of file operations, in memory that it shares with us; the layout is
 * {@code struct control} of {@code watch.h}. One thread uses it.
 */
final class WatchControl {

  static final int OPEN = 1;
  static final int WRITE = 2;
  static final int TRUNCATE = 4;
  static final int SYNC = 8;
  static final int NAME = 16;
  static final int MAP = 32;
  static final int READ = 64;
  static final int SPACE = 128;
  static final int ALL = 255;

  private static final int SIZE = 72;
  private static final int ARMED = 0;
  private static final int CLASSES = 4;
  private static final int AT = 8;
  private static final int FOREVER = 16;
  private static final int ERROR = 20;
  private static final int TORN = 24;
  private static final int TRACING = 28;
  private static final int IDLE = 32;
  private static final int COUNTED = 40;
  private static final int FAILED = 48;
  private static final int TOTAL = 56;
  private static final int CLOCK = 64;

  private final MappedByteBuffer map;

  private WatchControl(MappedByteBuffer map) {
    this.map = map;
  }

  /** Opens the file, which is made if it is not there; then nothing fails and all is traced. */
  static WatchControl of(Path file) throws IOException {
    try (FileChannel channel =
        FileChannel.open(
            file, StandardOpenOption.CREATE, StandardOpenOption.READ, StandardOpenOption.WRITE)) {
      boolean fresh = channel.size() == 0;
      MappedByteBuffer map = channel.map(FileChannel.MapMode.READ_WRITE, 0, SIZE);
      map.order(ByteOrder.nativeOrder());
      WatchControl control = new WatchControl(map);
      if (fresh) {
        map.putInt(TRACING, 1);
      }
      return control;
    }
  }

  /** Lets operations fail from now on, as the fault says. */
  void arm(FileFault fault) {
    map.putInt(ARMED, 0);
    map.putInt(CLASSES, fault.classes());
    map.putLong(AT, fault.at());
    map.putInt(FOREVER, fault.forever() ? 1 : 0);
    map.putInt(ERROR, fault.error().number());
    map.putInt(TORN, fault.torn() ? 1 : 0);
    map.putLong(COUNTED, 0);
    map.putLong(FAILED, 0);
    map.putInt(ARMED, 1);
  }

  void disarm() {
    map.putInt(ARMED, 0);
  }

  /** Returns how many operations counted since {@link #arm}. */
  long counted() {
    return map.getLong(COUNTED);
  }

  /** Returns how many operations were made to fail since {@link #arm}. */
  long failed() {
    return map.getLong(FAILED);
  }

  /** Says whether operations go into the trace, and whether a sync is only traced, not done. */
  void trace(boolean tracing, boolean idle) {
    map.putInt(TRACING, tracing ? 1 : 0);
    map.putInt(IDLE, idle ? 1 : 0);
  }

  /** Lets the file system seem to have so many bytes, all of them free; 0 for the truth. */
  void size(long bytes) {
    map.putLong(TOTAL, bytes);
  }

  /** Moves the process's wall clock by this against the real one. */
  void clock(Duration offset) {
    map.putLong(CLOCK, offset.toNanos());
  }
}
