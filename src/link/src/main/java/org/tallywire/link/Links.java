package org.tallywire.link;

import com.fazecast.jSerialComm.SerialPort;
import java.net.Socket;
import java.nio.file.Path;
import java.util.List;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Link;
import org.tallywire.api.LinkAddress;
import org.tallywire.api.LinkException;

/** Opens links by their address and lists the serial ports. Safe for use by many threads. */
public final class Links {

  private final Path nativeFolder;
  private final Path lockFolder;

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
   * Opens a link; each call opens it anew.
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
    throw new LinkException(
        FaultCode.LINK_REFUSED, "opening %s: this version does not know how".formatted(address));
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
