package org.tallywire.simulator;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.time.Duration;
import java.util.List;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.tallywire.simulator.scenario.FaultText;
import org.tallywire.simulator.scenario.Scenario;

/** Commands while two instruments run. */
class ConsoleTest {

  private TestFleet fleet;
  private Console console;

  @BeforeEach
  void start() throws Exception {
    fleet = TestFleet.start("--tcp=0", "--instruments=2", "--seed=5");
    console = fleet.console();
  }

  @AfterEach
  void stop() {
    fleet.close();
  }

  private int planted(int index) {
    return fleet.benches().get(index).faults().all().size();
  }

  @Test
  void aFaultComesAndGoes() {
    console.take("plant bad joint: {winding: LV, phase: C, adds: 8 %}");
    assertEquals(1, planted(0));
    assertEquals(1, planted(1));
    assertTrue(fleet.announced().contains("planted SIM-0005 bad-joint LV C"));
    console.take("SIM-0006 clear bad joint");
    assertEquals(1, planted(0));
    assertEquals(0, planted(1));
    assertTrue(fleet.announced().contains("cleared SIM-0006 bad-joint"));
    console.take("SIM-0006 plant freeze for 5 s");
    assertEquals(2, planted(0) + planted(1));
    assertTrue(fleet.remarks().contains("SIM-0006: its time begins with the measuring"));
    console.take("clear all");
    assertEquals(0, planted(0) + planted(1));
  }

  @Test
  void aFaultIsClearedByItsNameAsItWasAnnounced() {
    console.take("SIM-0005 plant out of calibration: {quantity: ratio, by: 1 %}");
    assertEquals(List.of("planted SIM-0005 out-of-calibration - -"), planted());
    console.take("SIM-0005 clear out-of-calibration");
    assertEquals(0, planted(0));
  }

  @Test
  void oneOrAllPauseAndResume() {
    console.take("SIM-0006 pause");
    assertTrue(fleet.announced().contains("paused SIM-0006 -"));
    assertEquals(
        List.of(false, true), fleet.benches().stream().map(b -> b.time().paused()).toList());
    console.take("resume");
    assertTrue(fleet.benches().stream().noneMatch(b -> b.time().paused()));
  }

  private List<String> planted() {
    return fleet.announced().stream().filter(line -> line.startsWith("planted ")).toList();
  }

  @Test
  void everyExampleOfTheHelpCanBeTyped() {
    List<String> examples =
        Console.HELP.lines().map(String::strip).filter(l -> l.matches("plant [^F].*")).toList();
    assertEquals(2, examples.size(), examples.toString());
    examples.forEach(console::take);
    assertEquals(2, planted(0), () -> String.join("\n", fleet.remarks()));
  }

  @Test
  void whatIsWrongIsSaidAndNothingIsDone() {
    console.take("plant bad joint: {winding: MV, phase: C, adds: 8 %}");
    console.take("explode");
    console.take("SIM-0099 clear all");
    console.take("clear bad joint");
    console.take("   ");
    assertEquals(0, planted(0) + planted(1));
    String said = String.join("\n", fleet.remarks());
    assertTrue(said.contains("SIM-0005: nothing is planted: "), said);
    assertTrue(said.contains("MV"), said);
    assertTrue(said.contains("\"explode\" is no command"), said);
    assertTrue(said.contains("no instrument SIM-0099 here"), said);
    assertTrue(said.contains("no fault \"bad joint\" to take away"), said);
  }

  @Test
  void theListSaysWhatIsOverAndWhatIsToCome() throws Exception {
    Scenario scenario = fleet.benches().get(0).scenario();
    assertEquals("", where("noisy: {times: 10}", scenario, 0));
    assertEquals(", to come", where("freeze", scenario, 0));
    assertEquals(", to come", where("noisy: {times: 10} from 20 s until 30 s", scenario, 19_999));
    assertEquals("", where("noisy: {times: 10} from 20 s until 30 s", scenario, 20_000));
    assertEquals(", over", where("noisy: {times: 10} from 20 s until 30 s", scenario, 30_000));
    assertEquals(", over", where("freeze", scenario, 5000));
    assertEquals("", where("reboot: {lasts: 4 s} from 1 s", scenario, 4999));
    assertEquals(", over", where("reboot: {lasts: 4 s} from 1 s", scenario, 5000));
    console.take("SIM-0005 plant bad joint: {winding: LV, phase: C, adds: 8.5613635 %} from 20 s");
    console.take("SIM-0005 list");
    String listed =
        "SIM-0005:   bad joint: {winding: LV, phase: C, adds: 8.5614 %} from 20 s, to come";
    assertTrue(fleet.remarks().contains(listed), () -> String.join("\n", fleet.remarks()));
  }

  private static String where(String fault, Scenario scenario, long millis) throws Exception {
    return Console.whereInTime(
        FaultText.read(fault, scenario, Duration.ZERO), Duration.ofMillis(millis));
  }

  @Test
  void helpAndListAreSaid() {
    console.take("help");
    console.take("SIM-0005 plant noisy: {times: 10}");
    console.take("list");
    String said = String.join("\n", fleet.remarks());
    assertTrue(said.contains("takes all faults away"), said);
    assertTrue(said.contains("SIM-0006: nothing is planted"), said);
    assertTrue(said.contains("SIM-0005: planted:"), said);
  }
}
