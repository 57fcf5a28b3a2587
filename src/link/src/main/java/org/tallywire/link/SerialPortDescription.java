package org.tallywire.link;

import java.util.List;
import java.util.Optional;
import java.util.OptionalInt;

/**
 * A serial port as the machine shows it.
 *
 * @param path the device, for example {@code /dev/ttyUSB0}
 * @param stableNames other names that stay the same when it is plugged in again, best first
 * @param about what the system says about it
 * @param hindrance why this account cannot open it and what to do, if so
 * @param latency how many milliseconds its adapter holds back a short answer, where it says so
 */
public record SerialPortDescription(
    String path,
    List<String> stableNames,
    String about,
    Optional<String> hindrance,
    OptionalInt latency) {}
