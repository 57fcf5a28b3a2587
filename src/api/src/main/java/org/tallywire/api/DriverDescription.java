package org.tallywire.api;

import java.util.List;

/**
 * What a driver says about itself and its instruments.
 *
 * @param name the word a configuration uses, for example "line"
 * @param version of the driver
 * @param about one sentence for people
 * @param serial how its instruments usually speak over a serial line
 * @param lines how its instruments want a serial port's control lines, and how long they need after
 *     the opening
 * @param memory what its instruments do about readings that nobody took
 * @param checked whether a damaged message is told by a check value, so that it never gives a
 *     reading
 * @param settings what a station's configuration may set, none twice
 */
public record DriverDescription(
    String name,
    String version,
    String about,
    SerialSettings serial,
    ControlLines lines,
    Memory memory,
    boolean checked,
    List<Setting> settings) {

  public DriverDescription {
    settings = List.copyOf(settings);
  }

  /**
   * A driver whose instruments talk at that speed with 8 data bits, no parity and one stop bit,
   * remember nothing and check nothing; what is otherwise is said with the methods below.
   */
  public DriverDescription(String name, String version, String about, int baud) {
    this(
        name,
        version,
        about,
        SerialSettings.at(baud),
        ControlLines.USUAL,
        Memory.NONE,
        false,
        List.of());
  }

  /** Returns the same with other serial settings. */
  public DriverDescription withSerial(SerialSettings other) {
    return new DriverDescription(name, version, about, other, lines, memory, checked, settings);
  }

  /** Returns the same with other control lines. */
  public DriverDescription withLines(ControlLines other) {
    return new DriverDescription(name, version, about, serial, other, memory, checked, settings);
  }

  /** Returns the same with instruments that remember otherwise. */
  public DriverDescription withMemory(Memory other) {
    return new DriverDescription(name, version, about, serial, lines, other, checked, settings);
  }

  /** Returns the same with instruments whose messages carry a check value. */
  public DriverDescription withCheck() {
    return new DriverDescription(name, version, about, serial, lines, memory, true, settings);
  }

  /** Returns the same with these settings. */
  public DriverDescription withSettings(Setting... others) {
    return new DriverDescription(
        name, version, about, serial, lines, memory, checked, List.of(others));
  }

  /** Returns name and version, as records state the driver. */
  public String nameAndVersion() {
    return name + " " + version;
  }

  /** What instruments do about readings that nobody took. */
  public enum Memory {
    /** They number readings and send them until they are acknowledged: nothing is lost. */
    KEEPS,
    /** They number readings but do not send one again: what is lost is seen and declared. */
    NUMBERS,
    /** Neither: a reading that is lost on the way leaves no trace. */
    NONE
  }

  /**
   * Something that a station's configuration may set.
   *
   * @param name its key there
   * @param about one sentence for people, with an example
   * @param usual the value where it is not set; empty if it must be set
   */
  public record Setting(String name, String about, String usual) {}
}
