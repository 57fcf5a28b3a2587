package org.tallywire.acceptance.winding;

import java.util.Arrays;
import java.util.List;
import java.util.Optional;

/**
 * A terminal with its IEC and IEEE letters. Sources: IEEE C57.12.70-2020, 4.1 to 4.3 (H and X;
 * found); H0, X0 and the IEC letters 1U to 2n (memory); that 1U is H1 and so on (practice).
 */
public enum Terminal {
  HV_U("1U", "H1"),
  HV_V("1V", "H2"),
  HV_W("1W", "H3"),
  HV_N("1N", "H0"),
  LV_U("2u", "X1"),
  LV_V("2v", "X2"),
  LV_W("2w", "X3"),
  LV_N("2n", "X0"),
  HV_1("1.1", "H1"),
  HV_2("1.2", "H2"),
  LV_1("2.1", "X1"),
  LV_2("2.2", "X2");

  static final List<Terminal> HV_LINES = List.of(HV_U, HV_V, HV_W);
  static final List<Terminal> LV_LINES = List.of(LV_U, LV_V, LV_W);

  private final String iec;
  private final String ieee;

  Terminal(String iec, String ieee) {
    this.iec = iec;
    this.ieee = ieee;
  }

  /** Returns for example {@code 1U} or {@code 2n}. */
  public String iec() {
    return iec;
  }

  /** Returns for example {@code H1} or {@code X0}. */
  public String ieee() {
    return ieee;
  }

  /** Tells whether it is on the HV side. */
  public boolean hv() {
    return iec.charAt(0) == '1';
  }

  /** Tells whether it is a neutral. */
  public boolean neutral() {
    return this == HV_N || this == LV_N;
  }

  /** Returns the terminal with the given IEC letters, if there is one. */
  public static Optional<Terminal> ofIec(String letters) {
    return Arrays.stream(values()).filter(t -> t.iec.equals(letters)).findFirst();
  }

  /** Returns the line terminals of a three-phase side, in phase order. */
  static List<Terminal> lines(boolean hv) {
    return hv ? HV_LINES : LV_LINES;
  }

  static Terminal neutral(boolean hv) {
    return hv ? HV_N : LV_N;
  }

  /** Returns 0, 1 or 2 for the phase, −1 for a terminal without one. */
  int phase() {
    return lines(hv()).indexOf(this);
  }

  /** Returns the terminal some phases on: U → V → W → U; a neutral stays. */
  Terminal turned(int phases) {
    int at = phase();
    return at < 0 ? this : lines(hv()).get((at + phases) % 3);
  }
}
