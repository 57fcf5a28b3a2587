package org.tallywire.link;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.OptionalInt;

/**
 * How long an adapter with a chip of the FTDI kind holds back a short answer, as Linux tells it (16
 * ms unless set; FTDI's note AN232B-04).
 */
final class LatencyTimer {

  private static final Path DEVICES = Path.of("/sys/bus/usb-serial/devices");
  private static final int MOST_DIGITS = 3;

  private LatencyTimer() {}

  /** Returns the milliseconds of a port; empty if it has none, or the system does not tell. */
  static OptionalInt of(Path port) {
    return of(DEVICES, port);
  }

  static OptionalInt of(Path devices, Path port) {
    Path name = port.getFileName();
    Path timer = devices.resolve(name == null ? "" : name.toString()).resolve("latency_timer");
    try {
      String text = Files.isReadable(timer) ? Files.readString(timer).strip() : "";
      return text.matches("[0-9]{1," + MOST_DIGITS + "}")
          ? OptionalInt.of(Integer.parseInt(text))
          : OptionalInt.empty();
    } catch (IOException e) {
      return OptionalInt.empty(); // unplugged while we looked
    }
  }
}
