package org.tallywire.acceptance.winding;

import java.util.Optional;
import java.util.stream.Stream;
import org.tallywire.acceptance.winding.Expectation.Undetermined;

/** Says why leads have no reading that the connection decides, and what to do instead. */
final class Remedy {

  private Remedy() {}

  static Undetermined undetermined(Topology topology, Leads leads, CoreForm core) {
    String reason =
        ("%s cannot be read: the flux of the excited limbs splits by reluctance, and the LV pair"
                + " shows more than their own%s.")
            .formatted(
                leads.iec(),
                core == CoreForm.FREE_LIMBS && topology.readsRatio(leads, CoreForm.THREE_LIMB)
                    ? "; only a three-limb core would decide it"
                    : "");
    String remedy =
        ties(leads, true)
            .filter(l -> topology.readsRatio(l, core))
            .findFirst()
            .map(l -> "Tie two HV terminals and measure %s.".formatted(l.iec()))
            .or(() -> otherPair(topology, leads, core))
            .or(
                () ->
                    ties(leads, false)
                        .filter(l -> topology.readsRatio(l, core))
                        .findFirst()
                        .map(l -> "Short two LV terminals and measure %s.".formatted(l.iec())))
            .orElse("No tie and no other LV pair helps: excite another HV pair.");
    return new Undetermined(reason, remedy);
  }

  /** Returns the leads with one more tie of two terminals of a side, first those at the minus. */
  private static Stream<Leads> ties(Leads leads, boolean hv) {
    Terminal plus = hv ? leads.excitePlus() : leads.measurePlus();
    Terminal minus = hv ? leads.exciteMinus() : leads.measureMinus();
    return Stream.concat(Stream.of(minus, plus), Terminal.lines(hv).stream())
        .distinct()
        .flatMap(
            one ->
                Terminal.lines(hv).stream()
                    .filter(t -> t != one && t != plus && t != minus)
                    .map(t -> leads.tied(one, t)));
  }

  private static Optional<String> otherPair(Topology topology, Leads leads, CoreForm core) {
    return LeadPlan.pairs(Terminal.LV_LINES, true).stream()
        .map(p -> Leads.withTies(leads, p.plus(), p.minus()))
        .filter(l -> topology.readsRatio(l, core))
        .findFirst()
        .map(l -> "Measure %s.".formatted(l.iec()));
  }
}
