package org.tallywire.simulator.wire;

import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.function.Consumer;
import org.tallywire.simulator.scenario.Fault;
import org.tallywire.simulator.scenario.Faults;
import org.tallywire.simulator.scenario.LineFault.BitErrors;
import org.tallywire.simulator.scenario.LineFault.Duplicates;
import org.tallywire.simulator.scenario.LineFault.Freeze;
import org.tallywire.simulator.scenario.LineFault.LineNoise;
import org.tallywire.simulator.scenario.LineFault.LostBytes;
import org.tallywire.simulator.scenario.Planted;

/** Says once when a trouble of the line begins and once when it ends. */
final class LineRemarks {

  private final Faults faults;
  private final Consumer<String> remark;
  private List<Planted> known = List.of();

  LineRemarks(Faults faults, Consumer<String> remark) {
    this.faults = faults;
    this.remark = remark;
  }

  void look(Duration moment) {
    List<Planted> there = new ArrayList<>();
    for (Planted planted : faults.all()) {
      if (planted.at(moment) && !effect(planted.fault()).isEmpty()) {
        there.add(planted);
      }
    }
    for (Planted planted : there) {
      if (!known.contains(planted)) {
        remark.accept(
            "its line, %s: %s".formatted(planted.fault().word(), effect(planted.fault())));
      }
    }
    for (Planted planted : known) {
      if (!there.contains(planted)) {
        remark.accept("its line, %s: over".formatted(planted.fault().word()));
      }
    }
    known = there;
  }

  /** Returns what it does, empty for what is not the line's business or is remarked elsewhere. */
  private static String effect(Fault fault) {
    if (fault instanceof LineNoise noise) {
      return "random bytes before %s of what is sent".formatted(noise.share());
    }
    if (fault instanceof BitErrors errors) {
      return "each bit turns over with probability %s".formatted(errors.probability());
    }
    if (fault instanceof LostBytes losses) {
      return "each byte is lost with probability %s".formatted(losses.probability());
    }
    if (fault instanceof Duplicates duplicates) {
      return "%s of what is sent goes out twice".formatted(duplicates.share());
    }
    return fault instanceof Freeze ? "nothing is sent or heard" : "";
  }
}
