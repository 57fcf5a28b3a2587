package org.tallywire.simulator;

import java.nio.charset.StandardCharsets;
import java.time.Duration;

/** Reads a meter out again and again, and agrees to no other speed. */
final class MeterListener implements Listener {

  private static final String SIGN_ON = "/?!\r\n";
  private static final String AGREED = "\u0006000\r\n";
  private static final Duration PAUSE = Duration.ofSeconds(5);

  private boolean identifying;

  @Override
  public byte[] opened() {
    return bytes(SIGN_ON);
  }

  @Override
  public byte[] silent() {
    return bytes(SIGN_ON);
  }

  @Override
  public Duration patience() {
    return PAUSE;
  }

  @Override
  public byte[] heard(byte[] bytes) {
    for (byte b : bytes) {
      if (b == '/') {
        identifying = true;
      } else if (b == '\n' && identifying) {
        identifying = false;
        return bytes(AGREED);
      }
    }
    return new byte[0];
  }

  private static byte[] bytes(String text) {
    return text.getBytes(StandardCharsets.US_ASCII);
  }
}
