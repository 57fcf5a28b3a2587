package org.tallywire.simulator.wire;

import com.sun.jna.Memory;
import com.sun.jna.Native;
import com.sun.jna.NativeLong;
import com.sun.jna.Platform;
import java.io.IOException;
import java.nio.charset.StandardCharsets;

/**
 * A real pseudo-terminal: what is written here is read at {@link #path} and the other way round.
 *
 * <p>It keeps its far end open too, so that reading does not fail while nobody is attached; closing
 * it hangs up on whoever is. Native memory is taken once and used again. Used by one thread.
 */
final class PseudoTerminal implements AutoCloseable {

  private static final int TERMIOS_BYTES = 256;
  private static final int PATH_BYTES = 128;
  private static final int POLLFD_BYTES = 8;
  private static final int REVENTS_AT = 6;
  private static final int WRITE_BYTES = 64;
  private static final NativeLong ONE = new NativeLong(1);
  private static final NativeLong TCGETS2 = new NativeLong(LibC.TCGETS2, true);

  /** Master and slave. */
  static final int FILES_EACH = 2;

  private final int master;
  private final int slave;
  private final String path;
  private final Memory descriptor = new Memory(POLLFD_BYTES);
  private final Memory termios = new Memory(TERMIOS_BYTES);
  private Memory outgoing = new Memory(WRITE_BYTES);
  private boolean open = true;

  private PseudoTerminal(int master, int slave, String path) {
    this.master = master;
    this.slave = slave;
    this.path = path;
    descriptor.setInt(0, master);
    descriptor.setInt(Integer.BYTES, LibC.POLLIN);
  }

  /**
   * Opens a pseudo-terminal, raw, at 115200 baud.
   *
   * @throws IOException with the call that failed and its error number, and what to do where a
   *     limit of the system is reached
   */
  static PseudoTerminal open() throws IOException {
    int master = checked("posix_openpt", LibC.posix_openpt(LibC.O_RDWR | LibC.O_NOCTTY));
    int slave = -1;
    try {
      checked("grantpt", LibC.grantpt(master));
      checked("unlockpt", LibC.unlockpt(master));
      byte[] name = new byte[PATH_BYTES];
      checked("ptsname_r", -LibC.ptsname_r(master, name, new NativeLong(name.length)));
      String path = Native.toString(name, StandardCharsets.UTF_8);
      slave = checked("open " + path, LibC.VARIADIC.open(path, LibC.O_RDWR | LibC.O_NOCTTY));
      checked("fcntl O_NONBLOCK", LibC.VARIADIC.fcntl(master, LibC.F_SETFL, LibC.O_NONBLOCK));
      makeRaw(slave);
      return new PseudoTerminal(master, slave, path);
    } catch (IOException failed) {
      LibC.close(master);
      if (slave >= 0) {
        LibC.close(slave);
      }
      throw failed;
    }
  }

  private static void makeRaw(int fd) throws IOException {
    Memory termios = new Memory(TERMIOS_BYTES);
    termios.clear();
    checked("tcgetattr", LibC.tcgetattr(fd, termios));
    LibC.cfmakeraw(termios);
    checked("cfsetspeed 115200", LibC.cfsetspeed(termios, new NativeLong(LibC.B115200)));
    checked("tcsetattr", LibC.tcsetattr(fd, LibC.TCSANOW, termios));
  }

  /** Returns the path of the far end. */
  String path() {
    return path;
  }

  /** Returns the speed in baud that was last set at the far end. */
  int baud() throws IOException {
    if (Platform.isLinux()) {
      checked("ioctl TCGETS2", LibC.VARIADIC.ioctl(slave, TCGETS2, termios));
      return termios.getInt(LibC.TERMIOS2_SPEED_AT);
    }
    checked("tcgetattr", LibC.tcgetattr(slave, termios));
    return LibC.cfgetospeed(termios).intValue();
  }

  /** Waits at most so long; returns how many bytes came, 0 if none. */
  int read(byte[] into, int millis) throws IOException {
    int ready = LibC.poll(descriptor, ONE, millis);
    if (ready < 0 && Native.getLastError() != LibC.EINTR) {
      throw failure("poll");
    }
    if (ready <= 0 || (descriptor.getShort(REVENTS_AT) & LibC.POLLIN) == 0) {
      return 0;
    }
    int count = LibC.read(master, into, new NativeLong(into.length)).intValue();
    if (count < 0 && !tryLater()) {
      throw failure("read");
    }
    return Math.max(0, count);
  }

  /** Writes without waiting; returns how many bytes found room. */
  int write(byte[] bytes, int offset, int length) throws IOException {
    if (outgoing.size() < length) {
      outgoing = new Memory(length);
    }
    outgoing.write(0, bytes, offset, length);
    int count = LibC.write(master, outgoing, new NativeLong(length)).intValue();
    if (count < 0 && !tryLater()) {
      throw failure("write of %d bytes".formatted(length));
    }
    return Math.max(0, count);
  }

  private static boolean tryLater() {
    int error = Native.getLastError();
    return error == LibC.EAGAIN || error == LibC.EINTR;
  }

  private static int checked(String call, int result) throws IOException {
    if (result < 0) {
      throw failure(call);
    }
    return result;
  }

  private static IOException failure(String call) {
    int error = Native.getLastError();
    String sentence =
        "the pseudo-terminal's call %s failed with error number %d%s"
            .formatted(call, error, OpenLimit.advice(error, FILES_EACH));
    return error == OpenLimit.EMFILE || error == OpenLimit.ENFILE
        ? new OpenLimitException(sentence)
        : new IOException(sentence);
  }

  @Override
  public void close() {
    if (open) {
      open = false;
      LibC.close(slave);
      LibC.close(master);
    }
  }
}
