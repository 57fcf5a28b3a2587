package org.tallywire.link;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.LinkOption;
import java.nio.file.Path;
import java.nio.file.attribute.BasicFileAttributes;
import java.util.List;
import java.util.Optional;
import java.util.regex.Pattern;
import org.jspecify.annotations.Nullable;
import org.tallywire.api.FaultCode;
import org.tallywire.api.LinkException;

/**
 * A port's name and the device that it leads to now: a name that stays the same leads to another
 * device after the adapter was plugged in again, so it is looked up at each opening.
 *
 * @param name as the configuration has it
 * @param path the device itself, without symbolic links
 * @param key what the system tells this very device node by; null where it does not say
 */
record SerialDevice(String name, Path path, @Nullable Object key) {

  private static final Pattern WINDOWS_PORT = Pattern.compile("COM[0-9]{1,3}");
  private static final Path DEVICES = Path.of("/dev");
  private static final Path ACTIVE_CONSOLES = Path.of("/sys/class/tty/console/active");
  private static final List<Path> OUR_OWN =
      List.of(Path.of("/proc/self/fd/0"), Path.of("/proc/self/fd/1"), Path.of("/proc/self/fd/2"));
  private static final int FILE_TYPE = 0xF000;
  private static final int CHARACTER_DEVICE = 0x2000;

  // Linux's numbers of devices (its Documentation/admin-guide/devices.txt)
  private static final int MEMORY = 1;
  private static final int TERMINALS = 4;
  private static final int FIRST_SERIAL = 64;
  private static final int ALTERNATES = 5;
  private static final int SCREENS = 7;

  /**
   * Finds the device behind a name; refuses with a sentence what cannot be a port or must not be
   * used as one, before any library touches it.
   */
  static SerialDevice find(String name) throws LinkException {
    if (isWindowsPort(name)) {
      return new SerialDevice(name, Path.of(name), null);
    }
    Path given = Path.of(name);
    if (!Files.exists(given)) {
      throw new LinkException(
          FaultCode.LINK_NOT_FOUND,
          "opening %s: there is no such port; %s".formatted(name, SerialPorts.inWords()));
    }
    try {
      Path path = given.toRealPath();
      Optional<String> objection = objection(path);
      if (objection.isPresent()) {
        throw new LinkException(
            FaultCode.LINK_REFUSED, "opening %s: %s".formatted(name, objection.get()));
      }
      Optional<String> hindrance = SerialPorts.hindrance(name);
      if (hindrance.isPresent()) {
        throw new LinkException(
            FaultCode.LINK_FORBIDDEN, "opening %s: %s".formatted(name, hindrance.get()));
      }
      return new SerialDevice(name, path, key(path));
    } catch (LinkException e) {
      throw e;
    } catch (IOException e) { // unplugged while we looked
      throw new LinkException(
          FaultCode.LINK_NOT_FOUND, "opening %s: %s".formatted(name, e.getMessage()), e);
    }
  }

  static boolean isWindowsPort(String name) {
    return WINDOWS_PORT.matcher(name).matches();
  }

  /** Tells whether the system makes the device up, as a pseudo-terminal, and there is no wire. */
  boolean isPseudoTerminal() {
    return path.startsWith(DEVICES.resolve("pts"));
  }

  /**
   * Tells whether the name still leads to the very same device; of Windows' port names the system
   * does not say. A port that was plugged in again is another one, whatever its name: what is open
   * then gives nothing for ever.
   */
  boolean isStillThere() {
    if (isWindowsPort(name)) {
      return true;
    }
    try {
      Path now = Path.of(name).toRealPath();
      Object nowKey = key(now);
      return now.equals(path) && (key == null || key.equals(nowKey));
    } catch (IOException e) {
      return false;
    }
  }

  private static @Nullable Object key(Path path) throws IOException {
    return Files.readAttributes(path, BasicFileAttributes.class).fileKey();
  }

  /** Says why a device is not to be opened as a serial port, if so. */
  private static Optional<String> objection(Path path) throws IOException {
    if (Files.isRegularFile(path) || Files.isDirectory(path)) {
      return Optional.of("that is a file, not a serial port");
    }
    if (!path.startsWith(DEVICES) || !isCharacterDevice(path)) {
      return Optional.of("that is no serial port (it leads to %s)".formatted(path));
    }
    if (isReserved(path)) {
      return Optional.of(
          "that is a terminal or another device of the system itself, no serial port");
    }
    if (isActiveConsole(path)) {
      return Optional.of(
          "this machine uses it as its own console, and would read and write between; take"
              + " \"console=%s\" off the kernel's command line first"
                  .formatted(path.getFileName()));
    }
    if (isOurOwn(path)) {
      return Optional.of("that is the terminal that this program was started in");
    }
    return Optional.empty();
  }

  private static boolean isCharacterDevice(Path path) throws IOException {
    return !knowsUnix(path) || (number(path, "unix:mode") & FILE_TYPE) == CHARACTER_DEVICE;
  }

  /** Tells whether Linux numbers the device as memory, screen, keyboard or "whatever terminal". */
  private static boolean isReserved(Path path) throws IOException {
    if (!Files.exists(ACTIVE_CONSOLES) || !knowsUnix(path)) {
      return false;
    }
    long device = number(path, "unix:rdev");
    int major = (int) ((device >> 8) & 0xFFF);
    int minor = (int) ((device & 0xFF) | ((device >> 12) & 0xFFF00));
    return major == MEMORY
        || major == SCREENS
        || ((major == TERMINALS || major == ALTERNATES) && minor < FIRST_SERIAL);
  }

  private static boolean isActiveConsole(Path path) throws IOException {
    return Files.isReadable(ACTIVE_CONSOLES)
        && List.of(Files.readString(ACTIVE_CONSOLES).strip().split("\\s+", -1))
            .contains(String.valueOf(path.getFileName()));
  }

  private static boolean isOurOwn(Path path) throws IOException {
    for (Path descriptor : OUR_OWN) {
      if (Files.isSymbolicLink(descriptor) && Files.readSymbolicLink(descriptor).equals(path)) {
        return true;
      }
    }
    return false;
  }

  private static boolean knowsUnix(Path path) {
    return path.getFileSystem().supportedFileAttributeViews().contains("unix");
  }

  private static long number(Path path, String attribute) throws IOException {
    return ((Number) Files.getAttribute(path, attribute, LinkOption.NOFOLLOW_LINKS)).longValue();
  }
}
