package org.tallywire.line;

import java.util.HashMap;
import java.util.HashSet;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import org.tallywire.api.Frame;
import org.tallywire.api.FrameException;
import org.tallywire.api.Quantity;
import org.tallywire.api.Unit;

/** What an instrument's channels measure, as it listed them (rule L-17). */
final class Channels {

  private static final int MOST = 99;

  private final Map<Integer, Channel> channels = new HashMap<>();
  private final Set<Long> heard = new HashSet<>();
  private long count;

  void clear() {
    channels.clear();
    heard.clear();
    count = 0;
  }

  /** Takes one line of the list; tells whether the list is now whole. */
  boolean take(Frame frame, LineMessage message) throws FrameException {
    long of = message.whole(frame, "of", 1, MOST);
    if (count != 0 && count != of) {
      long before = count;
      clear();
      throw LineMessage.syntax(
          frame, "the list had %d channels and now has %d".formatted(before, of));
    }
    int number = (int) message.whole(frame, "ch", 1, MOST);
    long position = message.whole(frame, "n", 1, of);
    channels.put(number, channel(frame, message));
    heard.add(position);
    count = of;
    return heard.size() == of;
  }

  /** Returns how many lines of the list have not come yet. */
  int missing() {
    return (int) count - heard.size();
  }

  Optional<Channel> channel(int number) {
    return Optional.ofNullable(channels.get(number));
  }

  private static Channel channel(Frame frame, LineMessage message) throws FrameException {
    try {
      return new Channel(
          new Quantity(message.text(frame, "quantity")), new Unit(message.text(frame, "unit")));
    } catch (IllegalArgumentException e) {
      throw LineMessage.syntax(frame, String.valueOf(e.getMessage()));
    }
  }

  /** One channel: what its values are values of. */
  record Channel(Quantity quantity, Unit unit) {}
}
