package org.tallywire.scpi;

import java.util.List;
import java.util.Map;
import org.tallywire.api.Driver;
import org.tallywire.api.DriverDescription;
import org.tallywire.api.DriverDescription.Memory;
import org.tallywire.api.DriverDescription.Setting;
import org.tallywire.api.Example;
import org.tallywire.api.Framer;
import org.tallywire.api.Session;
import org.tallywire.api.SessionHost;

/**
 * Instruments that answer queries by IEEE 488.2 and SCPI over a line. What they measure and how
 * they say it is each one's own, and stands in the station's settings. There is no check value:
 * damage that leaves an answer of the same shape gives a wrong reading.
 */
final class ScpiDriver implements Driver {

  private final ScpiSettings settings;
  private final List<Example> examples;

  /** The driver with the settings of its examples. */
  ScpiDriver() {
    this(ScpiSettings.of(ScpiExamples.SETTINGS), ScpiExamples.all());
  }

  private ScpiDriver(ScpiSettings settings, List<Example> examples) {
    this.settings = settings;
    this.examples = examples;
  }

  @Override
  public DriverDescription description() {
    return new DriverDescription(
            "scpi", "1.0", "instruments that answer queries of IEEE 488.2 and SCPI", 9_600)
        .withMemory(settings.fields().numbered() ? Memory.NUMBERS : Memory.NONE)
        .withSettings(ScpiSettings.KNOWN.toArray(Setting[]::new));
  }

  @Override
  public Driver configured(Map<String, String> chosen) {
    return new ScpiDriver(
        ScpiSettings.of(chosen), chosen.equals(ScpiExamples.SETTINGS) ? examples : List.of());
  }

  @Override
  public Framer newFramer() {
    return new ScpiFramer();
  }

  @Override
  public Session open(SessionHost host) {
    return new ScpiSession(host, settings);
  }

  /** Those of the settings that they were made with; none with others. */
  @Override
  public List<Example> examples() {
    return examples;
  }
}
