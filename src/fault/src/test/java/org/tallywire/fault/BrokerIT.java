package org.tallywire.fault;

import static org.awaitility.Awaitility.await;

import java.nio.file.Path;
import java.time.Duration;
import java.util.Random;
import org.jspecify.annotations.Nullable;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.TestInstance;
import org.junit.jupiter.api.io.TempDir;
import org.tallywire.fault.Gate.Trouble;

/** What brokers, and networks before them, do to a publisher; one rig meets it all. */
@TestInstance(TestInstance.Lifecycle.PER_CLASS)
class BrokerIT {

  private static final int INSTRUMENTS = 4;
  private static final double PACE = 10;

  /** Longer than a bridge waits for an acknowledgement, 30 s, where it is five times in a hurry. */
  private static final int BEYOND_WAIT_MILLIS = 8_000;

  @TempDir private static Path folder;

  private @Nullable Rig rig;

  /** A fault that lasts a while and ends. */
  private interface Spell {
    void pass(Rig rig, Random random) throws Exception;
  }

  @AfterAll
  void end() throws Exception {
    if (rig != null) {
      rig.close();
    }
  }

  @Test
  @DisplayName("Killed and started again empty")
  void restarted() throws Exception {
    run(Fault.of("broker-restart", 2, 50), (r, random) -> r.restartBroker(random.nextInt(500)));
  }

  @Test
  @DisplayName("Frozen for less than the wait for an acknowledgement, and let go on")
  void frozen() throws Exception {
    run(
        Fault.of("broker-freeze", 1, 20),
        (r, random) -> {
          r.broker().freeze();
          Pause.millis(200 + random.nextInt(1500));
          r.broker().thaw();
        });
  }

  @Test
  @DisplayName("Frozen for longer than the wait for an acknowledgement")
  void frozenLong() throws Exception {
    run(
        Fault.of("broker-freeze-long", 0, 5),
        (r, random) -> {
          r.broker().freeze();
          Pause.millis(BEYOND_WAIT_MILLIS + random.nextInt(1000));
          r.broker().thaw();
        });
  }

  @Test
  @DisplayName("Half-open: takes everything, says nothing, then ends the connection")
  void halfOpen() throws Exception {
    run(
        Fault.of("half-open", 1, 20),
        (r, random) -> {
          r.gate().set(Trouble.HALF_OPEN, 0);
          Pause.millis(200 + random.nextInt(1500));
          r.gate().cut();
          r.gate().set(Trouble.NONE, 0);
        });
  }

  @Test
  @DisplayName("Half-open until the bridge itself gives the connection up")
  void halfOpenLong() throws Exception {
    run(
        Fault.of("half-open-long", 0, 5),
        (r, random) -> {
          r.gate().set(Trouble.HALF_OPEN, 0);
          Pause.millis(BEYOND_WAIT_MILLIS + random.nextInt(1000));
          r.gate().set(Trouble.NONE, 0);
        });
  }

  @Test
  @DisplayName("Refusing connections")
  void refusing() throws Exception {
    run(
        Fault.of("refusing", 1, 20),
        (r, random) -> {
          r.gate().set(Trouble.REFUSING, 0);
          Pause.millis(200 + random.nextInt(1500));
          r.gate().set(Trouble.NONE, 0);
        });
  }

  @Test
  @DisplayName("Slow: 30 kB a second both ways")
  void slow() throws Exception {
    run(
        Fault.of("slow", 1, 10),
        (r, random) -> {
          r.gate().set(Trouble.SLOW, 0);
          Pause.millis(500 + random.nextInt(2500));
          r.gate().set(Trouble.NONE, 0);
        });
  }

  @Test
  @DisplayName("Acknowledging everything twice")
  void twice() throws Exception {
    run(
        Fault.of("acknowledged-twice", 1, 10),
        (r, random) -> {
          r.gate().set(Trouble.TWICE, 0);
          r.awaitReadings(20 + random.nextInt(50));
          r.gate().set(Trouble.NONE, 0);
        });
  }

  @Test
  @DisplayName("The connection ends after a message was taken, its acknowledgement is lost")
  void beforeAcknowledgement() throws Exception {
    run(
        Fault.of("cut-unacknowledged", 1, 40),
        (r, random) -> cut(r, Trouble.CUT_BEFORE_ACKNOWLEDGEMENT, random));
  }

  @Test
  @DisplayName("The connection ends directly after an acknowledgement")
  void afterAcknowledgement() throws Exception {
    run(
        Fault.of("cut-acknowledged", 1, 40),
        (r, random) -> cut(r, Trouble.CUT_AFTER_ACKNOWLEDGEMENT, random));
  }

  @Test
  @DisplayName("The connection ends in the midst of a message")
  void inMessage() throws Exception {
    run(Fault.of("cut-in-message", 1, 40), (r, random) -> cut(r, Trouble.CUT_IN_MESSAGE, random));
  }

  private static void cut(Rig rig, Trouble trouble, Random random) throws Exception {
    int cuts = rig.gate().cuts();
    rig.gate().set(trouble, random.nextInt(30));
    await().atMost(Duration.ofSeconds(60)).until(() -> rig.gate().cuts() > cuts);
    rig.gate().set(Trouble.NONE, 0);
  }

  private void run(Fault fault, Spell spell) throws Exception {
    if (fault.cycles() == 0) {
      return;
    }
    if (rig == null) {
      rig = Rig.start(folder, INSTRUMENTS, PACE);
    }
    Random random = fault.random();
    for (int cycle = 0; cycle < fault.cycles(); cycle++) {
      rig.awaitReadings(1 + random.nextInt(20));
      spell.pass(rig, random);
      rig.recover(System.nanoTime());
    }
    rig.judge(fault, fault.cycles(), "");
  }
}
