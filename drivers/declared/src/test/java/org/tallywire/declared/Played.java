package org.tallywire.declared;

import java.io.ByteArrayOutputStream;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Random;
import org.tallywire.api.Driver;
import org.tallywire.api.Example;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Frame;
import org.tallywire.api.FrameException;
import org.tallywire.api.Framer;
import org.tallywire.api.LinkException;
import org.tallywire.api.Session;
import org.tallywire.kit.ManualTime;
import org.tallywire.kit.RecordingHost;

/** A driver, a host that writes down, and a meter that the test plays, in virtual time. */
final class Played {

  final ManualTime time = new ManualTime();
  final RecordingHost host;
  final List<FrameException> faults = new ArrayList<>();
  private final Driver driver;
  private final ByteArrayOutputStream sent = new ByteArrayOutputStream();
  private Framer framer;
  private Session session;

  Played(Driver driver) throws LinkException {
    this.driver = driver;
    this.host = new RecordingHost(time);
    open();
  }

  static Played of(String yaml) throws Exception {
    return new Played(DeclaredFile.parse("test.yaml", yaml));
  }

  /** Opens the link, or opens it anew: the host's notes stay. */
  void open() throws LinkException {
    framer = driver.newFramer();
    session = driver.open(host);
    session.start();
    takeSent();
  }

  void arrives(String text) throws LinkException {
    arrives(text.getBytes(StandardCharsets.ISO_8859_1));
  }

  void arrives(byte[] bytes) throws LinkException {
    List<Object> cut = new ArrayList<>();
    framer.feed(
        bytes,
        bytes.length,
        time.now(),
        new Framer.Sink() {
          @Override
          public void frame(Frame frame) {
            cut.add(frame);
          }

          @Override
          public void fault(FrameException fault) {
            cut.add(fault);
          }
        });
    for (Object one : cut) {
      try {
        if (one instanceof Frame frame) {
          session.frame(frame);
        } else {
          throw (FrameException) one;
        }
      } catch (FrameException e) {
        faults.add(e);
      }
    }
    session.durable();
    takeSent();
  }

  /** Lets time pass, with every tick that falls due. */
  void pass(Duration duration) throws LinkException {
    long end = time.nanos() + duration.toNanos();
    while (session.nextTick() != Long.MAX_VALUE && session.nextTick() <= end) {
      time.pass(Duration.ofNanos(Math.max(0, session.nextTick() - time.nanos())));
      long due = session.nextTick();
      session.tick();
      takeSent();
      if (session.nextTick() <= due) {
        time.pass(Duration.ofNanos(1));
      }
    }
    time.pass(Duration.ofNanos(Math.max(0, end - time.nanos())));
  }

  private void takeSent() {
    host.takeSent().forEach(s -> sent.writeBytes(s.getBytes(StandardCharsets.ISO_8859_1)));
  }

  /** Returns what was sent since the last call. */
  String sent() {
    String text = sent.toString(StandardCharsets.ISO_8859_1);
    sent.reset();
    return text;
  }

  List<FaultCode> faultCodes() {
    return faults.stream().map(FrameException::code).toList();
  }

  /** Plays an example, each answer in pieces of random lengths. */
  void play(Example example, Random random) throws LinkException {
    for (Example.Turn turn : example.turns()) {
      String asked = new String(turn.asked(), StandardCharsets.ISO_8859_1);
      if (!asked.isEmpty()) {
        String said = sent();
        if (!said.equals(asked)) {
          throw new AssertionError(
              "the example waits for \"%s\", and \"%s\" was sent"
                  .formatted(Bytes.written(asked), Bytes.written(said)));
        }
      }
      int from = 0;
      while (from < turn.answer().length) {
        int to = Math.min(turn.answer().length, from + 1 + random.nextInt(20));
        arrives(Arrays.copyOfRange(turn.answer(), from, to));
        from = to;
      }
    }
  }
}
