package org.tallywire.format;

import java.math.BigDecimal;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Optional;
import org.tallywire.acceptance.Side;
import org.tallywire.acceptance.TapChanger;
import org.tallywire.acceptance.TapChanger.Kind;
import org.tallywire.acceptance.TapChanger.Tap;

/** Reads the tap changers of a nameplate: {@code tap-changers}, or short {@code taps}. */
final class TapChangerKeys {

  private final YamlSection plate;
  private final BigDecimal hvVoltage;
  private final BigDecimal lvVoltage;
  private int named;

  TapChangerKeys(YamlSection plate, BigDecimal hvVoltage, BigDecimal lvVoltage) {
    this.plate = plate;
    this.hvVoltage = hvVoltage;
    this.lvVoltage = lvVoltage;
  }

  /** Tells whether the plate that was read names two tap changers, well or badly. */
  boolean two() {
    return named > 1;
  }

  /** Returns at least one; what is wrong has become a problem of the plate. */
  List<TapChanger> read() {
    if (!plate.has("tap-changers")) {
      return List.of(usual());
    }
    for (String other : List.of("taps", "principal-tap")) {
      if (plate.has(other)) {
        plate.problem(other, "does not go with tap-changers: say it there");
      }
    }
    List<TapChanger> changers = new ArrayList<>();
    List<YamlSection> sections = plate.list("tap-changers");
    named = sections.size();
    for (YamlSection section : sections) {
      changer(section).ifPresent(changers::add);
      section.end();
    }
    if (named < 1 || named > 2) {
      plate.problem("tap-changers", "are %d, not one or two".formatted(named));
    }
    return changers.isEmpty() ? List.of(usual()) : changers;
  }

  /** Returns the de-energised tap changer on HV that {@code taps} and its principal tap mean. */
  private TapChanger usual() {
    int principal = plate.whole("principal-tap", 1, TapChanger.LAST_POSITION, 1);
    List<Tap> taps = taps(plate);
    if (taps.isEmpty()) {
      taps = List.of(new Tap(principal, hvVoltage));
    } else {
      checkPrincipal(plate, "principal-tap", principal, taps);
    }
    return new TapChanger(Side.HV, Kind.DE_ENERGISED, taps, principal);
  }

  private Optional<TapChanger> changer(YamlSection section) {
    Optional<Side> side = section.converted("side", "HV or LV", TapChangerKeys::side);
    Optional<Kind> kind = section.converted("kind", "de-energised or on-load", Kind::of);
    int principal = section.whole("principal", 1, TapChanger.LAST_POSITION);
    boolean listed = section.has("taps");
    boolean equal = section.has("positions");
    if (listed == equal) {
      section.problem(
          "taps",
          "or positions: a tap changer has either a list of taps, or positions, first-percent and"
              + " step-percent");
    }
    if (equal) {
      return equalSteps(section, side, kind, principal);
    }
    List<Tap> taps = taps(section);
    if (listed) {
      checkPrincipal(section, "principal", principal, taps);
    }
    return side.flatMap(s -> kind.map(k -> new TapChanger(s, k, taps, principal)));
  }

  private Optional<TapChanger> equalSteps(
      YamlSection section, Optional<Side> side, Optional<Kind> kind, int principal) {
    int before = section.problems();
    int positions = section.whole("positions", 1, TapChanger.LAST_POSITION);
    BigDecimal first = section.decimal("first-percent");
    BigDecimal step = section.decimal("step-percent");
    if (section.problems() > before || side.isEmpty() || kind.isEmpty()) {
      return Optional.empty();
    }
    if (step.signum() == 0 && positions > 1) {
      section.problem("step-percent", "is 0: all %d positions would be alike".formatted(positions));
      return Optional.empty();
    }
    BigDecimal rated = side.get() == Side.HV ? hvVoltage : lvVoltage;
    try {
      return Optional.of(
          TapChanger.equalSteps(side.get(), kind.get(), rated, positions, first, step, principal));
    } catch (IllegalArgumentException e) {
      section.problem("principal", "does not fit: " + e.getMessage());
      return Optional.empty();
    }
  }

  private static void checkPrincipal(
      YamlSection section, String key, int principal, List<Tap> taps) {
    if (taps.stream().noneMatch(tap -> tap.position() == principal)) {
      section.problem(key, "%d is none of the taps".formatted(principal));
    }
  }

  private static List<Tap> taps(YamlSection section) {
    List<Tap> taps = new ArrayList<>();
    for (YamlSection tap : section.list("taps")) {
      taps.add(new Tap(tap.whole("position", 1, TapChanger.LAST_POSITION), tap.decimal("voltage")));
      tap.end();
    }
    return taps;
  }

  static Optional<Side> side(String word) {
    return Arrays.stream(Side.values()).filter(side -> side.name().equals(word)).findFirst();
  }
}
