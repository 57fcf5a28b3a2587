package org.tallywire.link;

import java.nio.file.Path;

/** What a second program does in the tests: holds a port's lock, or loads the library. */
final class OtherProcess {

  private OtherProcess() {}

  /** Does the deed in the place, says so, and waits for its input to end. */
  public static void main(String[] arguments) throws Exception {
    Path place = Path.of(arguments[1]);
    if (arguments[0].equals("hold")) {
      SerialDevice device = new SerialDevice("bench", Path.of("/dev/pts/invented"), null);
      try (PortLock lock = PortLock.take(device, place)) {
        System.err.println(lock);
        System.out.println("held");
        System.out.flush();
        System.in.read();
      }
    } else {
      new Links(place).serialPorts();
      System.out.println("loaded");
    }
  }
}
