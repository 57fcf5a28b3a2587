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
 * it hangs up on whoever is. Used by one thread.
 */
public final class PseudoTerminal implements AutoCloseable {

  private static final LibC C = LibC.CALLS;
  private static final int TERMIOS_BYTES = 256;
  private static final int PATH_BYTES = 128;
  private static final int POLLFD_BYTES = 8;
  private static final int REVENTS_AT = 6;

  private final int master;
  private final int slave;
  private final String path;
  private boolean open = true;

  private PseudoTerminal(int master, int slave, String path) {
    this.master = master;
    this.slave = slave;
    this.path = path;
  }

  /**
   * Opens a pseudo-terminal, raw, at 115200 baud.
   *
   * @throws IOException with the call that failed and its error number
   */
  public static PseudoTerminal open() throws IOException {
    int master = checked("posix_openpt", C.posix_openpt(LibC.O_RDWR | LibC.O_NOCTTY));
    int slave = -1;
    try {
      checked("grantpt", C.grantpt(master));
      checked("unlockpt", C.unlockpt(master));
      byte[] name = new byte[PATH_BYTES];
      checked("ptsname_r", -C.ptsname_r(master, name, new NativeLong(name.length)));
      String path = Native.toString(name, StandardCharsets.UTF_8);
      slave = checked("open " + path, C.open(path, LibC.O_RDWR | LibC.O_NOCTTY));
      checked("fcntl O_NONBLOCK", C.fcntl(master, LibC.F_SETFL, LibC.O_NONBLOCK));
      makeRaw(slave);
      return new PseudoTerminal(master, slave, path);
    } catch (IOException failed) {
      C.close(master);
      if (slave >= 0) {
        C.close(slave);
      }
      throw failed;
    }
  }

  private static void makeRaw(int fd) throws IOException {
    Memory termios = new Memory(TERMIOS_BYTES);
    termios.clear();
    checked("tcgetattr", C.tcgetattr(fd, termios));
    C.cfmakeraw(termios);
    checked("cfsetspeed 115200", C.cfsetspeed(termios, new NativeLong(LibC.B115200)));
    checked("tcsetattr", C.tcsetattr(fd, LibC.TCSANOW, termios));
  }

  /** Returns the path of the far end. */
  public String path() {
    return path;
  }

  /** Returns the speed in baud that was last set at the far end. */
  public int baud() throws IOException {
    Memory termios = new Memory(TERMIOS_BYTES);
    if (Platform.isLinux()) {
      checked("ioctl TCGETS2", C.ioctl(slave, new NativeLong(LibC.TCGETS2, true), termios));
      return termios.getInt(LibC.TERMIOS2_SPEED_AT);
    }
    checked("tcgetattr", C.tcgetattr(slave, termios));
    return C.cfgetospeed(termios).intValue();
  }

  /** Waits at most so long; returns how many bytes came, 0 if none. */
  public int read(byte[] into, int millis) throws IOException {
    Memory descriptor = new Memory(POLLFD_BYTES);
    descriptor.setInt(0, master);
    descriptor.setInt(Integer.BYTES, LibC.POLLIN);
    int ready = C.poll(descriptor, new NativeLong(1), millis);
    if (ready < 0 && Native.getLastError() != LibC.EINTR) {
      throw failure("poll");
    }
    if (ready <= 0 || (descriptor.getShort(REVENTS_AT) & LibC.POLLIN) == 0) {
      return 0;
    }
    int count = C.read(master, into, new NativeLong(into.length)).intValue();
    if (count < 0 && !tryLater()) {
      throw failure("read");
    }
    return Math.max(0, count);
  }

  /** Writes without waiting; returns how many bytes found room. */
  public int write(byte[] bytes, int offset, int length) throws IOException {
    Memory from = new Memory(length);
    from.write(0, bytes, offset, length);
    int count = C.write(master, from, new NativeLong(length)).intValue();
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
    return new IOException(
        "the pseudo-terminal's call %s failed with error number %d"
            .formatted(call, Native.getLastError()));
  }

  @Override
  public void close() {
    if (open) {
      open = false;
      C.close(slave);
      C.close(master);
    }
  }
}
