package org.tallywire.simulator;

import java.time.Duration;
import java.util.List;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.tallywire.simulator.scenario.Fault;
import org.tallywire.simulator.scenario.FaultText;
import org.tallywire.simulator.scenario.LineFault.Freeze;
import org.tallywire.simulator.scenario.LineFault.Reboot;
import org.tallywire.simulator.scenario.LineFault.Unplug;
import org.tallywire.simulator.scenario.Planted;
import org.tallywire.simulator.scenario.ScenarioException;

/** Commands that come while instruments work: faults are planted and taken away again. */
final class Console {

  static final String HELP =
      """
      plant FAULT       plants a fault now, as a scenario file writes it, for example
                          plant bad joint: {winding: LV, phase: C, adds: 8 %}
                          plant freeze for 5 s
      clear NAME        takes away every fault of that name, for example: clear bad joint
      clear all         takes all faults away
      pause             measures nothing more, and goes on telling what it has
      resume            measures on, first what was due meanwhile
      list              lists what is planted, and what of it is over or to come
      help              shows this
      A serial number before a command, for example "SIM-0002 clear all", means that instrument
      alone; else all are meant.""";

  private static final Pattern COMMAND =
      Pattern.compile("(?:(SIM-\\d+)\\s+)?(\\w+)(?:\\s+(.*))?", Pattern.DOTALL);

  private final List<Bench> benches;
  private final Fleet.Announcer announcer;

  Console(List<Bench> benches, Fleet.Announcer announcer) {
    this.benches = benches;
    this.announcer = announcer;
  }

  /** Does one line; what cannot be done is said to people. */
  void take(String line) {
    Matcher command = COMMAND.matcher(line.strip());
    if (!command.matches()) {
      if (!line.isBlank()) {
        refuse(line);
      }
      return;
    }
    String serial = command.group(1);
    List<Bench> meant =
        benches.stream().filter(b -> serial == null || b.serial().equals(serial)).toList();
    if (meant.isEmpty()) {
      announcer.remark("there is no instrument %s here; nothing is done".formatted(serial));
      return;
    }
    String rest = command.group(3) == null ? "" : command.group(3);
    switch (command.group(2)) {
      case "plant" -> meant.forEach(bench -> plant(bench, rest));
      case "clear" -> meant.forEach(bench -> clear(bench, rest));
      case "pause" -> meant.forEach(bench -> pause(bench, true));
      case "resume" -> meant.forEach(bench -> pause(bench, false));
      case "list" -> meant.forEach(this::list);
      case "help" -> announcer.remark(HELP);
      default -> refuse(line);
    }
  }

  private void refuse(String line) {
    announcer.remark("\"%s\" is no command; \"help\" lists them".formatted(line.strip()));
  }

  private void plant(Bench bench, String text) {
    try {
      Duration now = bench.time().elapsed();
      Planted planted = FaultText.read(text, bench.scenario(), now);
      bench.faults().plant(planted);
      announcer.announce("planted", bench.serial(), inWords(planted));
      if (!bench.time().begun() && planted.until().isPresent()) {
        bench.remark("its time begins with the measuring");
      }
    } catch (ScenarioException wrong) {
      bench.remark("nothing is planted: " + wrong.getMessage());
    }
  }

  /** A name may have dashes, as it was announced. */
  private void clear(Bench bench, String name) {
    String word = name.replace('-', ' ');
    int count = word.equals("all") ? bench.faults().clear() : bench.faults().clear(word);
    if (count == 0) {
      bench.remark(
          "there is no fault \"%s\" to take away; \"list\" lists what is planted".formatted(word));
    } else {
      announcer.announce("cleared", bench.serial(), Fault.dashed(word));
    }
  }

  private void pause(Bench bench, boolean still) {
    bench.time().pause(still);
    announcer.announce(still ? "paused" : "resumed", bench.serial(), "-");
  }

  private void list(Bench bench) {
    List<Planted> all = bench.faults().all();
    bench.remark(all.isEmpty() ? "nothing is planted" : "planted:");
    Duration now = bench.time().elapsed();
    all.forEach(
        planted -> bench.remark("  " + FaultText.inWords(planted) + whereInTime(planted, now)));
  }

  /**
   * Returns what is appended to a fault that is not there at that bench time. A reboot is over when
   * the test set is on again; at time zero a line neither freezes nor is it pulled.
   */
  static String whereInTime(Planted planted, Duration now) {
    boolean waits =
        now.isZero() && (planted.fault() instanceof Freeze || planted.fault() instanceof Unplug);
    if (waits || now.compareTo(planted.from()) < 0) {
      return ", to come";
    }
    boolean on =
        planted.fault() instanceof Reboot reboot
            && now.compareTo(planted.from().plus(reboot.off())) >= 0;
    return on || !planted.at(now) ? ", over" : "";
  }

  /**
   * Returns a fault for programs: its name and where it sits, for example {@code bad-joint LV C}.
   */
  static String inWords(Planted planted) {
    return Fault.dashed(planted.fault().word()) + " " + planted.fault().place();
  }
}
