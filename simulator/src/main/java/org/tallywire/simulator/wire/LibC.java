package org.tallywire.simulator.wire;

import com.sun.jna.Library;
import com.sun.jna.Memory;
import com.sun.jna.Native;
import com.sun.jna.NativeLong;
import com.sun.jna.Platform;

/**
 * The calls of the C library that make a pseudo-terminal (POSIX, and Linux or macOS where said).
 *
 * <p>What is called all the time is bound directly, which costs a fraction of a call through an
 * interface; functions with a variable number of arguments cannot be.
 */
final class LibC {

  static final int O_RDWR = 2;
  static final int O_NOCTTY = Platform.isMac() ? 0x20000 : 0x100;
  static final int O_NONBLOCK = Platform.isMac() ? 0x4 : 0x800;
  static final int F_SETFL = 4;
  static final int EINTR = 4;
  static final int EAGAIN = Platform.isMac() ? 35 : 11;
  static final short POLLIN = 1;
  static final int TCSANOW = 0;

  /** Linux: reads {@code struct termios2}, 44 bytes, output speed in baud at byte 40. */
  static final int TCGETS2 = 0x802C542A;

  static final int TERMIOS2_SPEED_AT = 40;

  /** The code of 115200 baud for {@code cfsetspeed}. */
  static final int B115200 = Platform.isMac() ? 115200 : 0x1002;

  static final Variadic VARIADIC = Native.load("c", Variadic.class);

  static {
    Native.register("c");
  }

  private LibC() {}

  /** The functions that take a variable number of arguments. */
  interface Variadic extends Library {

    int open(String path, int flags, Object... mode);

    int fcntl(int fd, int command, Object... value);

    int ioctl(int fd, NativeLong request, Object... argument);
  }

  static native int posix_openpt(int flags);

  static native int grantpt(int fd);

  static native int unlockpt(int fd);

  static native int ptsname_r(int fd, byte[] name, NativeLong length);

  static native int close(int fd);

  static native int poll(Memory descriptors, NativeLong count, int millis);

  static native NativeLong read(int fd, byte[] into, NativeLong length);

  static native NativeLong write(int fd, Memory from, NativeLong length);

  static native int tcgetattr(int fd, Memory termios);

  static native int tcsetattr(int fd, int when, Memory termios);

  static native void cfmakeraw(Memory termios);

  static native int cfsetspeed(Memory termios, NativeLong speed);

  static native NativeLong cfgetospeed(Memory termios);
}
