package org.tallywire.api;

/**
 * What a driver says about itself.
 *
 * @param name the word a configuration uses, for example {@code line}
 * @param version of the driver
 * @param about one sentence for people
 * @param baud the usual speed of its instruments, bits per second
 */
public record DriverDescription(String name, String version, String about, int baud) {

  /** Returns name and version, as records state the driver. */
  public String nameAndVersion() {
    return name + " " + version;
  }
}
