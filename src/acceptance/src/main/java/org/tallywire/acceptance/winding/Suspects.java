package org.tallywire.acceptance.winding;

import java.math.BigDecimal;
import java.util.ArrayList;
import java.util.List;
import java.util.function.UnaryOperator;
import org.tallywire.acceptance.winding.Hypothesis.Kind;
import org.tallywire.acceptance.winding.RatedConnection.TapRatio;
import org.tallywire.acceptance.winding.Suspect.Neutral;
import org.tallywire.acceptance.winding.WindingGroup.Connection;

/** The connections that are considered: the plate, every single mistake, every other group. */
final class Suspects {

  private static final BigDecimal HALF = new BigDecimal("0.5");

  private final RatedConnection plate;
  private final WindingGroup group;
  private final Topology rated;
  private final Topology sound;
  private final List<Suspect> all = new ArrayList<>();

  private Suspects(RatedConnection plate) {
    this.plate = plate;
    this.group = plate.group();
    this.rated = Topology.of(group);
    this.sound = rated.times(plate.ratio());
  }

  /** Returns all of them, the plate first. */
  static List<Suspect> of(RatedConnection plate) {
    Suspects suspects = new Suspects(plate);
    suspects.add(Kind.AS_RATED, "", suspects.sound);
    if (plate.group().hv() == Connection.SINGLE) {
      suspects.singlePhaseLeads();
    } else {
      suspects.swapped();
      suspects.movedOn();
    }
    suspects.reversed();
    suspects.taps();
    suspects.neutrals();
    suspects.groups();
    return List.copyOf(suspects.all);
  }

  private static List<Winding> withRatio(List<Winding> hv, BigDecimal ratio) {
    return hv.stream().map(w -> w.withTurns(w.turns().multiply(ratio))).toList();
  }

  private void add(Kind kind, String what, Topology topology) {
    all.add(new Suspect(kind, group, what, topology, UnaryOperator.identity(), Neutral.SOUND));
  }

  private void addLeads(Kind kind, String what, UnaryOperator<Terminal> map) {
    all.add(new Suspect(kind, group, what, sound, map, Neutral.SOUND));
  }

  private void singlePhaseLeads() {
    for (List<Terminal> pair :
        List.of(List.of(Terminal.HV_1, Terminal.HV_2), List.of(Terminal.LV_1, Terminal.LV_2))) {
      addLeads(
          Kind.LEADS_SWAPPED,
          swappedWords(pair.get(0), pair.get(1)),
          swap(pair.get(0), pair.get(1)));
    }
  }

  private void swapped() {
    for (boolean hv : List.of(true, false)) {
      for (Terminal one : Terminal.lines(hv)) {
        Terminal other = one.turned(1);
        addLeads(Kind.LEADS_SWAPPED, swappedWords(one, other), swap(one, other));
      }
    }
    // which two phases it is makes no difference: the phase order turns round on both sides
    addLeads(
        Kind.LEADS_SWAPPED,
        "the leads of the same two phases swapped on HV and on LV",
        t -> swap(Terminal.HV_U, Terminal.HV_V).apply(swap(Terminal.LV_U, Terminal.LV_V).apply(t)));
  }

  private static String swappedWords(Terminal one, Terminal other) {
    return "the %s leads %s and %s swapped".formatted(side(one.hv()), one.iec(), other.iec());
  }

  private static UnaryOperator<Terminal> swap(Terminal one, Terminal other) {
    return t -> t == one ? other : t == other ? one : t;
  }

  private static String side(boolean hv) {
    return hv ? "HV" : "LV";
  }

  private void movedOn() {
    for (boolean hv : List.of(true, false)) {
      for (int turns = 1; turns <= 2; turns++) {
        int by = turns;
        addLeads(
            Kind.LEADS_MOVED_ON,
            "the %s leads moved on by one phase, that of %s on %s"
                .formatted(
                    side(hv), Terminal.lines(hv).get(0).iec(), Terminal.lines(hv).get(by).iec()),
            t -> t.hv() == hv ? t.turned(by) : t);
      }
    }
  }

  private void reversed() {
    for (boolean hv : List.of(true, false)) {
      List<Winding> windings = hv ? sound.hv() : sound.lv();
      for (int phase = 0; phase < group.phases().size(); phase++) {
        List<Winding> changed = changed(windings, phase, Winding::reversed);
        add(
            Kind.WINDING_REVERSED,
            "the %s winding %s reversed inside".formatted(side(hv), name(windings, phase)),
            hv ? sound.with(changed, sound.lv()) : sound.with(sound.hv(), changed));
      }
    }
    if (group.phases().size() > 1) {
      add(
          Kind.SIDE_REVERSED,
          "all LV windings reversed",
          sound.with(sound.hv(), sound.lv().stream().map(Winding::reversed).toList()));
    }
  }

  /** Returns the windings with those of one phase, one or two, changed. */
  private List<Winding> changed(List<Winding> windings, int phase, UnaryOperator<Winding> change) {
    int each = windings.size() / group.phases().size();
    List<Winding> changed = new ArrayList<>(windings);
    for (int i = phase * each; i < (phase + 1) * each; i++) {
      changed.set(i, change.apply(windings.get(i)));
    }
    return changed;
  }

  /** Returns for example {@code 1U-1N} or {@code 1U-1V}. */
  private String name(List<Winding> windings, int phase) {
    int each = windings.size() / group.phases().size();
    Winding first = windings.get(phase * each);
    Winding last = windings.get((phase + 1) * each - 1);
    String from = first.from().endsWith("'") ? first.to() : first.from();
    String to = each == 1 ? first.to() : last.from().endsWith("'") ? last.to() : last.from();
    return from + "-" + to;
  }

  private void taps() {
    List<TapRatio> others = plate.taps().stream().filter(t -> t.position() != plate.tap()).toList();
    for (TapRatio tap : others) {
      add(
          Kind.OTHER_TAP,
          "the tap changer on position %d, not %d".formatted(tap.position(), plate.tap()),
          rated.times(tap.ratio()));
    }
    if (group.phases().size() == 1) {
      return;
    }
    List<Winding> hv = withRatio(rated.hv(), plate.ratio());
    for (TapRatio tap : others) {
      for (int phase = 0; phase < group.phases().size(); phase++) {
        List<Winding> atOther =
            changed(
                hv,
                phase,
                w ->
                    w.withTurns(
                        tap.ratio()
                            .multiply(group.hv() == Connection.ZIGZAG ? HALF : BigDecimal.ONE)));
        add(
            Kind.OTHER_TAP_ON_ONE_PHASE,
            "position %d, not %d, in the HV winding %s alone"
                .formatted(tap.position(), plate.tap(), name(hv, phase)),
            rated.with(atOther, rated.lv()));
      }
    }
  }

  private void neutrals() {
    for (boolean hv : List.of(true, false)) {
      if (hv ? group.hvNeutral() : group.lvNeutral()) {
        addNeutral(
            Kind.NEUTRAL_MISSING,
            "the lead of the %s neutral not connected".formatted(side(hv)),
            hv ? Neutral.HV_OPEN : Neutral.LV_OPEN);
        addNeutral(
            Kind.LINE_FOR_PHASE,
            "%s taken from line to line instead of line to neutral".formatted(side(hv)),
            hv ? Neutral.HV_LINE : Neutral.LV_LINE);
      }
    }
  }

  private void addNeutral(Kind kind, String what, Neutral neutral) {
    all.add(new Suspect(kind, group, what, sound, UnaryOperator.identity(), neutral));
  }

  private void groups() {
    for (Connection hv : Connection.values()) {
      for (Connection lv : Connection.values()) {
        for (int hour = 0; hour < 12; hour++) {
          boolean hvNeutral = group.hvNeutral() && hv != Connection.DELTA;
          boolean lvNeutral = group.lvNeutral() && lv != Connection.DELTA;
          boolean samePhases = (hv == Connection.SINGLE) == (group.hv() == Connection.SINGLE);
          if (!samePhases || !WindingGroup.exists(hv, lv, hour)) {
            continue;
          }
          WindingGroup other = new WindingGroup(hv, lv, hvNeutral, lvNeutral, hour);
          if (!other.equals(group)) {
            all.add(
                new Suspect(
                    Kind.OTHER_GROUP,
                    other,
                    "",
                    Topology.of(other).times(plate.ratio()),
                    UnaryOperator.identity(),
                    Neutral.SOUND));
          }
        }
      }
    }
  }
}
