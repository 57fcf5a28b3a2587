package org.tallywire.simulator;

import java.time.Duration;

/** Who listens in virtual time, and says what an instrument needs to hear to go on. */
interface Listener {

  /** Returns what to say when the line has been opened. */
  byte[] opened();

  /** Returns how long nothing is to be heard before {@link #silent} is asked. */
  default Duration patience() {
    return Duration.ofSeconds(10);
  }

  /** Returns what to say when nothing has been heard for so long. */
  default byte[] silent() {
    return new byte[0];
  }

  /** Returns what to say to these bytes; they are the next ones of a stream. */
  byte[] heard(byte[] bytes);

  /** Says nothing, as a printer does. */
  Listener SILENT =
      new Listener() {
        @Override
        public byte[] opened() {
          return new byte[0];
        }

        @Override
        public byte[] heard(byte[] bytes) {
          return new byte[0];
        }
      };
}
