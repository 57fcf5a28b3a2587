package org.tallywire.publish;

import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.HashMap;
import java.util.LinkedHashMap;
import java.util.Map;
import java.util.Set;
import java.util.TreeMap;
import java.util.concurrent.atomic.AtomicLong;
import org.jspecify.annotations.Nullable;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;
import org.tallywire.api.RecordId;
import org.tallywire.api.TimeSource;
import org.tallywire.journal.Journal;
import org.tallywire.journal.JournalException;

/**
 * Listens to what consumers say they hold, over every connection anew, and keeps it as their
 * cursors, so that retention waits for them. A confirmation can do nothing else, and only forward,
 * up to what the broker has accepted. Used by the publisher's thread, except for what is returned
 * for display.
 */
final class Confirmations {

  static final String FOLLOWER = Publisher.CONSUMER;

  private static final Logger LOG = LoggerFactory.getLogger(Confirmations.class);
  private static final Duration COMPLAIN_EVERY = Duration.ofMinutes(1);
  private static final Duration SAVE_EVERY = Duration.ofMillis(100);
  private static final Duration ASK_AGAIN = Duration.ofMinutes(1);
  private static final int LOSSES = 3;
  private static final int LONGEST_SHOWN = 100;

  private final Journal journal;
  private final Topics topics;
  private final Pace pace;
  private final TimeSource time;
  private final Map<String, String> consumers = new LinkedHashMap<>();
  private final Map<String, Long> held = new TreeMap<>();
  private final Map<String, Long> complainedAt = new HashMap<>();
  private final AtomicLong refused = new AtomicLong();
  private final Retry saving;

  private volatile Map<String, Long> confirmed = Map.of();
  private boolean begun;
  private long told;
  private @Nullable MqttLink link;
  private long askedAt;
  private long savedAt;
  private int unanswered;
  private boolean said;

  Confirmations(Journal journal, Topics topics, Set<String> consumers, Pace pace, TimeSource time) {
    this.journal = journal;
    this.topics = topics;
    this.pace = pace;
    this.time = time;
    this.saving = new Retry("noting what consumers confirm", time);
    this.savedAt = time.nanos() - SAVE_EVERY.toNanos();
    consumers.forEach(consumer -> this.consumers.put(topics.confirm(consumer), consumer));
  }

  /** Reads the consumers' cursors; one who never confirmed gets one that retention waits for. */
  void begin() throws JournalException {
    if (begun) {
      return;
    }
    Map<String, Long> cursors = journal.cursors();
    long anchor = journal.anchor().position();
    Map<String, Long> known = new TreeMap<>();
    for (String consumer : consumers.values()) {
      Long position = cursors.get(FOLLOWER + consumer);
      if (position == null) {
        journal.moveCursor(FOLLOWER + consumer, anchor);
        position = anchor;
      }
      known.put(consumer, position);
    }
    for (String follower : cursors.keySet()) {
      if (follower.startsWith(FOLLOWER) && !known.containsKey(name(follower))) {
        LOG.warn(
            "consumer \"{}\" is not in the configuration any more, but nothing behind its position {} is removed from the journal",
            name(follower),
            cursors.get(follower));
      }
    }
    confirmed = Map.copyOf(known);
    begun = true;
  }

  /** Returns by consumer up to where it confirmed; from any thread. */
  Map<String, Long> confirmed() {
    return confirmed;
  }

  /** Returns how many were refused or dropped; from any thread. */
  long refused() {
    return refused.get();
  }

  void connected(MqttLink next) throws BrokerException {
    MqttLink before = link;
    boolean open = before != null && before.subscription() == MqttLink.Subscription.ASKED;
    unanswered = open ? unanswered + 1 : 0;
    if (consumers.isEmpty()) {
      return;
    }
    said = false;
    if (unanswered >= LOSSES && time.nanos() - askedAt < ASK_AGAIN.toNanos()) {
      LOG.error(
          "the broker ended {} connections in a row without an answer to the subscription to \"{}\". Check its access list; consumers are not heard on this connection",
          unanswered,
          topics.confirmations());
      return; // the link from before stays, as what is remembered of it
    }
    link = next;
    askedAt = time.nanos();
    next.subscribe(topics.confirmations());
  }

  /** Returns whether the broker still owes an answer that may end the connection. */
  boolean busy(MqttLink current) {
    return current.subscription() == MqttLink.Subscription.ASKED
        && time.nanos() - askedAt < pace.acknowledgeWait().toNanos();
  }

  /** Returns a sentence, once per connection, if the broker does not let us hear consumers. */
  @Nullable String news(MqttLink current) {
    if (said) {
      return null;
    }
    boolean overdue = current.subscription() == MqttLink.Subscription.ASKED && !busy(current);
    if (!overdue && current.subscription() != MqttLink.Subscription.REFUSED) {
      return null;
    }
    said = true;
    return "it %s the subscription to \"%s\", so no confirmation of a consumer is heard. Check its access list"
        .formatted(overdue ? "does not answer" : "refuses", topics.confirmations());
  }

  /**
   * Takes what came in.
   *
   * @param accepted up to where the broker has accepted everything
   * @param sent up to where tallies were sent: a consumer may have one before we know that the
   *     broker has it
   */
  void round(MqttLink current, long accepted, long sent) {
    told = Math.max(told, sent);
    long dropped = current.takeDropped();
    if (dropped > 0) {
      refused.addAndGet(dropped);
      complain("", "%d messages were too many or larger than 1024 bytes".formatted(dropped));
    }
    for (MqttLink.Received message = current.received();
        message != null;
        message = current.received()) {
      take(message);
    }
    if (!held.isEmpty() && saving.due() && time.nanos() - savedAt >= SAVE_EVERY.toNanos()) {
      save(accepted);
    }
  }

  private void take(MqttLink.Received message) {
    String consumer = consumers.get(message.topic());
    if (consumer == null) {
      refuse(
          "",
          "nobody of the topic \"%s\" is in the configuration"
              .formatted(shown(message.topic().getBytes(StandardCharsets.UTF_8))));
      return;
    }
    Confirmation confirmation = Confirmation.read(message.payload()).orElse(null);
    if (confirmation == null) {
      refuse(
          consumer,
          "it is not of the form {\"journal\":\"0123456789ab\",\"position\":1}: \"%s\""
              .formatted(shown(message.payload())));
      return;
    }
    long before = confirmed.getOrDefault(consumer, 0L);
    long position = confirmation.position();
    if (!confirmation.journal().equals(journal.identity())) {
      refuse(
          consumer,
          "it is about journal %s, this one is %s"
              .formatted(confirmation.journal(), journal.identity()));
    } else if (position > told) {
      refuse(consumer, "position %d was never sent, %d is the last one".formatted(position, told));
    } else if (position < before) {
      refuse(
          consumer,
          "position %d is behind %d, which it confirmed before".formatted(position, before));
    } else if (position > before) {
      held.merge(consumer, position, Math::max);
    }
  }

  private void save(long accepted) {
    Map<String, Long> next = new TreeMap<>(confirmed);
    try {
      for (Map.Entry<String, Long> one : Map.copyOf(held).entrySet()) {
        String consumer = one.getKey();
        // a quick consumer is always ahead of what we know the broker to have; so far it counts
        long position = Math.min(one.getValue(), accepted);
        if (position > next.getOrDefault(consumer, 0L)) {
          journal.moveCursor(FOLLOWER + consumer, position);
          next.put(consumer, position);
          savedAt = time.nanos();
        }
        if (position == one.getValue()) {
          held.remove(consumer);
        }
      }
      saving.worked();
    } catch (JournalException e) {
      saving.failed(e);
    }
    confirmed = Map.copyOf(next);
  }

  private void refuse(String consumer, String why) {
    refused.incrementAndGet();
    complain(consumer, why);
  }

  /** Says it once a minute for each consumer and reason; what differs are the numbers. */
  private void complain(String consumer, String why) {
    String key = consumer + " " + why.replaceAll("\".*\"|[0-9a-f]{12}|[0-9]+", "");
    long now = time.nanos();
    Long last = complainedAt.get(key);
    if (last != null && now - last < COMPLAIN_EVERY.toNanos()) {
      return;
    }
    complainedAt.put(key, now);
    LOG.warn(
        "a confirmation of consumer \"{}\" is refused and has no effect: {}. {} so far",
        consumer,
        why,
        refused.get());
  }

  private static String name(String follower) {
    return follower.substring(FOLLOWER.length());
  }

  private static String shown(byte[] payload) {
    String text = new String(payload, StandardCharsets.ISO_8859_1);
    return RecordId.escape(text.length() > LONGEST_SHOWN ? text.substring(0, LONGEST_SHOWN) : text);
  }
}
