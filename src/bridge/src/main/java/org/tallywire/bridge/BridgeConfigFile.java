package org.tallywire.bridge;

import java.nio.file.Path;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.HashSet;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.regex.Pattern;
import org.tallywire.api.Driver;
import org.tallywire.api.DriverDescription;
import org.tallywire.api.LinkAddress;
import org.tallywire.format.JobFile;
import org.tallywire.format.Problems;
import org.tallywire.format.SetupException;
import org.tallywire.format.StateRecord;
import org.tallywire.format.YamlFile;
import org.tallywire.format.YamlSection;

/**
 * Reads the configuration file of {@code tallywire run}. Every problem in it and in the files it
 * names is told at once; nothing is repaired. Paths in it are taken from the folder it stands in.
 */
final class BridgeConfigFile {

  static final String NAME_WORDS = "1 to 64 of A-Z a-z 0-9 _ -";
  static final Pattern NAME = Pattern.compile("[A-Za-z0-9_-]{1,64}");
  private static final int DEFAULT_PAGE_PORT = 8480;
  private static final int MOST_KEEP_DAYS = 36_500;

  private final Path folder;
  private final Problems problems = new Problems();
  private final LinkSection links;
  private final BrokerSection broker;
  private Drivers drivers;

  private BridgeConfigFile(Path folder, Drivers drivers, SecretKeys.Environment environment) {
    this.folder = folder;
    this.drivers = drivers;
    this.links = new LinkSection(folder);
    this.broker = new BrokerSection(folder, environment, Instant.now());
  }

  /**
   * Reads the file.
   *
   * @throws SetupException with every problem found
   */
  static BridgeConfig read(Path file, Drivers drivers) throws SetupException {
    return read(file, drivers, System::getenv);
  }

  static BridgeConfig read(Path file, Drivers drivers, SecretKeys.Environment environment)
      throws SetupException {
    Path parent = file.toAbsolutePath().getParent();
    return new BridgeConfigFile(parent == null ? file : parent, drivers, environment).read(file);
  }

  private BridgeConfig read(Path file) throws SetupException {
    YamlSection top = YamlFile.read(file, problems);
    String site = top.text("site", NAME, NAME_WORDS);
    Path data = folder.resolve(top.text("data"));
    Optional<Duration> keep =
        top.has("keep-days")
            ? Optional.of(Duration.ofDays(top.whole("keep-days", 1, MOST_KEEP_DAYS)))
            : Optional.empty();
    Optional<BridgeConfig.Broker> broker = broker(top);
    BridgeConfig.Page page =
        top.section("page")
            .map(this::page)
            .orElse(new BridgeConfig.Page("127.0.0.1", DEFAULT_PAGE_PORT));
    DriversSection others = new DriversSection(folder, problems);
    top.section("drivers").ifPresent(section -> drivers = others.read(section, drivers));
    Optional<YamlSection> places = top.requiredSection("stations");
    List<BridgeConfig.Station> stations = places.map(this::stations).orElse(List.of());
    List<BridgeConfig.TestSet> testSets =
        testSets(top, places.map(YamlSection::keys).orElse(List.of()));
    top.end();
    problems.throwIfAny();
    return new BridgeConfig(site, data, keep, broker, page, stations, testSets, others.found());
  }

  private Optional<BridgeConfig.Broker> broker(YamlSection top) {
    if (!top.isSection("mqtt") && !top.says("mqtt", "none")) {
      top.problem(
          "mqtt",
          "is %s; write mqtt: {broker: \"mqtts://host:port\"}, or mqtt: none where records are only kept in the journal"
              .formatted(top.has("mqtt") ? "neither a broker nor none" : "missing"));
      return Optional.empty();
    }
    return top.says("mqtt", "none") ? Optional.empty() : top.section("mqtt").map(this.broker::read);
  }

  private BridgeConfig.Page page(YamlSection page) {
    String host = page.has("host") ? page.text("host") : "127.0.0.1";
    if (!Set.of("127.0.0.1", "localhost", "::1").contains(host)) {
      page.problem(
          "host",
          "\"%s\" is not of this machine alone: in this version the page is served to"
                  .formatted(host)
              + " 127.0.0.1, localhost or ::1 only");
    }
    int port = page.whole("port", 0, 65_535, DEFAULT_PAGE_PORT);
    page.end();
    return new BridgeConfig.Page(host, port);
  }

  private List<BridgeConfig.Station> stations(YamlSection section) {
    List<BridgeConfig.Station> stations = new ArrayList<>();
    Set<String> places = new HashSet<>();
    for (String name : section.keys()) {
      if (!NAME.matcher(name).matches() || name.equals(StateRecord.BRIDGE)) {
        section.problem(
            name, "is no name for a station: %s, but not \"bridge\"".formatted(NAME_WORDS));
      }
      Optional<BridgeConfig.Station> station =
          section.section(name).flatMap(one -> station(name, one));
      if (station.isPresent() && !places.add(place(name, station.get().address()))) {
        section.problem(name, "is on a link that another station has already");
      }
      station.ifPresent(stations::add);
    }
    if (section.keys().isEmpty()) {
      section.problem("stations", "names no station");
    }
    return stations;
  }

  /** What two stations cannot both have; programs and recordings may be used by many. */
  private static String place(String name, LinkAddress address) {
    if (address instanceof LinkAddress.Serial serial) {
      return serial.port();
    }
    boolean many =
        address instanceof LinkAddress.Program || address instanceof LinkAddress.Recording;
    return many ? "of " + name : address.toString();
  }

  private Optional<BridgeConfig.Station> station(String name, YamlSection station) {
    Optional<Driver> driver =
        station.converted("driver", "one of the drivers here: " + drivers.names(), drivers::named);
    station.has("settings"); // those of a driver that is not known cannot be looked at
    Optional<Driver> configured = driver.flatMap(one -> configured(station, one));
    Optional<LinkAddress> link = links.read(station, driver.map(Driver::description));
    Optional<String> instrument = station.optionalText("instrument");
    station.end();
    return configured.flatMap(
        d -> link.map(address -> new BridgeConfig.Station(name, d, address, instrument)));
  }

  /** Returns the driver with the settings of the station, those not set as they usually are. */
  private static Optional<Driver> configured(YamlSection station, Driver driver) {
    Optional<YamlSection> section = station.section("settings");
    Map<String, String> settings = new LinkedHashMap<>();
    for (DriverDescription.Setting setting : driver.description().settings()) {
      String given = section.flatMap(one -> one.optionalText(setting.name())).orElse("");
      if (given.isEmpty() && setting.usual().isEmpty()) {
        station.problem(
            "settings", "is to have \"%s\": %s".formatted(setting.name(), setting.about()));
        return Optional.empty();
      }
      if (!given.isEmpty()) {
        settings.put(setting.name(), given);
      }
    }
    section.ifPresent(YamlSection::end);
    try {
      return Optional.of(Drivers.configured(driver, settings));
    } catch (IllegalArgumentException e) {
      station.problem("settings", String.valueOf(e.getMessage()));
      return Optional.empty();
    }
  }

  private List<BridgeConfig.TestSet> testSets(YamlSection top, List<String> stations) {
    List<BridgeConfig.TestSet> testSets = new ArrayList<>();
    Set<String> fed = new HashSet<>();
    Set<String> ids = new HashSet<>();
    for (YamlSection one : top.list("test-sets")) {
      String id = one.optionalText("id").orElse("");
      if (!ids.add(id)) {
        one.problem("id", "\"%s\" is there already; each test set has its own".formatted(id));
      }
      for (String name : one.texts("stations")) {
        if (!stations.contains(name)) {
          one.problem("stations", "\"%s\" is none of the stations above".formatted(name));
        } else if (!fed.add(name)) {
          one.problem("stations", "\"%s\" feeds another test set already".formatted(name));
        }
      }
      JobFile.entry(one, folder, problems)
          .ifPresent(
              job ->
                  testSets.add(
                      new BridgeConfig.TestSet(
                          job.id(),
                          job.nameplate(),
                          job.criteria(),
                          job.stations(),
                          job.options())));
    }
    return testSets;
  }
}
