package org.tallywire.api;

/**
 * An instrument as it names itself.
 *
 * @param maker free text, at most 64 characters (code points), empty if it does not say
 * @param model likewise
 * @param serial likewise
 * @param firmware likewise
 */
public record Instrument(String maker, String model, String serial, String firmware) {

  private static final int LONGEST = 64;

  /** An instrument that says nothing about itself. */
  public static final Instrument UNNAMED = new Instrument("", "", "", "");

  public Instrument {
    for (String part : new String[] {maker, model, serial, firmware}) {
      int length = part.codePointCount(0, part.length());
      if (length > LONGEST) {
        throw new IllegalArgumentException(
            "an instrument's maker, model, serial and firmware have at most %d characters, not %d"
                .formatted(LONGEST, length));
      }
    }
  }

  /** Tells whether this names one single instrument: a serial number is what does. */
  public boolean identified() {
    return !serial.isEmpty();
  }
}
