package org.tallywire.simulator.wire;

import com.sun.jna.Library;
import com.sun.jna.Memory;
import com.sun.jna.Native;
import com.sun.jna.NativeLong;
import com.sun.jna.Platform;

/**
 * The calls of the C library that make a pseudo-terminal (POSIX, and Linux or macOS where said).
 */
interface LibC extends Library {

  LibC CALLS = Native.load("c", LibC.class);

  int O_RDWR = 2;
  int O_NOCTTY = Platform.isMac() ? 0x20000 : 0x100;
  int O_NONBLOCK = Platform.isMac() ? 0x4 : 0x800;
  int F_SETFL = 4;
  int EINTR = 4;
  int EAGAIN = Platform.isMac() ? 35 : 11;
  short POLLIN = 1;
  int TCSANOW = 0;

  /** Linux: reads {@code struct termios2}, 44 bytes, output speed in baud at byte 40. */
  int TCGETS2 = 0x802C542A;

  int TERMIOS2_SPEED_AT = 40;

  /** The code of 115200 baud for {@code cfsetspeed}. */
  int B115200 = Platform.isMac() ? 115200 : 0x1002;

  int posix_openpt(int flags);

  int grantpt(int fd);

  int unlockpt(int fd);

  int ptsname_r(int fd, byte[] name, NativeLong length);

  int open(String path, int flags, Object... mode);

  int close(int fd);

  int fcntl(int fd, int command, Object... value);

  int ioctl(int fd, NativeLong request, Object... argument);

  int poll(Memory descriptors, NativeLong count, int millis);

  NativeLong read(int fd, byte[] into, NativeLong length);

  NativeLong write(int fd, Memory from, NativeLong length);

  int tcgetattr(int fd, Memory termios);

  int tcsetattr(int fd, int when, Memory termios);

  void cfmakeraw(Memory termios);

  int cfsetspeed(Memory termios, NativeLong speed);

  NativeLong cfgetospeed(Memory termios);
}
