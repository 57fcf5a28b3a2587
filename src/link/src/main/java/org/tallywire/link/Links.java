package org.tallywire.link;

import com.fazecast.jSerialComm.SerialPort;
import java.net.Socket;
import java.nio.file.Path;
import java.util.HashMap;
import java.util.IdentityHashMap;
import java.util.List;
import java.util.Map;
import org.tallywire.api.Link;
import org.tallywire.api.LinkAddress;
import org.tallywire.api.LinkException;

/** Opens links by their address and lists the serial ports. Safe for use by many threads. */
public final class Links implements AutoCloseable {

  private final Path nativeFolder;
  private final Path lockFolder;
  private final Map<LinkAddress.TcpListener, TcpCallers> callers = new HashMap<>();

  /** By the address object itself: two stations may play the same file, each for itself. */
  private final IdentityHashMap<LinkAddress.Recording, RecordingLink.Place> played =
      new IdentityHashMap<>();

  /**
   * Makes no file yet.
   *
   * @param nativeFolder a private folder into which the serial library unpacks its native part; it
   *     would otherwise use a folder that every local account can write to
   */
  public Links(Path nativeFolder) {
    this(nativeFolder, PortLock.FOLDER);
  }

  Links(Path nativeFolder, Path lockFolder) {
    this.nativeFolder = nativeFolder;
    this.lockFolder = lockFolder;
  }

  /**
   * Opens a link; each call opens it anew, in a few seconds at most. Where others call, their port
   * stays open between two openings, for {@link TcpCallers#LINGER} at most. A recording goes on
   * where the last link to the same address object stood.
   *
   * @throws LinkException with a code and a sentence that says what to do
   */
  public Link open(LinkAddress address) throws LinkException {
    if (address instanceof LinkAddress.Serial serial) {
      SerialLibrary.load(nativeFolder);
      return SerialLink.open(serial, lockFolder);
    }
    if (address instanceof LinkAddress.Tcp tcp) {
      return TcpLink.open(tcp);
    }
    if (address instanceof LinkAddress.TcpListener listener) {
      return callers(listener).open();
    }
    if (address instanceof LinkAddress.NetworkSerial serial) {
      return NetworkSerialLink.open(serial);
    }
    if (address instanceof LinkAddress.Program program) {
      return ProgramLink.open(program);
    }
    if (address instanceof LinkAddress.Recording recording) {
      return RecordingLink.open(recording, place(recording));
    }
    throw new IllegalStateException("no kind of link is left: " + address);
  }

  private TcpCallers callers(LinkAddress.TcpListener address) throws LinkException {
    synchronized (callers) {
      TcpCallers known = callers.get(address);
      if (known == null || known.isClosed()) {
        known = TcpCallers.listen(address);
        callers.put(address, known);
      }
      return known;
    }
  }

  private RecordingLink.Place place(LinkAddress.Recording address) {
    synchronized (played) {
      return played.computeIfAbsent(address, first -> new RecordingLink.Place());
    }
  }

  /** Frees the ports at which others call, and ends their links. Links of other kinds stay. */
  @Override
  public void close() {
    synchronized (callers) {
      callers.values().forEach(TcpCallers::close);
      callers.clear();
    }
  }

  /**
   * Makes a link of a TCP connection that the other side opened; closing the link closes it.
   *
   * @param name what messages call it
   * @throws LinkException if it is gone already
   */
  public static Link accepted(Socket socket, String name) throws LinkException {
    return TcpLink.accepted(socket, name);
  }

  /** Lists the serial ports that the machine has now, by their device path. */
  public List<SerialPortDescription> serialPorts() {
    SerialLibrary.load(nativeFolder);
    return SerialPorts.list();
  }

  /**
   * Lets a thread run when the process is told to end, before the serial library closes its ports
   * by itself, so that a planned end does not look like an unplugged adapter.
   */
  public void atExit(Thread hook) {
    SerialLibrary.load(nativeFolder);
    SerialPort.addShutdownHook(hook);
  }
}
