package org.tallywire.publish;

import java.time.Duration;

/** Words in which it is told how it stands with one broker. */
record Wording(BrokerAddress broker) {

  String connecting() {
    return "connecting to broker %s".formatted(broker.uri());
  }

  /** The beginning of a sentence. */
  String up() {
    return "connected to broker %s as client \"%s\"".formatted(broker.uri(), broker.clientId());
  }

  String refused(BrokerException e, Duration pause) {
    if (e.advised()) {
      return "broker %s: %s. %s".formatted(broker.uri(), e.getMessage(), kept(pause));
    }
    return "broker %s refused client \"%s\", user \"%s\": %s. Check the user name, the password file and the broker's access list. %s"
        .formatted(
            broker.uri(),
            broker.clientId(),
            broker.username().orElse(""),
            e.getMessage(),
            kept(pause));
  }

  /**
   * @param taken whether it looks like a second process with our client id
   */
  String lost(BrokerException e, boolean taken, Duration pause) {
    String second =
        "It keeps ending the connection soon after it was made: another process may be using client id \"%s\". "
            .formatted(broker.clientId());
    return "broker %s: %s. %s%s"
        .formatted(broker.uri(), e.getMessage(), taken ? second : "", kept(pause));
  }

  String failed(String why, Duration pause) {
    return "publishing to broker %s ended: %s. %s".formatted(broker.uri(), why, kept(pause));
  }

  private static String kept(Duration pause) {
    return "Records are kept in the journal; trying again in %d ms".formatted(pause.toMillis());
  }
}
