package org.tallywire.declared;

import java.time.Duration;
import java.util.Optional;
import org.tallywire.api.ControlLines;
import org.tallywire.api.SerialSettings;

/** Reads how the port is opened, in the words of the bridge's configuration. */
final class PortReader {

  private static final Duration LONGEST_SETTLE = Duration.ofSeconds(60);

  private PortReader() {}

  static SerialSettings settings(Optional<Section> port) {
    SerialSettings usual = SerialSettings.at(9600);
    if (port.isEmpty()) {
      return usual;
    }
    Section keys = port.get();
    return new SerialSettings(
        keys.whole("baud", 50, 4_000_000, usual.baud()),
        keys.whole("data-bits", 5, 8, usual.dataBits()),
        keys.word("parity", Words.of(SerialSettings.Parity.values())).orElse(usual.parity()),
        keys.word("stop-bits", Words.of(SerialSettings.StopBits.values(), Object::toString))
            .orElse(usual.stopBits()),
        keys.word(
                "flow",
                Words.of(SerialSettings.FlowControl.values(), SerialSettings.FlowControl::word))
            .orElse(usual.flow()));
  }

  static ControlLines lines(Optional<Section> port) {
    ControlLines usual = ControlLines.USUAL;
    if (port.isEmpty()) {
      return usual;
    }
    Section keys = port.get();
    return new ControlLines(
        isOn(keys, "dtr", usual.dtr()),
        isOn(keys, "rts", usual.rts()),
        keys.duration("settle", Duration.ZERO, LONGEST_SETTLE, usual.settle()));
  }

  /** Reads {@code on} or {@code off}, which stands in the file as it was written. */
  private static boolean isOn(Section keys, String line, boolean usual) {
    Optional<String> word = keys.optionalText(line, "on");
    Optional<Boolean> on = word.flatMap(ControlLines::isOn);
    if (word.isPresent() && on.isEmpty()) {
      keys.problem(
          line,
          "is \"%s\"; %s".formatted(Bytes.written(word.get()), ControlLines.instead(word.get())));
    }
    return on.orElse(usual);
  }
}
