package org.tallywire.link;

import java.io.IOException;
import java.io.InputStream;
import java.util.concurrent.TimeUnit;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;

/**
 * Reads what a program writes to its standard error and logs it line by line, a long line in part
 * and no more than so many lines a minute; the rest is counted. It reads on in any case: a program
 * must not wait because its complaints are not heard.
 */
final class ProgramErrors {

  private static final Logger log = LoggerFactory.getLogger(ProgramErrors.class);
  private static final int LONGEST = 200;
  private static final int MOST_A_MINUTE = 30;
  private static final long MINUTE = TimeUnit.MINUTES.toNanos(1);

  private final String name;
  private final InputStream from;
  private final Thread thread;
  private final byte[] line = new byte[LONGEST];
  private int length;
  private long minute = System.nanoTime();
  private int logged;
  private long passedOver;
  private volatile String last = "";

  ProgramErrors(String name, InputStream from) {
    this.name = name;
    this.from = from;
    this.thread = new Thread(this::read, "errors of " + name);
    thread.setDaemon(true);
  }

  void start() {
    thread.start();
  }

  /** Returns the last line that was complete, or ended with the program; empty if there is none. */
  String last() {
    return last;
  }

  /** Waits so long at most until the program writes no more. */
  void awaitEnd(long millis) throws InterruptedException {
    thread.join(millis);
  }

  private void read() {
    byte[] buffer = new byte[1024];
    try (InputStream in = from) {
      int count = in.read(buffer);
      while (count >= 0) {
        for (int i = 0; i < count; i++) {
          take(buffer[i]);
        }
        count = in.read(buffer);
      }
    } catch (IOException e) {
      log.debug("{}: its standard error: {}", name, e.toString());
    }
    line();
    tellPassedOver();
  }

  private void take(byte octet) {
    if (octet == '\n') {
      line();
    } else if (length < LONGEST && octet != '\r') {
      line[length] = octet;
      length++;
    }
  }

  private void line() {
    if (length == 0) {
      return;
    }
    String said = VisibleBytes.of(line, length) + (length == LONGEST ? "…" : "");
    length = 0;
    last = said;
    if (System.nanoTime() - minute > MINUTE) {
      minute = System.nanoTime();
      logged = 0;
      tellPassedOver();
    }
    if (logged < MOST_A_MINUTE) {
      logged++;
      log.info("{}: it says: {}", name, said);
    } else {
      passedOver++;
    }
  }

  private void tellPassedOver() {
    if (passedOver > 0) {
      log.info("{}: it said {} more lines, which are not here", name, passedOver);
      passedOver = 0;
    }
  }
}
