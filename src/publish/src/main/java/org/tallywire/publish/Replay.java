package org.tallywire.publish;

import java.time.Duration;
import java.util.List;
import java.util.Optional;
import java.util.SplittableRandom;
import java.util.concurrent.TimeUnit;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;
import org.tallywire.api.TimeSource;
import org.tallywire.journal.JournalException;
import org.tallywire.journal.JournalView;

/**
 * Publishes a range of a journal once more: the same bytes on the same topics, in order, with
 * tallies, over a connection of its own beside that of a running bridge, with client id {@code
 * <id>-replay} and without a will. Marks nothing anywhere. Used by one thread.
 */
public final class Replay {

  private static final Logger LOG = LoggerFactory.getLogger(Replay.class);
  private static final String SUFFIX = "-replay";
  private static final int LONGEST_ID = 128;

  /** Hears how far a replay has come; on the thread that runs it. */
  public interface Listener {

    /**
     * Tells of progress, about every 100 ms or 100 entries, and when a connection ends.
     *
     * @param position up to where all is acknowledged or could not be published
     * @param published how many entries were published so far
     */
    void replayed(long position, long published);
  }

  /** An entry that could not be published, and why. */
  public record Unpublished(long position, String id, String reason) {}

  /**
   * What became of a replay.
   *
   * @param published how many entries the broker acknowledged
   * @param reached the position up to which all is acknowledged or is in {@code unpublished}
   * @param unpublished the entries that could not be published
   * @param stopped why it ended before the range did; empty if it did not
   */
  public record Outcome(
      long published, long reached, List<Unpublished> unpublished, String stopped) {}

  private final JournalView view;
  private final BrokerAddress broker;
  private final TallyFormat format;
  private final TimeSource time;
  private final Pace pace;
  private final Duration patience;
  private final Credentials credentials;

  /**
   * @param broker as the bridge has it; {@code -replay} is put behind the client id, whose end is
   *     left out if it gets longer than 128 characters
   */
  public Replay(JournalView view, BrokerAddress broker, TallyFormat format, TimeSource time) {
    this(view, broker, format, time, Pace.USUAL, Duration.ofMinutes(2));
  }

  /**
   * @param patience how long it goes on without any progress
   */
  Replay(
      JournalView view,
      BrokerAddress broker,
      TallyFormat format,
      TimeSource time,
      Pace pace,
      Duration patience) {
    this.view = view;
    this.broker = beside(broker);
    this.format = format;
    this.time = time;
    this.pace = pace;
    this.patience = patience;
    this.credentials = new Credentials(this.broker, time);
  }

  /**
   * Publishes the entries from one position to another, both included; those on the shelf are tried
   * too. After a loss it goes on from where it was. Ends early when the broker refuses it, when
   * nothing was acknowledged for 2 minutes, or before an entry that retention removed meanwhile.
   *
   * @throws IllegalArgumentException if the journal does not hold all of the range at this moment
   * @throws JournalException if the journal cannot be read
   */
  public Outcome run(long from, long to, Listener listener)
      throws JournalException, InterruptedException {
    requireHeld(from, to);
    ReplayRange range = new ReplayRange(view, from, to, time, listener);
    Topics topics = new Topics(broker.root(), broker.site());
    Caution caution = new Caution(pace);
    Delivery.Parts parts =
        new Delivery.Parts(
            range,
            topics,
            new RetainedStates(),
            new Progress(),
            caution,
            new Nothing(),
            format,
            pace,
            time);
    BackOff backOff = new BackOff(pace, new SplittableRandom());
    while (!range.finished()) {
      long before = range.begin();
      try {
        connection(parts, range);
      } catch (BrokerException e) {
        if (e.refused()) {
          return range.outcome("the broker refused it: %s".formatted(e.getMessage()));
        }
        if (range.idle().compareTo(patience) > 0) {
          return range.outcome(
              "nothing was acknowledged for %d s, and last %s"
                  .formatted(range.idle().toSeconds(), e.getMessage()));
        }
        if (range.begin() > before) {
          backOff.reset();
        }
        Duration pause = caution.hurries() ? backOff.shortest() : backOff.next();
        LOG.info(
            "replay to broker {}: {}; trying again in {} ms",
            broker.uri(),
            e.getMessage(),
            pause.toMillis());
        TimeUnit.NANOSECONDS.sleep(pause.toNanos());
      }
    }
    return range.outcome();
  }

  private void connection(Delivery.Parts parts, ReplayRange range)
      throws BrokerException, JournalException, InterruptedException {
    MqttLink link = MqttLink.open(broker, credentials.load(), Optional.empty());
    boolean orderly = false;
    try {
      link.awaitUp(pace.connectWait(), time, () -> false);
      Delivery delivery = new Delivery(parts, link);
      delivery.run(() -> range.finished() || range.idle().compareTo(patience) > 0);
      orderly = true;
    } finally {
      if (!link.close(orderly)) {
        LOG.warn("a connection to broker {} did not end in time; it is left", broker.uri());
      }
    }
    if (!range.finished()) {
      throw BrokerException.because("the broker acknowledged nothing more");
    }
  }

  private void requireHeld(long from, long to) throws JournalException {
    long cut = view.anchor().position();
    long head = view.head();
    if (from < 1 || to < from || from <= cut || to > head) {
      throw new IllegalArgumentException(
          "positions %d to %d cannot be replayed: the journal holds %d to %d"
              .formatted(from, to, cut + 1, head));
    }
  }

  private static BrokerAddress beside(BrokerAddress broker) {
    String id = broker.clientId();
    int most = Math.min(id.length(), LONGEST_ID - SUFFIX.length());
    return new BrokerAddress(
        broker.uri(),
        id.substring(0, most) + SUFFIX,
        broker.username(),
        broker.password(),
        broker.root(),
        broker.site(),
        broker.tls(),
        broker.consumers());
  }

  /** Listens to nobody. */
  private static final class Nothing implements Attendant {
    @Override
    public void connected(MqttLink link) {}

    @Override
    public boolean busy(MqttLink link) {
      return false;
    }

    @Override
    public void round(MqttLink link, long accepted, long told) {}
  }
}
