package org.tallywire.link;

import java.time.Duration;
import java.util.ArrayDeque;
import java.util.Arrays;
import java.util.HexFormat;
import java.util.Queue;
import java.util.function.BooleanSupplier;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Link;
import org.tallywire.api.LinkAddress;
import org.tallywire.api.LinkException;

/**
 * A serial port of a server on the network as a link: Telnet with the COM-PORT-OPTION (RFC 2217).
 * Each setting must be confirmed by the server as it was asked for; flow control and control lines
 * may go unconfirmed, as with some servers, which is logged.
 */
final class NetworkSerialLink implements Link {

  private static final Logger log = LoggerFactory.getLogger(NetworkSerialLink.class);
  private static final Duration AGREE_LIMIT = Duration.ofSeconds(2);
  private static final Duration CONFIRM_LIMIT = Duration.ofSeconds(1);
  private static final Duration CONTROL_LIMIT = Duration.ofMillis(300);
  private static final Duration SUSPENDED_LIMIT = Duration.ofSeconds(2);
  private static final int MOST_PENDING = 64 * 1024;
  private static final int MOST_ANSWERS = 64;

  private final LinkAddress.NetworkSerial address;
  private final TcpLink tcp;
  private final TelnetOptions options = new TelnetOptions();
  private final Telnet telnet = new Telnet(new Heard());
  private final Queue<byte[]> answers = new ArrayDeque<>();
  private final LineClock line;
  private byte[] pending = {};
  private boolean suspended;
  private boolean echoed;

  private NetworkSerialLink(LinkAddress.NetworkSerial address, TcpLink tcp) {
    this.address = address;
    this.tcp = tcp;
    this.line = new LineClock(address.settings());
  }

  static NetworkSerialLink open(LinkAddress.NetworkSerial address) throws LinkException {
    TcpLink tcp = TcpLink.open(new LinkAddress.Tcp(address.host(), address.port()));
    boolean open = false;
    try {
      NetworkSerialLink link = new NetworkSerialLink(address, tcp);
      link.agree();
      link.set();
      link.pending = new byte[0]; // it came before the line was as it should be
      open = true;
      return link;
    } finally {
      if (!open) {
        tcp.close();
      }
    }
  }

  /** Agrees upon bytes as they are, both ways, and upon the option itself. */
  private void agree() throws LinkException {
    options.offer(TelnetOptions.COM_PORT);
    options.offer(TelnetOptions.BINARY);
    options.ask(TelnetOptions.BINARY);
    options.offer(TelnetOptions.SUPPRESS_GO_AHEAD);
    options.ask(TelnetOptions.SUPPRESS_GO_AHEAD);
    answerOptions();
    await(
        AGREE_LIMIT,
        () ->
            options.isRefused(TelnetOptions.COM_PORT)
                || options.isRefused(TelnetOptions.BINARY)
                || (options.isOurs(TelnetOptions.COM_PORT) && isBinary()));
    if (!options.isOurs(TelnetOptions.COM_PORT)) {
      throw refused(
          "this server does not lend a serial port with its settings (it %s Telnet's"
                  .formatted(
                      options.isRefused(TelnetOptions.COM_PORT) ? "refuses" : "does not answer")
              + " COM-PORT-OPTION, RFC 2217); if it hands on bytes as they are, use tcp in place of"
              + " rfc2217 and set speed and parity at the server");
    }
    if (!isBinary()) {
      throw refused(
          "this server does not let all bytes through (it does not agree to Telnet's BINARY"
              + " option); set it to binary or raw");
    }
  }

  private boolean isBinary() {
    return options.isOurs(TelnetOptions.BINARY) && options.isTheirs(TelnetOptions.BINARY);
  }

  private void set() throws LinkException {
    tcp.write(ComPort.purge());
    tcp.write(ComPort.command(ComPort.SET_LINESTATE_MASK, (byte) 0)); // nobody looks at them
    tcp.write(ComPort.command(ComPort.SET_MODEMSTATE_MASK, (byte) 0));
    for (ComPort.Setting setting : ComPort.line(address.settings())) {
      if (!isSet(setting, CONFIRM_LIMIT)) {
        throw refused(
            echoed
                ? "what is connected there sends back what it gets, and is no such server; if it is"
                    + " to be so, use tcp in place of rfc2217"
                : "the server does not confirm %s".formatted(setting.words()));
      }
    }
    for (ComPort.Setting setting : ComPort.control(address.settings(), address.lines())) {
      if (!isSet(setting, CONTROL_LIMIT)) {
        log.warn(
            "{}: the server does not confirm {}; it may stand otherwise", address, setting.words());
      }
    }
  }

  /**
   * Asks for a setting; tells whether it was confirmed in time.
   *
   * @throws LinkException if the server says that it is otherwise
   */
  private boolean isSet(ComPort.Setting setting, Duration limit) throws LinkException {
    answers.clear();
    tcp.write(setting.bytes());
    int wanted = setting.command() + ComPort.FROM_SERVER;
    await(limit, () -> answers.stream().anyMatch(answer -> code(answer) == wanted));
    for (byte[] answer : answers) {
      if (code(answer) == wanted) {
        byte[] value = Arrays.copyOfRange(answer, 2, answer.length);
        if (!setting.isConfirmedBy(value)) {
          throw refused(
              "the server does not set %s; it answers that it has %s"
                  .formatted(setting.words(), inWords(value)));
        }
        return true;
      }
    }
    return false;
  }

  private static String inWords(byte[] value) {
    if (value.length == 1 || value.length == Integer.BYTES) {
      return Long.toString(HexFormat.fromHexDigitsToLong(HexFormat.of().formatHex(value)));
    }
    return VisibleBytes.of(value, Math.min(value.length, MOST_ANSWERS));
  }

  private static int code(byte[] answer) {
    return answer[1] & 0xFF;
  }

  private LinkException refused(String sentence) {
    return new LinkException(FaultCode.LINK_REFUSED, "opening %s: %s".formatted(address, sentence));
  }

  /** Reads until it is so, or the time is up; data that come meanwhile are kept. */
  private void await(Duration limit, BooleanSupplier isSo) throws LinkException {
    long deadline = System.nanoTime() + limit.toNanos();
    byte[] buffer = new byte[1024];
    while (!isSo.getAsBoolean() && System.nanoTime() - deadline < 0) {
      keep(buffer, receive(buffer, Duration.ofNanos(deadline - System.nanoTime())));
    }
  }

  private void keep(byte[] buffer, int count) throws LinkException {
    if (pending.length + count > MOST_PENDING) {
      throw new LinkException(
          FaultCode.LINK_LOST,
          "reading %s: %d bytes came while the server was to answer or to take bytes"
              .formatted(address, pending.length + count));
    }
    int before = pending.length;
    pending = Arrays.copyOf(pending, before + count);
    System.arraycopy(buffer, 0, pending, before, count);
  }

  /** Reads once and answers what is to be answered; returns how many bytes are data. */
  private int receive(byte[] buffer, Duration wait) throws LinkException {
    int data = telnet.decode(buffer, tcp.read(buffer, wait));
    answerOptions();
    return data;
  }

  private void answerOptions() throws LinkException {
    byte[] due = options.takeAnswers();
    if (due.length > 0) {
      tcp.write(due);
    }
  }

  @Override
  public void settle() throws LinkException {
    Duration settle = address.lines().settle();
    if (!settle.isZero()) {
      await(settle, () -> false);
      if (pending.length > 0) {
        log.info("{}: {} bytes came while it settled and are no data", address, pending.length);
      }
      pending = new byte[0];
    }
  }

  @Override
  public int read(byte[] buffer, Duration wait) throws LinkException {
    if (pending.length > 0) {
      int count = Math.min(buffer.length, pending.length);
      System.arraycopy(pending, 0, buffer, 0, count);
      pending = Arrays.copyOfRange(pending, count, pending.length);
      return count;
    }
    long deadline = System.nanoTime() + wait.toNanos();
    int count;
    do {
      count = receive(buffer, Duration.ofNanos(Math.max(0, deadline - System.nanoTime())));
      if (!isBinary()) {
        throw new LinkException(
            FaultCode.LINK_LOST,
            "reading %s: the server ended Telnet's BINARY option".formatted(address));
      }
    } while (count == 0 && System.nanoTime() - deadline < 0);
    return count;
  }

  @Override
  public void write(byte[] bytes) throws LinkException {
    await(SUSPENDED_LIMIT, () -> !suspended);
    if (suspended) {
      throw new LinkException(
          FaultCode.LINK_LOST,
          "writing %d bytes to %s: the server has said to wait, for %d ms now"
              .formatted(bytes.length, address, SUSPENDED_LIMIT.toMillis()));
    }
    tcp.write(Telnet.data(bytes));
    line.written(bytes.length);
  }

  @Override
  public void speed(int baud) throws LinkException {
    await(line.busy(), () -> false);
    try {
      if (isSet(ComPort.speed(baud), CONFIRM_LIMIT)) {
        line.speed(baud);
        return;
      }
    } catch (LinkException e) {
      throw new LinkException(FaultCode.LINK_LOST, String.valueOf(e.getMessage()), e);
    }
    throw new LinkException(
        FaultCode.LINK_LOST,
        "setting %s to %d baud: the server does not confirm it".formatted(address, baud));
  }

  @Override
  public void close() {
    tcp.close();
  }

  /** Takes what the server says beside data. */
  private final class Heard implements Telnet.Listener {

    @Override
    public void option(int verb, int option) {
      options.came(verb, option);
    }

    @Override
    public void subnegotiation(byte[] body) {
      if (body.length < 2 || (body[0] & 0xFF) != TelnetOptions.COM_PORT) {
        return;
      }
      switch (code(body)) {
        case ComPort.FLOWCONTROL_SUSPEND + ComPort.FROM_SERVER -> suspended = true;
        case ComPort.FLOWCONTROL_RESUME + ComPort.FROM_SERVER -> suspended = false;
        default -> {
          echoed |= code(body) < ComPort.FROM_SERVER;
          if (answers.size() < MOST_ANSWERS) {
            answers.add(body);
          }
        }
      }
    }
  }
}
