package org.tallywire.link;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.HashSet;
import java.util.List;
import java.util.OptionalInt;
import java.util.Set;
import java.util.concurrent.TimeUnit;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.junit.jupiter.api.Assumptions;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** The shipped udev rules against the grammar of udev(7), and what they set, as it is read. */
class UdevRulesTest {

  private static final Path RULES = Path.of("../../shared/udev/70-tallywire.rules");
  private static final Pattern TOKEN =
      Pattern.compile("([A-Z]+)(?:\\{([^{}\\s]+)\\})?(==|!=|=|\\+=|-=|:=)\"([^\"]*)\"");

  /** Keys that are compared, and keys that are set, with whether they need a name in braces. */
  private static final Set<String> COMPARED =
      Set.of("ACTION", "SUBSYSTEM", "SUBSYSTEMS", "KERNEL", "DRIVER", "ATTR{}", "ATTRS{}", "ENV{}");

  private static final Set<String> SET =
      Set.of("ATTR{}", "ENV{}", "GROUP", "MODE", "SYMLINK", "GOTO", "LABEL");

  @TempDir private Path folder;

  @Test
  @DisplayName("Every line is of the grammar of udev(7), and a GOTO has its label behind it")
  void grammar() throws Exception {
    assertEquals(List.of(), faults(Files.readAllLines(RULES, StandardCharsets.US_ASCII)));
  }

  @ParameterizedTest
  @ValueSource(
      strings = {
        "SUBSYSTEM=\"tty\"",
        "SYMLINK==\"name\"",
        "ATTR==\"1\"",
        "KERNEL==tty",
        "KERNEL==\"tty\" ACTION==\"add\"",
        "KERNEL==\"tty\",",
        "GOTO=\"nowhere\""
      })
  @DisplayName("This test's own grammar finds what is wrong")
  void wrong(String rule) {
    assertEquals(1, faults(List.of(rule)).size());
  }

  @Test
  @DisplayName("Pitfalls A.3: latency, stable names, ModemManager and the group are all there")
  void content() throws Exception {
    String rules = Files.readString(RULES);
    for (String part :
        new String[] {
          "ACTION==\"add\", SUBSYSTEM==\"usb-serial\", DRIVER==\"ftdi_sio\", ATTR{latency_timer}=\"1\"",
          "ENV{ID_SERIAL_SHORT}==\"INVENTED01\", SYMLINK+=\"tallywire-bay-1\"",
          "ENV{ID_MM_DEVICE_IGNORE}=\"1\"",
          "ENV{ID_MM_PORT_IGNORE}=\"1\"",
          "GROUP=\"dialout\""
        }) {
      assertTrue(rules.contains(part), part);
    }
  }

  @Test
  @DisplayName("udevadm verify, where there is one, finds nothing wrong")
  void verify() throws Exception {
    Assumptions.assumeTrue(exit("udevadm", "verify", "--help") == 0, "no udevadm with verify");
    assertEquals(0, exit("udevadm", "verify", "--no-style", RULES.toAbsolutePath().toString()));
  }

  @Test
  @DisplayName("J11: the latency timer is read where the system tells it, and nowhere else")
  void latency() throws Exception {
    Path device = Files.createDirectories(folder.resolve("ttyUSB7"));
    Files.writeString(device.resolve("latency_timer"), "16\n");
    assertEquals(OptionalInt.of(16), LatencyTimer.of(folder, Path.of("/dev/ttyUSB7")));
    assertEquals(OptionalInt.empty(), LatencyTimer.of(folder, Path.of("/dev/ttyACM0")));
    Files.writeString(device.resolve("latency_timer"), "what?\n");
    assertEquals(OptionalInt.empty(), LatencyTimer.of(folder, Path.of("/dev/ttyUSB7")));
  }

  private static List<String> faults(List<String> lines) {
    List<String> faults = new ArrayList<>();
    Set<String> awaited = new HashSet<>();
    for (String line : lines) {
      if (line.isBlank() || line.startsWith("#")) {
        continue;
      }
      for (String part : line.split(", ", -1)) {
        Matcher token = TOKEN.matcher(part);
        if (!token.matches() || !isKnown(token)) {
          faults.add(line + ": " + part);
        } else if (token.group(1).equals("GOTO")) {
          awaited.add(token.group(4));
        } else if (token.group(1).equals("LABEL")) {
          awaited.remove(token.group(4));
        }
      }
    }
    awaited.forEach(label -> faults.add("no label " + label));
    return faults;
  }

  private static boolean isKnown(Matcher token) {
    String key = token.group(1) + (token.group(2) == null ? "" : "{}");
    boolean compares = token.group(3).equals("==") || token.group(3).equals("!=");
    return (compares ? COMPARED : SET).contains(key);
  }

  private int exit(String... command) throws InterruptedException {
    try {
      Process process =
          new ProcessBuilder(command)
              .redirectErrorStream(true)
              .redirectOutput(folder.resolve("said").toFile())
              .start();
      assertTrue(process.waitFor(10, TimeUnit.SECONDS), "udevadm did not end");
      return process.exitValue();
    } catch (IOException e) {
      return -1; // there is none
    }
  }
}
