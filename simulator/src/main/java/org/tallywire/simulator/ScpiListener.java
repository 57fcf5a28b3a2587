package org.tallywire.simulator;

import java.nio.charset.StandardCharsets;

/** Asks a meter for its next reading as soon as it has answered. */
final class ScpiListener implements Listener {

  private static final byte[] QUERY = "READ?\n".getBytes(StandardCharsets.US_ASCII);

  @Override
  public byte[] opened() {
    return QUERY.clone();
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
