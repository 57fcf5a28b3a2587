package org.tallywire.link;

import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.channels.FileChannel;
import java.nio.charset.StandardCharsets;
import java.nio.file.FileAlreadyExistsException;
import java.nio.file.Files;
import java.nio.file.LinkOption;
import java.nio.file.OpenOption;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.nio.file.attribute.PosixFilePermissions;
import java.util.Set;
import java.util.concurrent.ConcurrentHashMap;
import org.jspecify.annotations.Nullable;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;
import org.tallywire.api.FaultCode;
import org.tallywire.api.LinkException;

/**
 * Keeps a device to one open link at a time, in this process and among all that run this program,
 * and names the holder. The lock file has the number of the process that holds it; the system frees
 * the lock when that process ends, however it ends. Where the folder for locks is missing or closed
 * to us, the library's own advisory lock on the device remains.
 */
final class PortLock implements AutoCloseable {

  /** Where Linux keeps locks that are gone after a restart. */
  static final Path FOLDER = Path.of("/run/lock");

  private static final Logger log = LoggerFactory.getLogger(PortLock.class);
  private static final Set<Path> HELD = ConcurrentHashMap.newKeySet();
  private static final int LONGEST = 20;

  private final Path device;
  private final @Nullable FileChannel channel;

  private PortLock(Path device, @Nullable FileChannel channel) {
    this.device = device;
    this.channel = channel;
  }

  /**
   * Takes the lock of a device.
   *
   * @throws LinkException with {@link FaultCode#LINK_BUSY} and who has it, if somebody has
   */
  static PortLock take(SerialDevice device, Path folder) throws LinkException {
    if (!HELD.add(device.path())) {
      throw SerialPorts.busy(
          device.name(),
          "this program itself (another station, or an earlier close that has not ended)");
    }
    try {
      return new PortLock(device.path(), lock(device, folder));
    } catch (LinkException | RuntimeException e) {
      HELD.remove(device.path());
      throw e;
    }
  }

  private static @Nullable FileChannel lock(SerialDevice device, Path folder) throws LinkException {
    if (SerialDevice.isWindowsPort(device.name())) {
      return null; // Windows itself gives a port to one process only
    }
    String name = Path.of("/dev").relativize(device.path()).toString().replace('/', '-');
    Path file = folder.resolve("tallywire-" + name + ".lock");
    try {
      FileChannel channel = open(file);
      boolean ours = false;
      try {
        if (channel.tryLock(LONGEST, 1, false) == null) { // beyond the number, for others to read
          throw SerialPorts.busy(device.name(), "process " + holder(channel));
        }
        channel.truncate(0);
        channel.write(ascii(ProcessHandle.current().pid() + "\n"), 0);
        ours = true;
        return channel;
      } finally {
        if (!ours) {
          channel.close(); // else the lock stays, and the next attempt overlaps with it
        }
      }
    } catch (LinkException e) {
      throw e;
    } catch (IOException e) {
      log.debug("{} has no lock file: {}", device.path(), e.toString());
      return null;
    }
  }

  /**
   * Opens or makes the file. Everybody may write to the folder, so what stands there may be a trap:
   * a symbolic link is not followed, and what is not a small plain file is left alone.
   */
  private static FileChannel open(Path file) throws IOException {
    OpenOption[] open = {
      StandardOpenOption.READ, StandardOpenOption.WRITE, LinkOption.NOFOLLOW_LINKS
    };
    if (!Files.exists(file, LinkOption.NOFOLLOW_LINKS)) {
      try {
        Files.createFile(file);
        // another account's bridge shall find the lock, not a file that it may not open
        Files.setPosixFilePermissions(file, PosixFilePermissions.fromString("rw-rw-rw-"));
      } catch (FileAlreadyExistsException e) {
        log.debug("{} was made by another at this moment", file);
      }
    }
    if (!Files.isRegularFile(file, LinkOption.NOFOLLOW_LINKS) || Files.size(file) > LONGEST) {
      throw new IOException(file + " is no lock file");
    }
    return FileChannel.open(file, open);
  }

  private static String holder(FileChannel channel) throws IOException {
    ByteBuffer pid = ByteBuffer.allocate(LONGEST);
    channel.read(pid, 0);
    String text = new String(pid.array(), 0, pid.position(), StandardCharsets.US_ASCII).strip();
    return text.matches("[0-9]+") ? text : "of unknown number";
  }

  private static ByteBuffer ascii(String text) {
    return ByteBuffer.wrap(text.getBytes(StandardCharsets.US_ASCII));
  }

  @Override
  public String toString() {
    return "the lock of " + device;
  }

  /** Lets the next one in; the file stays, empty of meaning without its lock. */
  @Override
  public void close() {
    try {
      if (channel != null) {
        channel.close();
      }
    } catch (IOException e) {
      log.debug("closing the lock of {}: {}", device, e.toString());
    } finally {
      HELD.remove(device);
    }
  }
}
