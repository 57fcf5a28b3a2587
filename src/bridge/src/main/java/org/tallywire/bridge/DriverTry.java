package org.tallywire.bridge;

import java.time.Duration;
import java.util.HashMap;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.TimeUnit;
import java.util.function.BooleanSupplier;
import org.jspecify.annotations.Nullable;
import org.tallywire.api.Command;
import org.tallywire.api.Driver;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Frame;
import org.tallywire.api.FrameException;
import org.tallywire.api.Gap;
import org.tallywire.api.Instrument;
import org.tallywire.api.Link;
import org.tallywire.api.LinkAddress;
import org.tallywire.api.LinkException;
import org.tallywire.api.Reading;
import org.tallywire.api.Session;
import org.tallywire.api.SessionHost;
import org.tallywire.api.TimeSource;

/** A driver's conversations with a meter, shown and not recorded. Used by one thread. */
final class DriverTry implements SessionHost, Exchange.Witness {

  private final Driver driver;
  private final LinkAddress address;
  private final Station.Opener opener;
  private final TimeSource time;
  private final TryView view;
  private final Map<String, String> notes = new HashMap<>();
  private final CountDownLatch woken = new CountDownLatch(1);
  private @Nullable Link link;
  private @Nullable LineSpeed line;
  private boolean identified;

  DriverTry(
      Driver driver, LinkAddress address, Station.Opener opener, TimeSource time, TryView view) {
    this.driver = driver;
    this.address = address;
    this.opener = opener;
    this.time = time;
    this.view = view;
  }

  /** Ends a pause; may come from any thread. */
  void wake() {
    woken.countDown();
  }

  /**
   * Goes on until it is stopped, the time is over or a recording is at its end; opens the link anew
   * when it is lost.
   *
   * @return false if the link could not be opened even once
   * @throws LinkException if so, with the reason
   */
  boolean run(BooleanSupplier stopped, Optional<Duration> limit) throws LinkException {
    long end = time.nanos() + limit.orElse(Duration.ZERO).toNanos();
    BooleanSupplier over =
        () -> stopped.getAsBoolean() || (limit.isPresent() && time.nanos() - end >= 0);
    BackOff backOff = new BackOff();
    boolean opened = false;
    while (!over.getAsBoolean()) {
      try (Link now = opener.open(address)) {
        opened = true;
        converse(new ShownLink(now, view), over);
      } catch (LinkException e) {
        if (!opened) {
          throw e;
        }
        if (over.getAsBoolean()) {
          break;
        }
        boolean played = address instanceof LinkAddress.Recording;
        view.down(e, played && e.code() == FaultCode.LINK_LOST);
        if (played && e.code() == FaultCode.LINK_LOST) {
          break;
        }
        pause(backOff.next());
      } catch (RuntimeException e) {
        view.broken(e);
        break;
      }
    }
    return opened;
  }

  private void pause(Duration pause) {
    try {
      woken.await(pause.toMillis(), TimeUnit.MILLISECONDS);
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
    }
  }

  private void converse(Link now, BooleanSupplier over) throws LinkException {
    link = now;
    identified = false;
    line = new LineSpeed(now, address);
    now.settle();
    Session session = driver.open(this);
    Exchange exchange = new Exchange(now, driver.newFramer(), session, time, this);
    session.start();
    view.flush();
    while (!over.getAsBoolean()) {
      if (exchange.read() > 0) {
        session.durable();
      }
      if (exchange.isDue()) {
        session.tick();
      }
      view.flush();
    }
  }

  @Override
  public void fault(FrameException fault) {
    view.fault(fault);
  }

  @Override
  public void frame(Frame frame) {
    view.frame(frame);
  }

  @Override
  public TimeSource time() {
    return time;
  }

  @Override
  public Duration lineTime(int bytes) {
    return open(line).time(bytes);
  }

  @Override
  public Map<String, String> notes() {
    return notes;
  }

  @Override
  public void send(Command command) throws LinkException {
    if (command.effect() == Command.Effect.MEASURE) {
      view.notSent(command);
    } else {
      open(link).write(command.bytes());
    }
  }

  /** A session acts only while its link is open. */
  private static <T> T open(@Nullable T part) {
    if (part == null) {
      throw new IllegalStateException("there is no link yet");
    }
    return part;
  }

  @Override
  public void speed(int baud) throws LinkException {
    if (open(line).change(baud)) {
      view.say("speed", "%d baud".formatted(baud));
    }
  }

  @Override
  public void identified(Instrument instrument) {
    identified = true;
    view.identified(instrument);
  }

  @Override
  public void restarted(String sentence) {
    view.say("restart", sentence);
  }

  @Override
  public void contradicted(String sentence) {
    view.say("settings", sentence);
  }

  @Override
  public OptionalLong lastRecorded(Instrument instrument, String epoch) {
    return OptionalLong.empty();
  }

  @Override
  public void reading(Reading reading) {
    if (!identified) {
      throw new IllegalStateException("the driver gave a reading before it said whose it is");
    }
    view.reading(reading);
  }

  @Override
  public void repeated() {
    view.say("repeat", "came again, and is dropped");
  }

  @Override
  public void gap(Gap gap) {
    view.say("gap", gap.detail());
  }

  @Override
  public void status(String words) {
    view.say("status", words);
  }
}
