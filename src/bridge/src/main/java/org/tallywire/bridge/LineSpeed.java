package org.tallywire.bridge;

import java.time.Duration;
import org.jspecify.annotations.Nullable;
import org.tallywire.api.Link;
import org.tallywire.api.LinkAddress;
import org.tallywire.api.LinkException;
import org.tallywire.api.SerialSettings;

/** How fast an open link is, and what changes that; where no line has a speed, a flat time. */
final class LineSpeed {

  private static final Duration TCP_LINE_TIME = Duration.ofMillis(150);

  private final Link link;
  private @Nullable SerialSettings settings;

  LineSpeed(Link link, LinkAddress address) {
    this.link = link;
    if (address instanceof LinkAddress.Serial serial) {
      settings = serial.settings();
    } else if (address instanceof LinkAddress.NetworkSerial serial) {
      settings = serial.settings();
    }
  }

  /** Returns how long so many bytes take. */
  Duration time(int bytes) {
    SerialSettings now = settings;
    return now == null ? TCP_LINE_TIME : now.time(bytes);
  }

  /** Goes on at another speed; tells whether it is another one, on a line that has one. */
  boolean change(int baud) throws LinkException {
    SerialSettings now = settings;
    if (now == null || now.baud() == baud) {
      return false;
    }
    link.speed(baud);
    settings = now.withBaud(baud);
    return true;
  }
}
