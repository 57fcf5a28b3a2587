package org.tallywire.link;

import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.InputStream;
import java.io.OutputStream;
import java.net.InetAddress;
import java.net.ServerSocket;
import java.net.Socket;
import java.util.HashSet;
import java.util.Map;
import java.util.Set;
import java.util.concurrent.ConcurrentHashMap;
import org.jspecify.annotations.Nullable;

/**
 * The server's side of RFC 2217 over Telnet, written from the RFCs and sharing nothing with the
 * client: a serial port that is only a memory of its settings. It can be told to be of the bad
 * kind.
 */
final class ComPortServer implements AutoCloseable {

  private static final int OPTION = 44;

  /** How a server may be. */
  enum Kind {
    GOOD,
    /** Answers nothing, like one that hands on bytes as they are. */
    RAW,
    /** Sends back what it gets. */
    ECHO,
    /** Telnet, without the option. */
    PLAIN_TELNET,
    /** Will not have BINARY. */
    NO_BINARY,
    /** Never answers SET-CONTROL. */
    MUTE_CONTROL,
    /** Has one speed. */
    ONE_SPEED,
    /** Puts zeros behind the baud it answers. */
    ZEROS
  }

  private final Kind kind;
  private final ServerSocket server = new ServerSocket(0, 4, InetAddress.getLoopbackAddress());
  private final Map<Integer, byte[]> settings = new ConcurrentHashMap<>();
  private final ByteArrayOutputStream controls = new ByteArrayOutputStream();
  private final ByteArrayOutputStream data = new ByteArrayOutputStream();
  private final ByteArrayOutputStream wire = new ByteArrayOutputStream();
  private final Set<Integer> on = new HashSet<>();
  private @Nullable Socket client;

  ComPortServer(Kind kind) throws IOException {
    this.kind = kind;
    Thread thread = new Thread(this::serve, "com port server");
    thread.setDaemon(true);
    thread.start();
  }

  int port() {
    return server.getLocalPort();
  }

  /** Returns the value that a command set last. */
  byte @Nullable [] setting(int command) {
    return settings.get(command);
  }

  synchronized byte[] controls() {
    return controls.toByteArray();
  }

  /** Returns the data that came, as they go out of the serial port. */
  synchronized byte[] data() {
    return data.toByteArray();
  }

  /** Returns all bytes that came, as they were. */
  synchronized byte[] wire() {
    return wire.toByteArray();
  }

  /** Sends what the serial port has received. */
  void send(byte[] bytes) throws IOException {
    ByteArrayOutputStream out = new ByteArrayOutputStream();
    for (byte octet : bytes) {
      out.write(octet);
      if (octet == (byte) 255) {
        out.write(255);
      }
    }
    raw(out.toByteArray());
  }

  /** Sends bytes as they are. */
  synchronized void raw(byte[] bytes) throws IOException {
    Socket to = client;
    if (to == null) {
      throw new IOException("nobody is connected");
    }
    OutputStream out = to.getOutputStream();
    out.write(bytes);
    out.flush();
  }

  private void serve() {
    while (!server.isClosed()) {
      try (Socket socket = server.accept()) {
        synchronized (this) {
          client = socket;
          on.clear();
        }
        talk(socket.getInputStream());
      } catch (IOException e) {
        // the client went, or the server was closed
      }
    }
  }

  private void talk(InputStream in) throws IOException {
    int octet = next(in);
    while (octet >= 0) {
      if (kind == Kind.RAW || kind == Kind.ECHO) {
        if (kind == Kind.ECHO) {
          raw(new byte[] {(byte) octet});
        }
      } else if (octet != 255) {
        keep(octet);
      } else {
        command(in);
      }
      octet = next(in);
    }
  }

  private void command(InputStream in) throws IOException {
    int verb = next(in);
    switch (verb) {
      case 255 -> keep(255);
      case 250 -> subnegotiation(in);
      case 251, 252, 253, 254 -> option(verb, next(in));
      default -> {
        // nothing else matters here
      }
    }
  }

  private void subnegotiation(InputStream in) throws IOException {
    ByteArrayOutputStream body = new ByteArrayOutputStream();
    while (true) {
      int octet = next(in);
      if (octet == 255) {
        int behind = next(in);
        if (behind == 240 || behind < 0) {
          break;
        }
        octet = behind;
      }
      body.write(octet);
    }
    byte[] got = body.toByteArray();
    if (got.length >= 2 && got[0] == OPTION) {
      byte[] value = java.util.Arrays.copyOfRange(got, 2, got.length);
      set(got[1], value);
    }
  }

  private void set(int command, byte[] value) throws IOException {
    byte[] answer = value;
    if (command == 1 && kind == Kind.ONE_SPEED) {
      answer = new byte[] {0, 0, 0x25, (byte) 0x80}; // 9600
    }
    if (command == 1 && kind == Kind.ZEROS) {
      answer = java.util.Arrays.copyOf(value, 8);
    }
    settings.put(command, value);
    if (command == 5) {
      synchronized (this) {
        controls.writeBytes(value);
      }
      if (kind == Kind.MUTE_CONTROL) {
        return;
      }
    }
    say(command + 100, answer);
  }

  /** Sends a command of the server's. */
  void say(int command, byte... value) throws IOException {
    ByteArrayOutputStream out = new ByteArrayOutputStream();
    out.writeBytes(new byte[] {(byte) 255, (byte) 250, OPTION, (byte) command});
    for (byte octet : value) {
      out.write(octet);
      if (octet == (byte) 255) {
        out.write(255);
      }
    }
    out.writeBytes(new byte[] {(byte) 255, (byte) 240});
    raw(out.toByteArray());
  }

  /** RFC 854: an option that is so already is not answered. */
  private void option(int verb, int option) throws IOException {
    boolean will = verb == 251;
    if (!will && verb != 253) {
      return;
    }
    boolean wanted = option == 0 || option == 3 || option == OPTION;
    wanted &= option != 0 || kind != Kind.NO_BINARY;
    wanted &= option != OPTION || kind != Kind.PLAIN_TELNET;
    int yes = will ? 253 : 251;
    int no = will ? 254 : 252;
    if (!wanted || on.add(verb * 256 + option)) {
      raw(new byte[] {(byte) 255, (byte) (wanted ? yes : no), (byte) option});
    }
  }

  private synchronized void keep(int octet) {
    data.write(octet);
  }

  private int next(InputStream in) throws IOException {
    int octet = in.read();
    if (octet >= 0) {
      synchronized (this) {
        wire.write(octet);
      }
    }
    return octet;
  }

  @Override
  public void close() throws IOException {
    server.close();
    Socket open = client;
    if (open != null) {
      open.close();
    }
  }
}
