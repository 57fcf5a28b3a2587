package org.tallywire.fault;

import java.nio.file.Path;
import java.util.Random;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** Two bridges that call themselves by one client id: the broker throws out each for the other. */
class TwoBridgesIT {

  @TempDir private Path folder;

  @Test
  @DisplayName("While both are there each gets through now and then; when one goes, the other does")
  void oneClientId() throws Exception {
    Fault fault = Fault.of("one-client-id", 1, 10);
    Random random = fault.random();
    try (Rig rig = new Rig(folder)) {
      rig.add("one", Instruments.start(folder.resolve("first"), 2, 10));
      rig.add("two", Instruments.start(folder.resolve("second"), 2, 10, "--seed=101"));
      rig.bridges().get(0).start();
      for (int cycle = 0; cycle < fault.cycles(); cycle++) {
        Program second = rig.bridges().get(1);
        second.start();
        rig.awaitReadings(100);
        Pause.millis(random.nextInt(3000));
        second.stop();
        rig.recover(System.nanoTime());
      }
      // the second has to get through as well what it could not send
      rig.bridges().get(0).stop();
      rig.bridges().get(1).start();
      rig.recover(System.nanoTime());
      rig.bridges().get(0).start();
      rig.judgeAtTheEnd(fault, fault.cycles(), "");
    }
  }
}
