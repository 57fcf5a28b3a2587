package org.tallywire.declared;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.regex.Pattern;
import org.tallywire.api.Driver;
import org.tallywire.api.DriverDescription;
import org.tallywire.api.Example;
import org.tallywire.api.Framer;
import org.tallywire.api.Session;
import org.tallywire.api.SessionHost;

/**
 * A driver that a file describes; made by {@link DeclaredFile}. Safe for use by many threads. What
 * a file means is numbered DRV-1 to DRV-19 in {@code shared/declared/README.md}.
 */
public final class DeclaredDriver implements Driver {

  static final String ADDRESSES = "addresses";
  static final String SERIAL = "serial";

  /** Stands in the settings for no serial number. */
  static final String NO_SERIAL = "-";

  private static final int MOST_ADDRESSES = 64;
  private static final Pattern ADDRESS = Pattern.compile("[!-+\\--<>-~]{1,16}");
  private static final int LONGEST_SERIAL = 64;

  private final Declaration declaration;
  private final Map<String, String> serials;
  private final List<byte[]> echoes = new ArrayList<>();

  /** Takes the serial numbers by their addresses; one without address for a line of its own. */
  DeclaredDriver(Declaration declaration, Map<String, String> serials) {
    this.declaration = declaration;
    this.serials = serials;
    if (declaration.echo()) {
      List<Question> all = new ArrayList<>(declaration.atStart());
      all.addAll(declaration.asks());
      for (Question question : all) {
        serials.keySet().forEach(a -> echoes.add(declaration.bytes(question, a)));
      }
    }
  }

  /** Returns a driver with the settings that are usual. */
  static DeclaredDriver usual(Declaration declaration) {
    Map<String, String> usual = new LinkedHashMap<>();
    declaration.description().settings().forEach(s -> usual.put(s.name(), s.usual()));
    return new DeclaredDriver(declaration, serials(declaration, usual));
  }

  @Override
  public DriverDescription description() {
    return declaration.description();
  }

  @Override
  public Framer newFramer() {
    return new DeclaredFramer(declaration.shape(), echoes, declaration.firstMayBeHalf());
  }

  @Override
  public Session open(SessionHost host) {
    return new DeclaredSession(declaration, serials, host);
  }

  @Override
  public DeclaredDriver configured(Map<String, String> settings) {
    Map<String, String> all = new LinkedHashMap<>();
    description().settings().forEach(s -> all.put(s.name(), s.usual()));
    for (String name : settings.keySet()) {
      if (!all.containsKey(name)) {
        throw new IllegalArgumentException(
            "the driver \"%s\" has no setting \"%s\"; it has %s"
                .formatted(description().name(), name, all.keySet()));
      }
    }
    all.putAll(settings);
    return new DeclaredDriver(declaration, serials(declaration, all));
  }

  @Override
  public List<Example> examples() {
    return declaration.examples();
  }

  /**
   * Returns what the bits of each status mean, for people who compare it with the meter's manual: a
   * line a bit, which names the field, the bit, its mask and its word.
   */
  public List<String> bitsInWords() {
    return declaration.rules().stream()
        .flatMap(rule -> rule.readings().stream())
        .map(ReadingRule::status)
        .filter(ReadingRule.StatusRule.Bits.class::isInstance)
        .map(ReadingRule.StatusRule.Bits.class::cast)
        .flatMap(bits -> bits.inWords().stream().map(bit -> bits.from() + ": " + bit))
        .distinct()
        .toList();
  }

  /** Returns the serial numbers by their addresses, from such as {@code 01=4711, 02}. */
  private static Map<String, String> serials(
      Declaration declaration, Map<String, String> settings) {
    if (!declaration.isAddressed()) {
      return Map.of("", serial(settings.getOrDefault(SERIAL, "")));
    }
    Map<String, String> serials = new LinkedHashMap<>();
    for (String entry : settings.getOrDefault(ADDRESSES, "").split(",", -1)) {
      String[] parts = entry.strip().split("=", 2);
      String address = parts[0].strip();
      if (!ADDRESS.matcher(address).matches()) {
        throw new IllegalArgumentException(
            ("addresses: \"%s\" is no address of 1 to 16 printable characters; write for example"
                    + " \"01, 02\", or \"01=4711, 02=4712\" with serial numbers")
                .formatted(address));
      }
      String serial = parts.length == 2 ? parts[1].strip() : Target.byAddress(address);
      if (serials.put(address, serial(serial)) != null) {
        throw new IllegalArgumentException("addresses: %s stands twice".formatted(address));
      }
    }
    if (serials.size() > MOST_ADDRESSES) {
      throw new IllegalArgumentException(
          "addresses: %d of them; a line has at most %d".formatted(serials.size(), MOST_ADDRESSES));
    }
    return serials;
  }

  private static String serial(String serial) {
    if (serial.length() > LONGEST_SERIAL) {
      throw new IllegalArgumentException(
          "a serial number of %d characters; it has at most %d"
              .formatted(serial.length(), LONGEST_SERIAL));
    }
    return serial.equals(NO_SERIAL) ? "" : serial;
  }
}
