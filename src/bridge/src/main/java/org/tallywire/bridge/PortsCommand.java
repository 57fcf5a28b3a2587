package org.tallywire.bridge;

import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.concurrent.Callable;
import org.tallywire.link.Links;
import org.tallywire.link.SerialPortDescription;
import picocli.CommandLine.Command;

/**
 * {@code tallywire ports}: the serial ports of this machine, and how to be allowed to open them.
 */
@Command(
    name = "ports",
    description = "Lists the serial ports with the names to write into a configuration.",
    mixinStandardHelpOptions = true)
final class PortsCommand implements Callable<Integer> {

  @Override
  public Integer call() throws Exception {
    Path scratch = Files.createTempDirectory("tallywire-ports");
    try {
      print(new Links(scratch).serialPorts());
    } finally {
      Scratch.delete(scratch);
    }
    return Tallywire.OK;
  }

  private static void print(List<SerialPortDescription> ports) {
    if (ports.isEmpty()) {
      System.out.println("This machine shows no serial ports.");
      System.out.println(
          "Plug in the USB adapter and look again. A path that is not listed (a pseudo-terminal,");
      System.out.println("a link of your own) may be written into the configuration all the same.");
      return;
    }
    for (SerialPortDescription port : ports) {
      System.out.printf("%s  %s%n", port.path(), Visible.text(port.about()));
      port.stableNames()
          .forEach(name -> System.out.printf("    stays the same when replugged: %s%n", name));
      if (port.stableNames().isEmpty()) {
        System.out.println("    has no other name; this one may change when it is replugged");
      }
      port.latency()
          .ifPresent(
              millis ->
                  System.out.printf(
                      "    holds back a short answer for %d ms%s%n",
                      millis, millis > 1 ? "; shared/udev says how to make that 1 ms" : ""));
      System.out.printf("    %s%n", port.hindrance().orElse("this account may open it"));
    }
  }
}
