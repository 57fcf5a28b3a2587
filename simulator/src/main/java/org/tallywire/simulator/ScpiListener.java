package org.tallywire.simulator;

import java.nio.charset.StandardCharsets;
import java.time.Duration;

/** Asks a meter for its next reading as soon as it has answered, and again where it does not. */
final class ScpiListener implements Listener {

  private static final byte[] QUERY = "READ?\n".getBytes(StandardCharsets.US_ASCII);
  private static final Duration PATIENCE = Duration.ofSeconds(30);

  @Override
  public byte[] opened() {
    return QUERY.clone();
  }

  @Override
  public byte[] silent() {
    return QUERY.clone();
  }

  /** A measurement may take this long; a query before its answer would break it off. */
  @Override
  public Duration patience() {
    return PATIENCE;
  }

  @Override
  public byte[] heard(byte[] bytes) {
    for (byte b : bytes) {
      if (b == '\n') {
        return QUERY.clone();
      }
    }
    return new byte[0];
  }
}
