package org.tallywire.acceptance;

import java.util.Locale;
import java.util.Optional;

/** How the limbs of the core go together; decides which excitation currents are alike. */
public enum CoreForm {
  /** The outer two limbs are alike, the centre limb has the shorter path. */
  THREE_LIMB,
  FOUR_LIMB,
  FIVE_LIMB,
  SHELL,
  /** Three single-phase cores, or one single-phase unit. */
  SINGLE_PHASE;

  /** Returns the word for it in records and nameplate files. */
  public String word() {
    return name().toLowerCase(Locale.ROOT).replace('_', '-');
  }

  /** Returns the form with the given word, or nothing if there is none. */
  public static Optional<CoreForm> of(String word) {
    for (CoreForm form : values()) {
      if (form.word().equals(word)) {
        return Optional.of(form);
      }
    }
    return Optional.empty();
  }
}
