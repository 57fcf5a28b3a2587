package org.tallywire.simulator.wire;

import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Set;
import java.util.function.Consumer;
import org.tallywire.simulator.scenario.Fault;
import org.tallywire.simulator.scenario.FaultText;
import org.tallywire.simulator.scenario.Faults;
import org.tallywire.simulator.scenario.LineFault.BitErrors;
import org.tallywire.simulator.scenario.LineFault.Duplicates;
import org.tallywire.simulator.scenario.LineFault.Freeze;
import org.tallywire.simulator.scenario.LineFault.LineNoise;
import org.tallywire.simulator.scenario.LineFault.LostBytes;
import org.tallywire.simulator.scenario.Planted;

/** Says once when a trouble of the line begins and once when it ends. */
final class LineRemarks {

  /** Those that are not remarked elsewhere, when they happen. */
  private static final Set<Class<? extends Fault>> OF_THE_LINE =
      Set.of(LineNoise.class, BitErrors.class, LostBytes.class, Duplicates.class, Freeze.class);

  private final Faults faults;
  private final Consumer<String> remark;
  private List<Planted> known = List.of();

  LineRemarks(Faults faults, Consumer<String> remark) {
    this.faults = faults;
    this.remark = remark;
  }

  /** At bench time zero a line does not freeze, see {@link TroubledWire}. */
  void look(Duration moment) {
    List<Planted> there = new ArrayList<>();
    for (Planted planted : faults.all()) {
      boolean waits = moment.isZero() && planted.fault() instanceof Freeze;
      if (planted.at(moment) && !waits && OF_THE_LINE.contains(planted.fault().getClass())) {
        there.add(planted);
      }
    }
    for (Planted planted : there) {
      if (!known.contains(planted)) {
        remark.accept("its line: " + FaultText.inWords(planted.fault()));
      }
    }
    for (Planted planted : known) {
      if (!there.contains(planted)) {
        remark.accept("its line, %s: over".formatted(planted.fault().word()));
      }
    }
    known = there;
  }
}
