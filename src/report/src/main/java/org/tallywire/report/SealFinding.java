package org.tallywire.report;

import java.util.Optional;

/**
 * What the check of a sealed file found.
 *
 * @param intact whether it is as it was sealed
 * @param signer the key that signed, X.509, hexadecimal digits, if any did
 * @param sentence what was found, in words for a person
 */
public record SealFinding(boolean intact, Optional<String> signer, String sentence) {

  static SealFinding changed(String sentence) {
    return new SealFinding(false, Optional.empty(), sentence);
  }
}
