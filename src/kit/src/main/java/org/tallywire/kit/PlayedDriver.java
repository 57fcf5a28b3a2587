package org.tallywire.kit;

import java.io.ByteArrayOutputStream;
import java.time.Duration;
import java.util.ArrayList;
import java.util.EnumSet;
import java.util.List;
import java.util.Set;
import org.jspecify.annotations.Nullable;
import org.tallywire.api.Command;
import org.tallywire.api.Driver;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Frame;
import org.tallywire.api.FrameException;
import org.tallywire.api.Framer;
import org.tallywire.api.LinkException;
import org.tallywire.api.Session;

/**
 * A driver over a link that the check plays, in virtual time and as the bridge would run it. Used
 * by one thread.
 */
final class PlayedDriver implements Framer.Sink {

  private static final int MOST_TICKS_AT_ONCE = 20;
  private static final Duration MOMENT = Duration.ofMillis(1);
  private static final Duration NEVER = Duration.ofHours(25);
  private static final Set<FaultCode> HOPELESS =
      EnumSet.of(FaultCode.VERSION_REFUSED, FaultCode.CONTRADICTION);

  final ManualTime time = new ManualTime();
  final RecordingHost host = new RecordingHost(time);
  final List<FrameException> faults = new ArrayList<>();
  final List<LinkException> ends = new ArrayList<>();
  final List<Command> commands = new ArrayList<>();

  private final Driver driver;
  private final CallWatch watch;
  private final ByteArrayOutputStream sent = new ByteArrayOutputStream();
  private final List<Object> cut = new ArrayList<>();
  private @Nullable Framer framer;
  private @Nullable Session session;
  private boolean over;
  private int ticksAtOnce;

  /** Plays the driver; its link is not open yet. */
  PlayedDriver(Driver driver, CallWatch watch) {
    this.driver = driver;
    this.watch = watch;
  }

  /** What a driver is called for. */
  private interface Call {
    void run() throws FrameException, LinkException;
  }

  /** Opens the link, or opens it anew. */
  void open() throws RuleBroken {
    over = false;
    ticksAtOnce = 0;
    sent.reset();
    call("newFramer", () -> framer = driver.newFramer());
    call("open", () -> session = driver.open(host));
    call("start", () -> session().start());
  }

  /** Tells whether the session ended the link, or gave the instrument up. */
  boolean isOver() {
    return over;
  }

  int limit() {
    return framer().limit();
  }

  /** Lets bytes arrive in one piece. */
  void arrive(byte[] bytes) throws RuleBroken {
    call("feed", () -> framer().feed(bytes, bytes.length, time.now(), this));
    List<Object> all = List.copyOf(cut);
    cut.clear();
    for (Object one : all) {
      if (over) {
        return;
      }
      if (one instanceof Frame frame) {
        if (frame.bytes().length > limit()) {
          throw new RuleBroken(
              DriverRule.TOO_LONG,
              "a frame of %d bytes came out of a framer whose limit is %d"
                  .formatted(frame.bytes().length, limit()));
        }
        call("frame", () -> session().frame(frame));
      } else {
        faults.add((FrameException) one);
      }
    }
    if (!over) {
      call("durable", () -> session().durable());
    }
  }

  /** Lets time pass until the session is due and lets it act; false if it is never due. */
  boolean tick() throws RuleBroken {
    long wait = untilDue();
    if (wait > NEVER.toNanos()) {
      return false;
    }
    time.pass(Duration.ofNanos(Math.max(0, wait)));
    call("tick", () -> session().tick());
    if (!over && untilDue() <= 0) {
      if (++ticksAtOnce == MOST_TICKS_AT_ONCE) {
        throw new RuleBroken(
            DriverRule.NEXT_TICK,
            "%d ticks in a row left nextTick at a time that was over already: the bridge would spin"
                .formatted(ticksAtOnce));
      }
      time.pass(MOMENT);
    } else {
      ticksAtOnce = 0;
    }
    return true;
  }

  /** Lets time pass, with every tick that falls due. */
  void pass(Duration duration) throws RuleBroken {
    long end = time.nanos() + duration.toNanos();
    while (!over && untilDue() <= end - time.nanos() && tick()) {
      // each tick is a step
    }
    time.pass(Duration.ofNanos(Math.max(0, end - time.nanos())));
  }

  private long untilDue() throws RuleBroken {
    long[] due = new long[1];
    call("nextTick", () -> due[0] = session().nextTick());
    return due[0] == Long.MAX_VALUE ? Long.MAX_VALUE : due[0] - time.nanos();
  }

  /** Returns what was sent since the last call. */
  byte[] takeSent() {
    byte[] bytes = sent.toByteArray();
    sent.reset();
    return bytes;
  }

  private void call(String name, Call call) throws RuleBroken {
    watch.begin(name);
    long spent = 0;
    try {
      call.run();
    } catch (FrameException e) {
      faults.add(e);
      over |= HOPELESS.contains(e.code());
    } catch (LinkException e) {
      ends.add(e);
      over = true;
    } catch (RecordingHost.NotIdentified e) {
      throw new RuleBroken(DriverRule.IDENTIFIED, String.valueOf(e.getMessage()));
    } catch (RuntimeException | StackOverflowError | LinkageError e) {
      throw new RuleBroken(DriverRule.EXCEPTIONS, "%s threw %s".formatted(name, where(e)));
    } finally {
      spent = watch.end();
    }
    if (spent > CallWatch.LONGEST.toNanos()) {
      throw new RuleBroken(
          DriverRule.TIME, "%s took %.1f s of processor time".formatted(name, spent / 1e9));
    }
    for (Command command : host.takeCommands()) {
      commands.add(command);
      sent.writeBytes(command.bytes());
    }
  }

  /** Returns an exception with the place in the driver that it came from. */
  private static String where(Throwable e) {
    for (StackTraceElement element : e.getStackTrace()) {
      if (!element.getClassName().startsWith("java.")) {
        return "%s at %s".formatted(e, element);
      }
    }
    return e.toString();
  }

  @Override
  public void frame(Frame frame) {
    cut.add(frame);
  }

  @Override
  public void fault(FrameException fault) {
    cut.add(fault);
  }

  private Framer framer() {
    Framer of = framer;
    if (of == null) {
      throw new IllegalStateException("newFramer gave none, or the link is not open");
    }
    return of;
  }

  private Session session() {
    Session of = session;
    if (of == null) {
      throw new IllegalStateException("open gave no session, or the link is not open");
    }
    return of;
  }
}
