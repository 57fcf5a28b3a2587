package org.tallywire.bridge;

import java.time.Duration;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import org.tallywire.api.Command;
import org.tallywire.api.Driver;
import org.tallywire.api.Example.Turn;
import org.tallywire.api.Frame;
import org.tallywire.api.FrameException;
import org.tallywire.api.Framer;
import org.tallywire.api.LinkException;
import org.tallywire.api.Reading;
import org.tallywire.api.Session;
import org.tallywire.kit.ManualTime;
import org.tallywire.kit.RecordingHost;

/** Plays what a meter said to a driver that was guessed from it. */
final class GuessPlay implements Framer.Sink {

  private static final int MOST_TICKS = 200;

  private final ManualTime time = new ManualTime();
  private final RecordingHost host = new RecordingHost(time);
  private final Framer framer;
  private final Session session;
  private final List<Object> cut = new ArrayList<>();
  private final List<FrameException> faults = new ArrayList<>();
  private final List<Turn> played = new ArrayList<>();

  GuessPlay(Driver driver) {
    this.framer = driver.newFramer();
    this.session = driver.open(host);
  }

  List<Reading> readings() {
    return host.readings();
  }

  List<FrameException> faults() {
    return faults;
  }

  /** Returns the turns in the order in which the driver asked for them. */
  List<Turn> played() {
    return played;
  }

  /** Plays lines that nobody asked for, as behind the end of one before. */
  void listen(byte[] lines) throws LinkException {
    session.start();
    arrive(new byte[] {'\r', '\n'});
    arrive(lines);
  }

  /** Answers what the driver asks, each question with its turns in their order, so many in all. */
  void answer(List<Turn> turns, int most) throws LinkException {
    List<Turn> left = new ArrayList<>(turns);
    session.start();
    for (int tick = 0; tick < MOST_TICKS && played.size() < most; tick++) {
      List<Command> commands = host.takeCommands();
      for (Command command : commands) {
        Turn next =
            left.stream()
                .filter(turn -> Arrays.equals(turn.asked(), command.bytes()))
                .findFirst()
                .orElse(null);
        if (next == null) {
          return;
        }
        left.remove(next);
        played.add(next);
        arrive(next.answer());
      }
      if (!commands.isEmpty()) {
        continue; // the answer may have brought the next question
      }
      if (session.nextTick() == Long.MAX_VALUE) {
        return;
      }
      time.pass(Duration.ofNanos(Math.max(0, session.nextTick() - time.nanos())));
      session.tick();
    }
  }

  private void arrive(byte[] bytes) throws LinkException {
    framer.feed(bytes, bytes.length, time.now(), this);
    List<Object> all = List.copyOf(cut);
    cut.clear();
    for (Object one : all) {
      try {
        if (one instanceof Frame frame) {
          session.frame(frame);
        } else if (one instanceof FrameException fault) {
          faults.add(fault);
        }
      } catch (FrameException e) {
        faults.add(e);
      }
    }
    session.durable();
  }

  @Override
  public void frame(Frame frame) {
    cut.add(frame);
  }

  @Override
  public void fault(FrameException fault) {
    cut.add(fault);
  }
}
