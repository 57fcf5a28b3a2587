package org.tallywire.publish;

import java.util.HashMap;
import java.util.Map;
import org.jspecify.annotations.Nullable;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;

/**
 * Finds the message at which a broker ends the connection, over several connections, without ever
 * blaming a good one for a broker that ends connections anyway. Used by the publisher's thread.
 *
 * <p>After three losses without progress messages go one at a time. One that was alone on its way
 * at a loss is suspected; it is tried three times (see {@link Trial}), and condemned if the broker
 * ended the connection right behind it each time. An end that came later is no strike, and the next
 * trial takes longer; an acknowledgement, silence or an end without it acquits it.
 */
final class Caution {

  private static final Logger LOG = LoggerFactory.getLogger(Caution.class);

  private static final int LOSSES = 3;
  private static final int STRIKES = 3;

  /** So many condemned in a row without an accepted record: the settings may be at fault. */
  private static final int IN_A_ROW = 4;

  private static final int TALLIES_TO_GROW = 1000;

  private final Pace pace;
  private final Map<Long, String> entries = new HashMap<>();
  private final Map<String, Integer> states = new HashMap<>();

  private int losses;
  private long progress = -1;
  private long doubtful;
  private boolean careful;
  private boolean found;
  private int stretch = Stretch.LONGEST;
  private int tallies;
  private int inARow;
  private boolean hurry;
  private boolean atMessage;

  private @Nullable Outgoing suspect;
  private int strikes;
  private long slowest;

  /** What a loss looked like. */
  record Loss(Window window, long accepted, long furthest, @Nullable Trial trial, long now) {}

  Caution(Pace pace) {
    this.pace = pace;
  }

  /** Returns whether only one message may be on its way. */
  boolean careful() {
    return careful;
  }

  /** Returns how many entries a tally may tell of. */
  int stretch() {
    return careful ? 1 : stretch;
  }

  /** Returns the trial with which a new connection is to begin, or null. */
  @Nullable Trial trial(long now) {
    Outgoing tried = suspect;
    return tried == null
        ? null
        : new Trial(tried, strikes, pace.firstTrial(), slowest, pace.acknowledgeWait(), now);
  }

  /** Returns why an entry is not to be sent any more, or null. */
  @Nullable String condemned(long position) {
    return entries.get(position);
  }

  /** Forgets about an entry that lies on the shelf now. */
  void shelved(long position) {
    entries.remove(position);
  }

  /** Returns whether a state is one that the broker does not take; a smaller one is tried again. */
  boolean withholds(RetainedStates.State state) {
    Integer size = states.get(state.topic);
    return size != null && state.payload.length >= size;
  }

  /** Returns whether the next connection is to follow soon, since it brings a decision closer. */
  boolean hurries() {
    return (hurry || suspect != null) && inARow < IN_A_ROW;
  }

  /** Returns whether the last loss may have come from what was on its way, so from no one else. */
  boolean atMessage() {
    return atMessage;
  }

  /** Returns whether the last loss condemned a message, which explains the losses before it. */
  boolean condemnedOne() {
    return hurry;
  }

  void acknowledged(Outgoing message) {
    Outgoing tried = suspect;
    if (tried != null && tried.same(message)) {
      acquit();
    }
    if (message.kind() == Outgoing.Kind.ENTRY) {
      inARow = 0;
    } else if (message.kind() == Outgoing.Kind.TALLY && ++tallies >= TALLIES_TO_GROW) {
      tallies = 0;
      stretch = Math.min(Stretch.LONGEST, stretch * 2);
    }
  }

  /** Notes that nothing is on its way or due; full speed again once the doubtful part is passed. */
  void calm(long accepted) {
    if (!careful || accepted < doubtful || suspect != null) {
      return;
    }
    careful = false;
    losses = 0;
    if (!found) {
      // one by one everything went: what did not go may be the tally of many, or its broker is weak
      stretch = Math.max(1, stretch / 2);
      tallies = 0;
    }
    LOG.info(
        "publishing goes on at full speed behind journal position {}, with a tally for every {} records",
        accepted,
        stretch);
  }

  /** Takes note of a lost connection; returns what is to be said of it. */
  BrokerException lost(BrokerException why, Loss loss) {
    hurry = false;
    boolean moved = loss.accepted() > progress;
    if (moved) {
      progress = loss.accepted();
      losses = 0;
    }
    atMessage = !loss.window().isEmpty() && (careful || !moved);
    Trial trial = loss.trial();
    Window.Slot alone = loss.window().alone().orElse(null);
    if (!why.ended() || loss.window().isEmpty()) {
      acquit(); // silence, or an end out of the blue, says nothing about a message
      return why;
    }
    losses++;
    if (!careful) {
      doubtful = Math.max(doubtful, loss.furthest());
      careful = losses >= LOSSES;
      found = false;
      return why;
    }
    if (alone == null || alone.message().kind() == Outgoing.Kind.PROBE) {
      acquit();
      return why;
    }
    Outgoing message = alone.message();
    if (trial == null || !trial.suspect().same(message)) {
      acquit();
      suspect = message;
      return why;
    }
    return tried(why, trial, alone, loss.now());
  }

  private BrokerException tried(BrokerException why, Trial trial, Window.Slot alone, long now) {
    suspect = alone.message();
    if (trial.rightBehind(alone.sentAt(), now)) {
      strikes++;
    }
    slowest = Math.max(slowest, now - alone.sentAt());
    return strikes < STRIKES ? why : condemn(why, alone.message());
  }

  private BrokerException condemn(BrokerException why, Outgoing message) {
    String what =
        "the broker ended the connection %d times right behind %s, sent alone, and took other messages before it. Check the broker's largest packet size (max_packet_size) and its access list"
            .formatted(STRIKES, message);
    found = true;
    hurry = true;
    switch (message.kind()) {
      case ENTRY -> {
        entries.put(message.position(), what + "; then publish it again with replay");
        inARow++;
      }
      case STATE -> {
        states.put(message.topic(), message.payload().length);
        LOG.error("{}. This state is not published until it is smaller", what);
      }
      default -> {
        // without tallies nothing counts as accepted, so this is a setting that must be changed
        strikes = STRIKES - 1;
        return BrokerException.refusing(what + "; nothing counts as accepted without it", why);
      }
    }
    acquit();
    return why;
  }

  private void acquit() {
    suspect = null;
    strikes = 0;
    slowest = 0;
  }
}
