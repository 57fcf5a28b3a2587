package org.tallywire.line;

import java.math.BigDecimal;
import java.util.HashMap;
import java.util.Map;
import java.util.Optional;
import java.util.TreeMap;
import org.tallywire.api.Decimals;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Frame;
import org.tallywire.api.FrameException;
import org.tallywire.api.Quantity;
import org.tallywire.api.Unit;

/** What an instrument's channels measure, as it listed them (rule L-17). */
final class Channels {

  private static final int MOST = 99;
  private static final String BOOT = "channels: boot id";
  private static final String LIST = "channels: list";

  /** The list that is arriving: its lines by their position. */
  private final Map<Long, Listed> lines = new HashMap<>();

  private long count;

  /** The last list that came whole. */
  private Map<Integer, Channel> channels = Map.of();

  /** Forgets the list that is arriving. */
  void clear() {
    lines.clear();
    count = 0;
  }

  /**
   * Takes one line of the list.
   *
   * @return why the list as a whole is wrong and has to be asked for again (L-17b), or nothing
   * @throws FrameException if the line for itself is a syntax fault
   */
  Optional<String> take(Frame frame, LineMessage message) throws FrameException {
    long of = message.whole(frame, "of", 1, MOST);
    long position = message.whole(frame, "n", 1, of);
    int number = (int) message.whole(frame, "ch", 1, MOST);
    Listed listed = new Listed(number, channel(frame, message));
    if (count != 0 && count != of) {
      return Optional.of("the list had %d channels and now has %d".formatted(count, of));
    }
    Listed before = lines.put(position, listed);
    if (before != null && !before.equals(listed)) {
      return Optional.of("line %d of the list came with two contents".formatted(position));
    }
    if (lines.values().stream().filter(one -> one.number() == number).count() > 1) {
      return Optional.of("the list has channel %d twice".formatted(number));
    }
    count = of;
    return Optional.empty();
  }

  /** Returns how many lines of the list have arrived. */
  int listed() {
    return lines.size();
  }

  boolean isWhole() {
    return count > 0 && lines.size() == count;
  }

  /**
   * Takes the whole list as the one that holds for a boot id.
   *
   * @param notes keep it from link to link
   * @throws FrameException with {@link FaultCode#CONTRADICTION} if another one holds (L-17c)
   */
  void settle(Frame frame, String boot, Map<String, String> notes) throws FrameException {
    Map<Integer, Channel> listed = new TreeMap<>();
    lines.values().forEach(one -> listed.put(one.number(), one.channel()));
    if (boot.equals(notes.get(BOOT)) && !listed.toString().equals(notes.get(LIST))) {
      throw new FrameException(
          FaultCode.CONTRADICTION,
          ("the instrument lists other channels than before under the same boot id %s: what its"
                  + " values mean is not certain, no reading is taken")
              .formatted(boot),
          frame.bytes());
    }
    notes.put(BOOT, boot);
    notes.put(LIST, listed.toString());
    channels = listed;
  }

  Optional<Channel> channel(int number) {
    return Optional.ofNullable(channels.get(number));
  }

  private static Channel channel(Frame frame, LineMessage message) throws FrameException {
    try {
      return new Channel(
          new Quantity(message.text(frame, "quantity")),
          new Unit(message.text(frame, "unit")),
          decimal(frame, message, "resolution"),
          decimal(frame, message, "min"),
          decimal(frame, message, "max"));
    } catch (IllegalArgumentException e) {
      throw LineMessage.syntax(frame, String.valueOf(e.getMessage()));
    }
  }

  private static Optional<BigDecimal> decimal(Frame frame, LineMessage message, String key)
      throws FrameException {
    Optional<String> text = message.text(key);
    Optional<BigDecimal> number = text.flatMap(Decimals::parse);
    if (text.isPresent() && number.isEmpty()) {
      throw LineMessage.syntax(frame, "%s=%s is no decimal".formatted(key, text.get()));
    }
    return number;
  }

  /** One channel: what its values are values of, and what they can be. */
  record Channel(
      Quantity quantity,
      Unit unit,
      Optional<BigDecimal> resolution,
      Optional<BigDecimal> min,
      Optional<BigDecimal> max) {}

  private record Listed(int number, Channel channel) {}
}
