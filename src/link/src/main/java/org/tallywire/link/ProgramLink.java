package org.tallywire.link;

import java.io.IOException;
import java.io.InputStream;
import java.io.OutputStream;
import java.nio.file.Files;
import java.time.Duration;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.atomic.AtomicBoolean;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Link;
import org.tallywire.api.LinkAddress;
import org.tallywire.api.LinkException;

/**
 * A program as a link: what it prints is what came, what it reads is what was sent. It is started
 * at the opening, without a shell, and ended with all that it started at the close. It is to end by
 * itself when its standard input ends: that is all it hears of a bridge that was killed.
 */
final class ProgramLink implements Link {

  private static final int ROOM = 64 * 1024;
  private static final long EXIT_WAIT_MS = 500;
  private static final Duration START_LIMIT = Duration.ofSeconds(5);
  private static final Duration CLOSE_LIMIT = Duration.ofSeconds(3);

  private final LinkAddress.Program address;
  private final Process process;
  private final ProgramFamily family;
  private final OutputStream toProgram;
  private final BoundedWrite writer;
  private final Incoming incoming = new Incoming(ROOM);
  private final ProgramErrors errors;
  private final Thread reader;
  private final AtomicBoolean closed = new AtomicBoolean();
  private long goneAt;

  private ProgramLink(LinkAddress.Program address, Process process) {
    this.address = address;
    this.process = process;
    this.family = new ProgramFamily(process);
    this.toProgram = process.getOutputStream();
    this.writer = new BoundedWrite(address.toString());
    this.errors = new ProgramErrors(address.toString(), process.getErrorStream());
    this.reader = new Thread(() -> pump(process.getInputStream()), "read " + address);
    reader.setDaemon(true);
  }

  static ProgramLink open(LinkAddress.Program address) throws LinkException {
    if (!Files.isDirectory(address.folder())) {
      throw new LinkException(
          FaultCode.LINK_NOT_FOUND,
          "starting the %s: there is no folder %s".formatted(address, address.folder()));
    }
    try {
      Process process =
          new ProcessBuilder(address.command()).directory(address.folder().toFile()).start();
      ProgramLink link = new ProgramLink(address, process);
      link.errors.start();
      link.reader.start();
      return link;
    } catch (IOException e) {
      String said = String.valueOf(e.getMessage());
      boolean forbidden = said.contains("error=13");
      throw new LinkException(
          forbidden ? FaultCode.LINK_FORBIDDEN : FaultCode.LINK_NOT_FOUND,
          "starting the %s: %s"
              .formatted(
                  address,
                  forbidden
                      ? "this account may not run \"%s\"; is it marked as executable?"
                          .formatted(address.command().get(0))
                      : said),
          e);
    }
  }

  private void pump(InputStream from) {
    byte[] buffer = new byte[4096];
    try (InputStream in = from) {
      int count = in.read(buffer);
      while (count >= 0 && incoming.put(buffer, count)) {
        count = in.read(buffer);
      }
      incoming.end(why());
    } catch (IOException e) {
      incoming.end("its output cannot be read: " + e.getMessage());
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
      incoming.end("interrupted");
    }
  }

  /** Says how it ended, as it looks shortly after the end of its output. */
  private String why() throws InterruptedException {
    if (!process.waitFor(EXIT_WAIT_MS, TimeUnit.MILLISECONDS)) {
      return "it closed its standard output, and runs on";
    }
    errors.awaitEnd(EXIT_WAIT_MS);
    String last = errors.last();
    return "the program ended with exit code %d; %s"
        .formatted(
            process.exitValue(),
            last.isEmpty() ? "it said nothing about it" : "the last it said: " + last);
  }

  /**
   * Waits until the program has said its first, which is kept: it may take long to start, and is
   * not to be given up and started again meanwhile. One that waits to be asked costs the limit.
   */
  @Override
  public void settle() throws LinkException {
    try {
      incoming.await(START_LIMIT);
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
      throw lost("interrupted");
    }
    if (incoming.isClosed()) {
      throw lost("it was closed");
    }
  }

  @Override
  public int read(byte[] buffer, Duration wait) throws LinkException {
    family.look();
    try {
      int count = incoming.take(buffer, wait);
      if (incoming.isClosed()) {
        throw lost("it was closed");
      }
      if (count > 0) {
        return count;
      }
      noticeEnd();
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
      throw lost("interrupted");
    }
    String end = incoming.ended();
    if (end != null) {
      throw lost(end);
    }
    return 0;
  }

  /** A child that lives on may hold the output open: then its end says nothing. */
  private void noticeEnd() throws InterruptedException {
    if (process.isAlive()) {
      return;
    }
    long now = System.nanoTime();
    if (goneAt == 0) {
      goneAt = now;
    } else if (now - goneAt > TimeUnit.MILLISECONDS.toNanos(2 * EXIT_WAIT_MS)) {
      incoming.end(why());
    }
  }

  private LinkException lost(String why) {
    return new LinkException(FaultCode.LINK_LOST, "reading the %s: %s".formatted(address, why));
  }

  @Override
  public void write(byte[] bytes) throws LinkException {
    if (closed.get()) {
      throw new LinkException(
          FaultCode.LINK_LOST, "writing to the %s: it is closed".formatted(address));
    }
    writer.run(
        bytes.length,
        () -> {
          toProgram.write(bytes);
          toProgram.flush();
          return bytes.length;
        });
  }

  @Override
  public void close() {
    if (!closed.getAndSet(true)) {
      incoming.close();
      BoundedClose.run(address.toString(), CLOSE_LIMIT, this::closeInOrder);
    }
  }

  private void closeInOrder() {
    family.look(true);
    writer.closeAfter(this::closeInput); // not here: it waits for a write that nobody takes
    family.end();
    writer.close();
  }

  private void closeInput() {
    try {
      toProgram.close();
    } catch (IOException e) {
      // it has ended already and takes no more
    }
  }
}
