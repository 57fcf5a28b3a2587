package org.tallywire.simulator.physics;

/**
 * An invented transformer for tests: 250 kVA, 11 000 V delta / 433 V star, 1320 and 30 turns, 6.448
 * Ω and 2.368 mΩ a phase, half of 4.3 % leakage in each winding.
 */
final class SmallUnit {

  static final int HV_TURNS = 1320;
  static final int LV_TURNS = 30;
  static final double HV_OHMS = 6.448;
  static final double LV_OHMS = 2.368e-3;
  static final int HV_LAYER = 0;
  static final int LV_LAYER = 1;

  final Core core = core(Steel.GRAIN_ORIENTED);

  static Core core(Steel steel) {
    SteelPath outer = new SteelPath(steel, 0.0235, 1.36, 16e-6);
    SteelPath centre = new SteelPath(steel, 0.0235, 0.63, 8e-6);
    return Core.threeLimbs(outer, centre, outer, 4e-6, 5.7e-8, 5.7e-8);
  }

  /** Delta U V W, the winding of limb k from terminal k to the next; star u v w n. */
  Network network() {
    Network network = new Network(core);
    String[] hv = {"U", "V", "W", "U"};
    String[] lv = {"u", "v", "w"};
    for (int limb = 0; limb < 3; limb++) {
      network.coil(hv[limb], hv[limb + 1], new Coil(limb, HV_TURNS, HV_OHMS, 0, HV_LAYER));
      network.coil(lv[limb], "n", new Coil(limb, LV_TURNS, LV_OHMS, 0, LV_LAYER));
    }
    return network;
  }
}
