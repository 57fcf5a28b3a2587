package org.tallywire.simulator.scenario;

import java.time.Duration;

/** What is wrong between the test set and whoever listens, its clock and its store included. */
public sealed interface LineFault extends Fault {

  /** Random bytes before the given share of what is sent, 0 to 1. */
  record LineNoise(double share) implements LineFault {
    public LineNoise {
      Require.share(share);
    }
  }

  /** Each bit sent turns over with that probability. */
  record BitErrors(double probability) implements LineFault {
    public BitErrors {
      Require.share(probability);
    }
  }

  /** Each byte sent is lost with that probability. */
  record LostBytes(double probability) implements LineFault {
    public LostBytes {
      Require.share(probability);
    }
  }

  /** The given share of what is sent goes out twice, 0 to 1. */
  record Duplicates(double share) implements LineFault {
    public Duplicates {
      Require.share(share);
    }
  }

  /** Nothing is sent or heard while it lasts; what was to be sent goes out afterwards. */
  record Freeze() implements LineFault {}

  /** The cable is out while it lasts; it is pulled in the middle of the next thing sent. */
  record Unplug() implements LineFault {}

  /** The test set is off for that long and starts again with a new boot id. */
  record Reboot(Duration off) implements LineFault {
    public Reboot {
      if (off.isNegative()) {
        throw new IllegalArgumentException("off for %s".formatted(off));
      }
    }
  }

  /** The store holds only so many readings, at least 1. */
  record StoreOverflow(int holds) implements LineFault {
    public StoreOverflow {
      Require.positive(holds);
    }
  }

  /** The clock is wrong by so much from the moment the fault begins; negative is behind. */
  record WrongClock(Duration by) implements LineFault {}
}
