package org.tallywire.bridge;

import java.io.BufferedOutputStream;
import java.io.IOException;
import java.io.OutputStream;
import java.nio.file.FileAlreadyExistsException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import org.tallywire.format.SetupException;

/** A file that is there whole or not at all, and takes the place of no other. */
final class NewFile {

  /** Writes the content. */
  interface Content<E extends Exception> {
    void to(OutputStream out) throws IOException, E;
  }

  private NewFile() {}

  /**
   * Writes a file.
   *
   * @throws SetupException if there is one of this name already, or none can be made there
   * @throws IOException if the content cannot be written; nothing is left behind then
   */
  static <E extends Exception> void write(Path file, Content<E> content)
      throws SetupException, IOException, E {
    refuseIfThere(file);
    Path part = file.resolveSibling(file.getFileName() + ".part");
    OutputStream opened = open(part); // one that is there already is another's
    boolean whole = false;
    try (OutputStream out = new BufferedOutputStream(opened, 64 * 1024)) {
      content.to(out);
      out.flush();
      whole = true;
    } finally {
      if (!whole) {
        Files.deleteIfExists(part);
      }
    }
    try {
      Files.move(part, file); // refuses to replace
    } catch (FileAlreadyExistsException e) {
      Files.deleteIfExists(part);
      throw exists(file);
    }
  }

  /**
   * Refuses a file that is there, before the work that would fill it.
   *
   * @throws SetupException if there is one of this name already
   */
  static void refuseIfThere(Path file) throws SetupException {
    if (Files.exists(file)) {
      throw exists(file);
    }
  }

  private static OutputStream open(Path part) throws SetupException {
    try {
      return Files.newOutputStream(part, StandardOpenOption.CREATE_NEW, StandardOpenOption.WRITE);
    } catch (FileAlreadyExistsException e) {
      throw new SetupException(
          "%s: is there already, left by a run that was cut off or is going on; remove it"
              .formatted(part));
    } catch (IOException e) {
      throw new SetupException("%s: cannot be made: %s".formatted(part, e));
    }
  }

  private static SetupException exists(Path file) {
    return new SetupException(
        "%s: is there already, and nothing is written over; give another name".formatted(file));
  }
}
