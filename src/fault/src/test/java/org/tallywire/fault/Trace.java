package org.tallywire.fault;

import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.nio.channels.FileChannel;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.util.ArrayList;
import java.util.List;

/** Reads what the watcher traced; the layout is {@code struct entry} of {@code watch.h}. */
final class Trace {

  private static final int HEAD = 32;

  private Trace() {}

  /** Returns the whole operations from an offset of the file on; a half one at its end waits. */
  static List<Operation> read(Path file, long from) throws IOException {
    ByteBuffer all;
    try (FileChannel channel = FileChannel.open(file, StandardOpenOption.READ)) {
      all = ByteBuffer.allocate(Math.toIntExact(channel.size() - from));
      int read = 0;
      while (all.hasRemaining() && read >= 0) {
        read = channel.read(all, from + all.position());
      }
    }
    all.flip();
    all.order(ByteOrder.nativeOrder());
    List<Operation> operations = new ArrayList<>();
    while (all.remaining() >= HEAD) {
      int start = all.position();
      Operation operation = next(all);
      if (operation == null) {
        all.position(start);
        break;
      }
      operations.add(operation);
    }
    return operations;
  }

  private static Operation next(ByteBuffer in) {
    Operation.Kind kind = Operation.Kind.of((char) in.get());
    int failedClass = in.get() & 0xFF;
    int pathLength = in.getShort() & 0xFFFF;
    in.getInt(); // the errno
    long at = in.getLong();
    int length = in.getInt();
    in.getInt();
    long nanos = in.getLong();
    int kept = kind == Operation.Kind.ZEROS ? 0 : length;
    if (in.remaining() < pathLength + kept) {
      return null;
    }
    byte[] path = new byte[pathLength];
    in.get(path);
    byte[] bytes = new byte[kept];
    in.get(bytes);
    return new Operation(
        kind, failedClass, new String(path, StandardCharsets.UTF_8), at, length, bytes, nanos);
  }
}
