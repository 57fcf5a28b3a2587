package org.tallywire.link;

import com.fazecast.jSerialComm.SerialPort;
import java.io.IOException;
import java.io.UncheckedIOException;
import java.nio.file.DirectoryStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.attribute.PosixFileAttributes;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.TreeMap;
import java.util.stream.Stream;
import org.tallywire.api.FaultCode;
import org.tallywire.api.LinkAddress;
import org.tallywire.api.LinkException;

/** Knows the machine's serial ports: their names, who may open them, who has them open. */
final class SerialPorts {

  private static final List<Path> STABLE =
      List.of(Path.of("/dev/serial/by-id"), Path.of("/dev/serial/by-path"));

  /** Of the two names of a port of macOS the one whose opening may wait for ever. */
  private static final String WAITING_FOR_CARRIER = "/dev/tty.";

  private static final int MOST_HOLDERS = 4;
  private static final Path LINUX_PORTS = Path.of("/sys/class/tty");

  private SerialPorts() {}

  static List<SerialPortDescription> list() {
    Map<String, String> aboutPaths = new TreeMap<>();
    forbiddenToo().forEach(path -> aboutPaths.put(path, "serial port"));
    for (SerialPort port : SerialLibrary.listing(SerialPort::getCommPorts)) {
      if (port.getSystemPortPath().startsWith(WAITING_FOR_CARRIER)) {
        continue;
      }
      aboutPaths.put(port.getSystemPortPath(), port.getDescriptivePortName());
    }
    List<SerialPortDescription> ports = new ArrayList<>();
    aboutPaths.forEach(
        (path, about) ->
            ports.add(
                new SerialPortDescription(
                    path,
                    stableNames(path),
                    about,
                    hindrance(path),
                    LatencyTimer.of(Path.of(path)))));
    return ports;
  }

  /**
   * Lists the ports that Linux knows, also those which this account may not open and which the
   * library therefore leaves out.
   */
  private static List<String> forbiddenToo() {
    List<String> paths = new ArrayList<>();
    if (!Files.isDirectory(LINUX_PORTS)) {
      return paths;
    }
    try (DirectoryStream<Path> ports = Files.newDirectoryStream(LINUX_PORTS)) {
      for (Path port : ports) {
        Path device = Path.of("/dev").resolve(port.getFileName());
        if (Files.exists(port.resolve("device/driver"))
            && !isPlaceholder(port)
            && Files.exists(device)) {
          paths.add(device.toString());
        }
      }
    } catch (IOException e) {
      // what the library lists is then all there is
    }
    return paths;
  }

  /** Tells whether the kernel keeps a name for a built-in port that the machine does not have. */
  private static boolean isPlaceholder(Path port) throws IOException {
    Path type = port.resolve("type");
    return Files.isReadable(type) && Files.readString(type).strip().equals("0");
  }

  /** Refuses a wire that another program reads already, whether it asked for a lock or not. */
  static void refuseHeld(SerialDevice device) throws LinkException {
    if (device.isPseudoTerminal()) {
      return; // who made it may keep it open at both ends
    }
    List<String> holders = holders(device.path());
    if (!holders.isEmpty()) {
      throw busy(device.name(), String.join(" and ", holders));
    }
  }

  static LinkException busy(String name, String holder) {
    return new LinkException(
        FaultCode.LINK_BUSY,
        ("opening %s: it is open already, in %s; close what else reads it, or give this station"
                + " another port")
            .formatted(name, holder));
  }

  /** Says why an open failed although the port is there and permitted. */
  static LinkException refused(LinkAddress.Serial address, SerialDevice device, int errorCode) {
    List<String> holders = holders(device.path());
    if (!holders.isEmpty()) {
      return busy(address.port(), String.join(" and ", holders));
    }
    return new LinkException(
        FaultCode.LINK_REFUSED,
        "opening %s: refused (system error %d); another program may have it open, or it does not"
                .formatted(address, errorCode)
            + " take these settings");
  }

  /**
   * Says which ports there are, as far as the system tells it without the library: that one looks
   * for long, and frees what a station may be using.
   */
  static String inWords() {
    if (!Files.isDirectory(LINUX_PORTS)) {
      return "\"tallywire ports\" lists those of this machine";
    }
    List<String> paths = forbiddenToo().stream().sorted().toList();
    return paths.isEmpty()
        ? "this machine shows no serial ports: is the adapter plugged in?"
        : "this machine has " + String.join(", ", paths);
  }

  static Optional<String> hindrance(String name) {
    Path path = Path.of(name);
    if (SerialDevice.isWindowsPort(name) || (Files.isReadable(path) && Files.isWritable(path))) {
      return Optional.empty();
    }
    String group = "dialout";
    try {
      group = Files.readAttributes(path, PosixFileAttributes.class).group().getName();
    } catch (IOException | UnsupportedOperationException e) {
      // the usual group is still the best advice
    }
    return Optional.of(
        group.equals("root")
            ? "this account may not open it; it belongs to root alone: ask the administrator to"
                + " give it to the group dialout (a udev rule) and to put this account into it"
            : ("this account may not open it; it belongs to the group %s: run"
                    + " \"sudo usermod -aG %s $USER\", log out and in again")
                .formatted(group, group));
  }

  private static List<String> stableNames(String path) {
    List<String> names = new ArrayList<>();
    for (Path folder : STABLE) {
      if (!Files.isDirectory(folder)) {
        continue;
      }
      try (DirectoryStream<Path> links = Files.newDirectoryStream(folder)) {
        for (Path link : links) {
          if (link.toRealPath().equals(Path.of(path).toRealPath())) {
            names.add(link.toString());
          }
        }
      } catch (IOException e) {
        // the folder or a link went away while we looked: the port has no such name now
      }
    }
    return names;
  }

  /** Names the processes that have the device open, where the system lets us look. */
  private static List<String> holders(Path device) {
    return ProcessHandle.allProcesses()
        .filter(process -> holds(process, device))
        .map(SerialPorts::inWords)
        .limit(MOST_HOLDERS)
        .toList();
  }

  private static String inWords(ProcessHandle process) {
    if (process.pid() == ProcessHandle.current().pid()) {
      return "this program itself (another station?)";
    }
    return "process %d (%s)".formatted(process.pid(), process.info().command().orElse("unknown"));
  }

  private static boolean holds(ProcessHandle process, Path device) {
    Path descriptors = Path.of("/proc", Long.toString(process.pid()), "fd");
    if (!Files.isReadable(descriptors)) {
      return false;
    }
    try (Stream<Path> open = Files.list(descriptors)) {
      return open.anyMatch(descriptor -> leadsTo(descriptor, device));
    } catch (IOException | UncheckedIOException e) {
      return false; // it ended meanwhile, also while its list was read, or is not ours to look at
    }
  }

  private static boolean leadsTo(Path descriptor, Path device) {
    try {
      return Files.readSymbolicLink(descriptor).equals(device);
    } catch (IOException e) {
      return false;
    }
  }
}
