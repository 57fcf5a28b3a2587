package org.tallywire.acceptance;

import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.OptionalInt;
import org.tallywire.acceptance.TapChanger.Tap;

/**
 * Where the tap changers of a unit stand.
 *
 * @param tap of the only tap changer, or of the de-energised one of two
 * @param onLoadTap of the on-load tap changer of two
 */
record TapSetting(int tap, OptionalInt onLoadTap) {

  /** Returns the setting in which a step is taken, if its tap matters. */
  static Optional<TapSetting> of(Step step) {
    return step.tap().isPresent()
        ? Optional.of(new TapSetting(step.tap().getAsInt(), step.onLoadTap()))
        : Optional.empty();
  }

  /** Returns the setting with every tap changer on its principal position. */
  static TapSetting principal(List<TapChanger> changers) {
    return new TapSetting(
        changers.get(0).principal(),
        changers.size() > 1 ? OptionalInt.of(changers.get(1).principal()) : OptionalInt.empty());
  }

  /**
   * Returns the settings of a plan: every position of each tap changer with the other on its
   * principal one, none twice; first those of the first tap changer, in the plate's order.
   */
  static List<TapSetting> all(List<TapChanger> changers) {
    TapSetting principal = principal(changers);
    List<TapSetting> all = new ArrayList<>();
    for (Tap tap : changers.get(0).taps()) {
      all.add(new TapSetting(tap.position(), principal.onLoadTap()));
    }
    if (changers.size() > 1) {
      for (Tap tap : changers.get(1).taps()) {
        if (tap.position() != changers.get(1).principal()) {
          all.add(new TapSetting(principal.tap(), OptionalInt.of(tap.position())));
        }
      }
    }
    return all;
  }

  /** Returns the id of the ratio step of a phase in this setting. */
  String ratioStep(String phase) {
    return Step.TURNS_RATIO + "/" + Step.HV_LV + "/" + phase + suffix();
  }

  /** Returns the end of a step's id, for example {@code /3} or {@code /3/9}. */
  String suffix() {
    return "/" + tap + (onLoadTap.isPresent() ? "/" + onLoadTap.getAsInt() : "");
  }
}
