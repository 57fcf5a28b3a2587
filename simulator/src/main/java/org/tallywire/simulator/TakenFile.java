package org.tallywire.simulator;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.io.Writer;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.util.Optional;
import org.jspecify.annotations.Nullable;
import org.tallywire.simulator.face.LineFace;

/**
 * A file that knows every reading that was taken, whatever becomes of it afterwards. Safe for
 * several threads.
 */
final class TakenFile implements LineFace.Witness, AutoCloseable {

  private final Optional<Path> file;
  private @Nullable Writer out;

  /** A file that is not open yet; with no path it keeps nothing. */
  TakenFile(Optional<Path> file) {
    this.file = file;
  }

  /** Opens it; what stands in it stays. */
  synchronized void open() throws IOException {
    if (file.isEmpty()) {
      return;
    }
    try {
      out =
          Files.newBufferedWriter(
              file.get(),
              StandardCharsets.UTF_8,
              StandardOpenOption.CREATE,
              StandardOpenOption.APPEND);
    } catch (IOException failed) {
      throw new IOException(
          "--taken: %s cannot be written: %s".formatted(file.get(), failed), failed);
    }
  }

  /**
   * Writes a reading down; it has left this process when this returns.
   *
   * @throws UncheckedIOException if it cannot be written, which ends that instrument: a file that
   *     lacks readings would be worse than none
   */
  @Override
  public synchronized void taken(String serial, String boot, long seq, String line) {
    if (out == null) {
      return;
    }
    try {
      out.write("%s %s %d %s\n".formatted(serial, boot, seq, line));
      out.flush();
    } catch (IOException failed) {
      throw new UncheckedIOException("--taken: " + file.orElseThrow(), failed);
    }
  }

  @Override
  public synchronized void close() {
    if (out == null) {
      return;
    }
    try {
      out.close();
    } catch (IOException failed) {
      throw new UncheckedIOException("--taken: " + file.orElseThrow(), failed);
    }
    out = null;
  }
}
