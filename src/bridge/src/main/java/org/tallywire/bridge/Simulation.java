package org.tallywire.bridge;

import java.io.IOException;
import java.io.PrintStream;
import java.util.ArrayList;
import java.util.List;
import org.tallywire.acceptance.Verdict;
import org.tallywire.api.LinkAddress;
import org.tallywire.format.SetupException;

/**
 * The pretend tester of a demo, and the key to the exam: what was planted and so what must be
 * found. Only the demo looks at the key, never the judgement.
 */
final class Simulation implements AutoCloseable {

  private final SimulatorProcess process;
  private final LinkAddress address;
  private final Planted planted;

  private Simulation(SimulatorProcess process, LinkAddress address, Planted planted) {
    this.process = process;
    this.address = address;
    this.planted = planted;
  }

  /** Starts it on a pseudo-terminal, or on loopback TCP where there is none, which it says. */
  static Simulation start(Demo.Wishes wishes, PrintStream out)
      throws IOException, InterruptedException, SetupException {
    List<String> arguments =
        new ArrayList<>(
            List.of(
                "--until-stdin-ends",
                "--scenario=hollow-lane",
                "--seed=" + wishes.seed(),
                "--pace=" + wishes.pace()));
    wishes.fault().ifPresent(fault -> arguments.add("--fault=" + fault));
    SimulatorProcess process = launch(wishes, arguments, "--pty");
    try {
      return ready(process);
    } catch (IOException e) {
      boolean noPseudoTerminal = process.lacksPseudoTerminal();
      process.close();
      if (!noPseudoTerminal) {
        throw new SetupException("the simulator did not start: " + e.getMessage());
      }
      out.println("This machine gives no pseudo-terminal: the tester is on loopback TCP instead.");
      return ready(launch(wishes, arguments, "--tcp=0"));
    }
  }

  private static SimulatorProcess launch(Demo.Wishes wishes, List<String> arguments, String place)
      throws IOException {
    List<String> all = new ArrayList<>(arguments);
    all.add(place);
    return SimulatorProcess.start(wishes.data().resolve("simulator"), all);
  }

  private static Simulation ready(SimulatorProcess process)
      throws IOException, InterruptedException {
    SimulatorProcess.Ready ready = process.awaitReady();
    return new Simulation(process, ready.address(), Planted.of(ready.planted()));
  }

  LinkAddress address() {
    return address;
  }

  boolean isAlive() {
    return process.isAlive();
  }

  long pid() {
    return process.pid();
  }

  String plantedInWords() {
    return planted.inWords();
  }

  String foundInWords() {
    return planted.foundInWords();
  }

  List<String> notAsPlanted(List<Verdict> verdicts) {
    return planted.differences(verdicts);
  }

  @Override
  public void close() {
    process.close();
  }
}
