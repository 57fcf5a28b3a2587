package org.tallywire.api;

/**
 * What a driver says about itself.
 *
 * @param name the word a configuration uses, for example "line"
 * @param version of the driver
 * @param about one sentence for people
 * @param baud the usual speed of its instruments, bits per second
 * @param lines how its instruments want a serial port's control lines, and how long they need after
 *     the opening
 */
public record DriverDescription(
    String name, String version, String about, int baud, ControlLines lines) {

  /** A driver whose instruments want nothing of the control lines but the usual. */
  public DriverDescription(String name, String version, String about, int baud) {
    this(name, version, about, baud, ControlLines.USUAL);
  }

  /** Returns name and version, as records state the driver. */
  public String nameAndVersion() {
    return name + " " + version;
  }
}
