package org.tallywire.meter62056;

import java.util.List;
import java.util.Map;
import java.util.stream.Collectors;
import org.tallywire.api.Driver;
import org.tallywire.api.DriverDescription;
import org.tallywire.api.DriverDescription.Setting;
import org.tallywire.api.Example;
import org.tallywire.api.Framer;
import org.tallywire.api.SerialSettings;
import org.tallywire.api.SerialSettings.FlowControl;
import org.tallywire.api.SerialSettings.Parity;
import org.tallywire.api.SerialSettings.StopBits;
import org.tallywire.api.Session;
import org.tallywire.api.SessionHost;

/** Electricity meters by IEC 62056-21: readout in modes A, B and C. */
final class MeterDriver implements Driver {

  private static final SerialSettings SIGN_ON =
      new SerialSettings(300, 7, Parity.EVEN, StopBits.ONE, FlowControl.NONE);

  private final MeterSettings settings;
  private final List<Example> examples;

  /** The driver with the usual settings. */
  MeterDriver() {
    this(MeterSettings.of(usual()), MeterExamples.all());
  }

  private MeterDriver(MeterSettings settings, List<Example> examples) {
    this.settings = settings;
    this.examples = examples;
  }

  static Map<String, String> usual() {
    return MeterSettings.KNOWN.stream().collect(Collectors.toMap(Setting::name, Setting::usual));
  }

  @Override
  public DriverDescription description() {
    return new DriverDescription(
            "meter62056", "1.0", "electricity meters that are read out by IEC 62056-21", 300)
        .withSerial(SIGN_ON)
        .withCheck()
        .withSettings(MeterSettings.KNOWN.toArray(Setting[]::new));
  }

  @Override
  public Driver configured(Map<String, String> chosen) {
    return new MeterDriver(MeterSettings.of(chosen), chosen.equals(usual()) ? examples : List.of());
  }

  @Override
  public Framer newFramer() {
    return new MeterFramer();
  }

  @Override
  public Session open(SessionHost host) {
    return new MeterSession(host, settings);
  }

  /** Those of the usual settings; none with others. */
  @Override
  public List<Example> examples() {
    return examples;
  }
}
