package org.tallywire.publish;

import java.nio.charset.StandardCharsets;
import org.tallywire.api.RecordId;

/**
 * Builds topics {@code <root>/<site>/<station>/<kind>} that no wildcard, separator or control
 * character can get into. Immutable.
 */
public final class Topics {

  /** The station under which the bridge itself speaks. */
  static final String BRIDGE = "bridge";

  private static final int LONGEST_LEVEL = 64;
  private static final int LONGEST_TOPIC = 255;

  private final String prefix;

  /**
   * @throws IllegalArgumentException if a level is empty, longer than 64 bytes or no valid text
   */
  public Topics(String root, String site) {
    prefix = level("root", root) + "/" + level("site", site) + "/";
  }

  /**
   * Returns the topic of a station's records of a kind. In each level {@code A-Za-z0-9_-} stays,
   * every other byte of its UTF-8 form becomes {@code ~HH}, so that different names stay different.
   *
   * @throws IllegalArgumentException if a level is empty, longer than 64 bytes or no valid text, or
   *     the topic longer than 255 bytes
   */
  public String of(String station, String kind) {
    String topic = prefix + level("station", station) + "/" + level("kind", kind);
    if (topic.length() > LONGEST_TOPIC) {
      throw new IllegalArgumentException(
          "topic \"%s\" has %d bytes, more than %d"
              .formatted(topic, topic.length(), LONGEST_TOPIC));
    }
    return topic;
  }

  /** Returns the topic on which a consumer says what it holds. */
  String confirm(String consumer) {
    return confirmations(level("consumer", consumer));
  }

  /** Returns the filter for the topics of all consumers. */
  String confirmations() {
    return confirmations("+");
  }

  private String confirmations(String level) {
    return prefix + BRIDGE + "/confirm/" + level;
  }

  static String level(String name, String text) {
    if (text.isEmpty()) {
      throw new IllegalArgumentException("the topic level \"%s\" is empty".formatted(name));
    }
    // half of a surrogate pair would turn into a question mark, and two names into one
    if (!StandardCharsets.UTF_8.newEncoder().canEncode(text)) {
      throw new IllegalArgumentException(
          "the topic level \"%s\" is no valid text: \"%s\"".formatted(name, RecordId.escape(text)));
    }
    int bytes = text.getBytes(StandardCharsets.UTF_8).length;
    if (bytes > LONGEST_LEVEL) {
      throw new IllegalArgumentException(
          "the topic level \"%s\" has %d bytes, more than %d: \"%s\""
              .formatted(name, bytes, LONGEST_LEVEL, RecordId.escape(text)));
    }
    return RecordId.escape(text);
  }
}
