package org.tallywire.bridge;

import java.math.BigDecimal;
import java.nio.file.Path;
import java.time.Duration;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.function.Function;
import org.tallywire.api.ControlLines;
import org.tallywire.api.DriverDescription;
import org.tallywire.api.LinkAddress;
import org.tallywire.api.SerialSettings;
import org.tallywire.format.YamlSection;

/** Reads where a station's link leads; what is not said of a serial line is as its driver wants. */
final class LinkSection {

  private static final Map<String, SerialSettings.Parity> PARITIES =
      words(SerialSettings.Parity.values(), parity -> parity.name().toLowerCase(Locale.ROOT));
  private static final Map<String, SerialSettings.StopBits> STOP_BITS =
      words(SerialSettings.StopBits.values(), SerialSettings.StopBits::toString);
  private static final Map<String, SerialSettings.FlowControl> FLOWS =
      words(SerialSettings.FlowControl.values(), SerialSettings.FlowControl::word);
  private static final List<String> KINDS =
      List.of("serial", "tcp", "listen", "rfc2217", "program", "replay");

  private static final Duration LONGEST_SETTLE = Duration.ofSeconds(60);

  /** As far as a driver that is not known yet says nothing else. */
  private static final DriverDescription UNKNOWN = new DriverDescription("", "", "", 9_600);

  private final Path folder;

  /**
   * @param folder that paths are taken from
   */
  LinkSection(Path folder) {
    this.folder = folder;
  }

  /** Reads the one link of a station; nothing, and a problem, if there is none or several. */
  Optional<LinkAddress> read(YamlSection station, Optional<DriverDescription> driver) {
    List<String> there = KINDS.stream().filter(station::has).toList();
    if (there.size() != 1) {
      station.problem(
          there.isEmpty() ? "serial" : there.get(1),
          "is %s: a station has exactly one of %s"
              .formatted(there.isEmpty() ? "missing" : "too much", String.join(", ", KINDS)));
      there.forEach(station::section);
      return Optional.empty();
    }
    String kind = there.get(0);
    return station.section(kind).map(section -> address(kind, section, driver.orElse(UNKNOWN)));
  }

  private LinkAddress address(String kind, YamlSection section, DriverDescription driver) {
    LinkAddress address =
        switch (kind) {
          case "serial" ->
              new LinkAddress.Serial(
                  section.text("port"),
                  settings(section, driver.serial()),
                  lines(section, driver.lines()));
          case "tcp" ->
              new LinkAddress.Tcp(
                  section.text("host"), port(section), settle(section, driver.lines()));
          case "listen" ->
              new LinkAddress.TcpListener(
                  section.text("host"), port(section), settle(section, driver.lines()));
          case "rfc2217" ->
              new LinkAddress.NetworkSerial(
                  section.text("host"),
                  port(section),
                  settings(section, driver.serial()),
                  lines(section, driver.lines()));
          case "program" -> program(section);
          case "replay" ->
              new LinkAddress.Recording(
                  folder.resolve(section.text("file")),
                  section
                      .optionalDecimal("pace")
                      .map(pace -> pace.max(BigDecimal.ZERO))
                      .orElse(BigDecimal.ONE));
          default -> throw new IllegalStateException(kind);
        };
    section.end();
    return address;
  }

  private static int port(YamlSection section) {
    return section.whole("port", 1, 65_535);
  }

  private LinkAddress program(YamlSection section) {
    List<String> command = section.texts("command");
    if (command.isEmpty()) {
      section.problem("command", "is to be a list: the program and its arguments, one text each");
    }
    Path start = folder.resolve(section.optionalText("folder").orElse("."));
    return new LinkAddress.Program(command.isEmpty() ? List.of("?") : command, start.normalize());
  }

  private static SerialSettings settings(YamlSection serial, SerialSettings usual) {
    return new SerialSettings(
        serial.whole("baud", 50, 4_000_000, usual.baud()),
        serial.whole("data-bits", 5, 8, usual.dataBits()),
        word(serial, "parity", PARITIES, usual.parity()),
        word(serial, "stop-bits", STOP_BITS, usual.stopBits()),
        word(serial, "flow", FLOWS, usual.flow()));
  }

  private static ControlLines lines(YamlSection serial, ControlLines usual) {
    return new ControlLines(
        isOn(serial, "dtr", usual.dtr()), isOn(serial, "rts", usual.rts()), settle(serial, usual));
  }

  private static Duration settle(YamlSection link, ControlLines usual) {
    if (!link.has("settle")) {
      return usual.settle();
    }
    return link.converted(
            "settle",
            "a time from 0 s to 60 s, such as 2 s or 500 ms",
            text -> Durations.of(text).filter(t -> t.compareTo(LONGEST_SETTLE) <= 0))
        .orElse(usual.settle());
  }

  private static boolean isOn(YamlSection serial, String line, boolean usual) {
    Optional<String> word = serial.optionalText(line);
    Optional<Boolean> on = word.flatMap(ControlLines::isOn);
    if (word.isPresent() && on.isEmpty()) {
      serial.problem(line, "is \"%s\"; %s".formatted(word.get(), ControlLines.instead(word.get())));
    }
    return on.orElse(usual);
  }

  /** Returns what a word stands for, or the usual where there is none. */
  private static <T> T word(YamlSection section, String key, Map<String, T> words, T usual) {
    if (!section.has(key)) {
      return usual;
    }
    return section
        .converted(
            key, String.join(" or ", words.keySet()), word -> Optional.ofNullable(words.get(word)))
        .orElse(usual);
  }

  private static <T> Map<String, T> words(T[] values, Function<T, String> word) {
    Map<String, T> words = new LinkedHashMap<>();
    for (T value : values) {
      words.put(word.apply(value), value);
    }
    return words;
  }
}
