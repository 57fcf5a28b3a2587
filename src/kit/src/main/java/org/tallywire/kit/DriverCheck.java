package org.tallywire.kit;

import java.util.ArrayList;
import java.util.List;
import java.util.Random;
import org.tallywire.api.Driver;
import org.tallywire.api.Example;

/**
 * Holds a driver against the rules of {@link DriverRule}: plays its examples whole, in pieces,
 * damaged and withheld, in virtual time. It opens no link and sends nothing to anybody.
 */
public final class DriverCheck {

  private static final long LOOK_MS = 100;

  private final Driver driver;
  private final Random random;
  private final DriverReport report = new DriverReport();
  private final CallWatch watch = new CallWatch();

  private DriverCheck(Driver driver, long seed) {
    this.driver = driver;
    this.random = new Random(seed);
  }

  /**
   * Checks a driver as a station would have it, configured if it has settings; takes seconds.
   *
   * @param seed decides the cuts and the samples; the same seed makes the same trials
   */
  public static DriverReport of(Driver driver, long seed) {
    DriverCheck check = new DriverCheck(driver, seed);
    check.inATimeLimit();
    return check.report;
  }

  /** Runs beside the driver, since a call may not come back. */
  private void inATimeLimit() {
    Thread thread = new Thread(this::run, "driver check");
    thread.setDaemon(true);
    thread.start();
    try {
      while (thread.isAlive()) {
        thread.join(LOOK_MS);
        String hopeless = watch.hopeless(thread);
        if (!hopeless.isEmpty()) {
          report.broken(DriverRule.TIME, hopeless + place(thread));
          report.seal();
          return;
        }
      }
    } catch (InterruptedException e) {
      report.seal();
      Thread.currentThread().interrupt();
    }
  }

  private static String place(Thread thread) {
    for (StackTraceElement element : thread.getStackTrace()) {
      if (!element.getClassName().startsWith("java.")) {
        return ", at " + element;
      }
    }
    return "";
  }

  private void run() {
    try {
      new DescriptionTrials(driver, report).run();
      List<Example> examples = driver.examples();
      List<Example> good =
          examples.stream().filter(e -> !e.gives().isEmpty() && e.fault().isEmpty()).toList();
      if (good.isEmpty()) {
        report.broken(
            DriverRule.EXAMPLES,
            "none of its %d examples gives readings without a fault: write one"
                .formatted(examples.size()));
      } else {
        report.passed(
            DriverRule.EXAMPLES,
            "%d of %d examples give readings".formatted(good.size(), examples.size()));
      }
      Conversations conversations = new Conversations(driver, watch, report);
      PlainTrials plain = new PlainTrials(conversations, random);
      boolean whole = plain.run(examples, good);
      List<Example> sound = new ArrayList<>(good);
      sound.removeAll(plain.unsound());
      if (!sound.isEmpty()) {
        new DamageTrials(conversations, random, driver.description().checked()).run(sound);
      } else if (!good.isEmpty() || !whole) {
        report.note("nothing was damaged or withheld, since no example plays as it should");
      }
      new SilenceTrials(conversations).run(sound);
      conversations.close();
    } catch (RuntimeException e) {
      report.broken(DriverRule.EXCEPTIONS, "asked what it is, or for its examples, it threw " + e);
    }
  }
}
