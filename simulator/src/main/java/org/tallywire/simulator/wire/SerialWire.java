package org.tallywire.simulator.wire;

import com.fazecast.jSerialComm.SerialPort;
import com.fazecast.jSerialComm.SerialPortInvalidPortException;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.concurrent.ExecutionException;
import java.util.concurrent.ExecutorService;
import java.util.concurrent.Executors;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.TimeoutException;
import java.util.concurrent.locks.LockSupport;
import java.util.function.Consumer;
import java.util.regex.Pattern;
import org.jspecify.annotations.Nullable;

/**
 * A serial port of this machine. A port that vanishes is told once by {@link #read} and opened
 * again, tried every second, until it is back.
 *
 * <p>Nothing tells whether anybody is at the other end, so it counts as attached while it is open.
 */
public final class SerialWire implements Wire {

  private static final long TRY_AGAIN_NANOS = 1_000_000_000L;
  private static final long WRITE_MILLIS = 2000;
  private static final long CLOSE_MILLIS = 2000;

  /** Between two looks for bytes; 23 bytes at 115200 baud. */
  private static final long LOOK_NANOS = 2_000_000L;

  /** The library's shortest; bytes are there before it is asked, so it does not wait. */
  private static final int LIBRARY_MILLIS = 100;

  private static final Pattern WINDOWS_NAME = Pattern.compile("COM[0-9]{1,3}");

  private final SerialSettings settings;
  private final Consumer<String> remark;
  private @Nullable SerialPort port;
  private @Nullable ExecutorService writer;
  private boolean pluggedIn;
  private boolean hooked;

  /** The process ends, and the library closes every port under way: no loss to speak of. */
  private volatile boolean ending;

  private int speed;
  private boolean lost;
  private long tryAgainAt;

  /**
   * A port that is not open yet.
   *
   * @param remark takes sentences for people
   */
  public SerialWire(SerialSettings settings, Consumer<String> remark) {
    this.settings = settings;
    this.speed = settings.baud();
    this.remark = remark;
  }

  @Override
  public void plugIn() throws IOException {
    port = open();
    pluggedIn = true;
    if (!hooked) {
      hooked = true;
      // The library runs these and waits for them before it closes its ports.
      SerialPort.addShutdownHook(new Thread(() -> ending = true, "ending " + settings.port()));
    }
  }

  private SerialPort open() throws IOException {
    check();
    SerialLibrary.load();
    SerialPort opened;
    try {
      opened = SerialPort.getCommPort(settings.port());
    } catch (SerialPortInvalidPortException unknown) {
      throw new IOException(noSuchPort(), unknown);
    }
    opened.setFlowControl(SerialPort.FLOW_CONTROL_DISABLED);
    boolean known =
        opened.setComPortParameters(speed, settings.dataBits(), settings.stopBits(), parity())
            && opened.setComPortTimeouts(SerialPort.TIMEOUT_READ_SEMI_BLOCKING, LIBRARY_MILLIS, 0);
    if (!known || !opened.openPort()) {
      throw new IOException(
          ("the serial port %s cannot be opened: another program has it open, or it does not take"
                  + " these settings (system error %d)")
              .formatted(settings, opened.getLastErrorCode()));
    }
    return opened;
  }

  /** The library would open any file. */
  private void check() throws IOException {
    if (WINDOWS_NAME.matcher(settings.port()).matches()) {
      return;
    }
    Path path = Path.of(settings.port());
    if (!Files.exists(path)) {
      throw new IOException(noSuchPort());
    }
    if (Files.isRegularFile(path) || Files.isDirectory(path)) {
      throw new IOException("%s is no serial port".formatted(path));
    }
    if (!Files.isReadable(path) || !Files.isWritable(path)) {
      throw new IOException(
          ("this account has no permission to open the serial port %s; on Linux the members of its"
                  + " group have, mostly \"dialout\"")
              .formatted(path));
    }
  }

  private String noSuchPort() {
    return "there is no serial port %s".formatted(settings.port());
  }

  private int parity() {
    return switch (settings.parity()) {
      case NONE -> SerialPort.NO_PARITY;
      case EVEN -> SerialPort.EVEN_PARITY;
      case ODD -> SerialPort.ODD_PARITY;
    };
  }

  @Override
  public String address() {
    return "serial " + settings.port();
  }

  @Override
  public boolean attached() {
    return port != null;
  }

  @Override
  public int read(byte[] into, int millis) throws IOException {
    if (lost) {
      lost = false;
      return -1;
    }
    SerialPort from = port;
    if (from == null) {
      pass(millis);
      tryAgain();
      return 0;
    }
    long deadline = System.nanoTime() + millis * 1_000_000L;
    while (true) {
      int there = from.bytesAvailable();
      int count = there > 0 ? from.readBytes(into, Math.min(there, into.length)) : there;
      long left = deadline - System.nanoTime();
      boolean over = left <= 0 || Thread.currentThread().isInterrupted();
      if (count < 0 || (over && !stillThere())) {
        lose("is gone");
        lost = false;
        return -1;
      }
      if (count > 0 || over) {
        return count;
      }
      LockSupport.parkNanos(Math.min(left, LOOK_NANOS));
    }
  }

  private boolean stillThere() {
    return WINDOWS_NAME.matcher(settings.port()).matches()
        || Files.exists(Path.of(settings.port()));
  }

  private void tryAgain() {
    if (!pluggedIn || ending || System.nanoTime() - tryAgainAt < 0) {
      return;
    }
    try {
      port = open();
      remark.accept("its serial port %s is open again".formatted(settings.port()));
    } catch (IOException notYet) {
      tryAgainAt = System.nanoTime() + TRY_AGAIN_NANOS;
    }
  }

  @Override
  public void speed(int baud) {
    SerialPort open = port;
    if (baud != speed && open != null) {
      speed = baud;
      if (!open.setBaudRate(baud)) {
        lose("does not take %d baud".formatted(baud));
      }
    }
  }

  /** A write to a port that takes nothing could last for ever, so it has a thread of its own. */
  @Override
  public void write(byte[] bytes, int offset, int length) {
    SerialPort to = port;
    if (to == null) {
      return;
    }
    byte[] sent = Arrays.copyOfRange(bytes, offset, offset + length);
    try {
      int written =
          writer()
              .submit(() -> to.writeBytes(sent, length))
              .get(WRITE_MILLIS, TimeUnit.MILLISECONDS);
      if (written != length) {
        lose("took %d of %d bytes".formatted(written, length));
      }
    } catch (TimeoutException stuck) {
      lose("takes nothing for %d ms".formatted(WRITE_MILLIS));
    } catch (ExecutionException failed) {
      lose("cannot be written to (%s)".formatted(failed.getCause()));
    } catch (InterruptedException interrupted) {
      Thread.currentThread().interrupt();
    }
  }

  private ExecutorService writer() {
    ExecutorService there = writer;
    if (there == null) {
      there = Executors.newSingleThreadExecutor(task -> daemon(task, "write "));
      writer = there;
    }
    return there;
  }

  private Thread daemon(Runnable task, String what) {
    Thread thread = new Thread(task, what + settings.port());
    thread.setDaemon(true);
    return thread;
  }

  private void lose(String why) {
    if (!ending) {
      remark.accept(
          "its serial port %s %s; it is opened again when that works"
              .formatted(settings.port(), why));
    }
    shut();
    lost = true;
    tryAgainAt = System.nanoTime() + TRY_AGAIN_NANOS;
  }

  /** The library's close can hang, so it too has a thread of its own. */
  private void shut() {
    SerialPort open = port;
    port = null;
    if (writer != null) {
      writer.shutdownNow();
      writer = null;
    }
    if (open == null) {
      return;
    }
    Thread closer = daemon(open::closePort, "close ");
    closer.start();
    try {
      closer.join(CLOSE_MILLIS);
    } catch (InterruptedException interrupted) {
      Thread.currentThread().interrupt();
    }
    if (closer.isAlive()) {
      remark.accept(
          "its serial port %s does not close within %d ms and is left"
              .formatted(settings.port(), CLOSE_MILLIS));
    }
  }

  @Override
  public void unplug() {
    pluggedIn = false;
    shut();
  }

  @Override
  public void close() {
    unplug();
  }
}
