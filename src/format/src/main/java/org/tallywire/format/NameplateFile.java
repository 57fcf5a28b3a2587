package org.tallywire.format;

import java.math.BigDecimal;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalInt;
import java.util.regex.Pattern;
import org.tallywire.acceptance.CoreForm;
import org.tallywire.acceptance.Nameplate;
import org.tallywire.acceptance.Nameplate.ResistanceReference;
import org.tallywire.acceptance.Side;
import org.tallywire.acceptance.TapChanger;
import org.tallywire.acceptance.TapChanger.Tap;
import org.tallywire.acceptance.resistance.Conductor;
import org.tallywire.acceptance.winding.WindingGroup;

/** Reads a nameplate file: the plate of one transformer, as YAML. */
public final class NameplateFile {

  private static final Pattern ASSET = Pattern.compile("[ -~]{1,64}");
  private static final Pattern WINDINGS = Pattern.compile("HV|LV");
  private static final Pattern PHASE = Pattern.compile("[ABC]");

  private NameplateFile() {}

  /**
   * Reads the file.
   *
   * @throws SetupException with every problem found in it
   */
  public static Nameplate read(Path file) throws SetupException {
    Problems problems = new Problems();
    return read(YamlFile.read(file, problems), problems);
  }

  /** Reads a nameplate that was already parsed. */
  public static Nameplate read(YamlSection plate, Problems problems) throws SetupException {
    String asset = plate.text("asset", ASSET, "1 to 64 printable characters");
    Optional<WindingGroup> group =
        plate.converted("group", "a winding group such as Dyn11", NameplateFile::group);
    BigDecimal power = plate.decimal("rated-power");
    BigDecimal hv = plate.decimal("hv-voltage");
    BigDecimal lv = plate.decimal("lv-voltage");
    BigDecimal frequency = plate.decimal("frequency");
    int principal = plate.whole("principal-tap", 1, 99, 1);
    List<Tap> taps = taps(plate, principal, hv);
    Optional<Conductor> hvConductor = conductor(plate, "hv-conductor");
    Optional<Conductor> lvConductor = conductor(plate, "lv-conductor");
    BigDecimal reference =
        plate.optionalDecimal("reference-temperature").orElse(BigDecimal.valueOf(75));
    Optional<BigDecimal> impedance = plate.optionalDecimal("impedance-percent");
    List<ResistanceReference> references = references(plate);
    plate.end();
    problems.throwIfAny();
    try {
      return new Nameplate(
          asset,
          group.orElseThrow(),
          power,
          hv,
          lv,
          frequency,
          List.of(new TapChanger(Side.HV, TapChanger.Kind.DE_ENERGISED, taps, principal)),
          hvConductor.orElseThrow(),
          lvConductor.orElseThrow(),
          reference,
          impedance,
          plate.optionalDecimal("no-load-current-percent"),
          OptionalInt.empty(),
          CoreForm.THREE_LIMB,
          references,
          Map.of());
    } catch (IllegalArgumentException e) {
      // every line is well written, yet they do not go together
      throw new SetupException("%s: %s".formatted(plate.file(), e.getMessage()));
    }
  }

  private static Optional<WindingGroup> group(String text) {
    try {
      return Optional.of(WindingGroup.parse(text));
    } catch (IllegalArgumentException e) {
      return Optional.empty();
    }
  }

  private static Optional<Conductor> conductor(YamlSection plate, String key) {
    return plate.converted(
        key,
        "copper or aluminium",
        text ->
            switch (text) {
              case "copper" -> Optional.of(Conductor.COPPER);
              case "aluminium" -> Optional.of(Conductor.ALUMINIUM);
              default -> Optional.empty();
            });
  }

  private static List<Tap> taps(YamlSection plate, int principal, BigDecimal hvVoltage) {
    List<Tap> taps = new ArrayList<>();
    for (YamlSection tap : plate.list("taps")) {
      taps.add(new Tap(tap.whole("position", 1, 99), tap.decimal("voltage")));
      tap.end();
    }
    if (taps.isEmpty()) {
      return List.of(new Tap(principal, hvVoltage));
    }
    if (taps.stream().noneMatch(tap -> tap.position() == principal)) {
      plate.problem("principal-tap", "%d is none of the taps".formatted(principal));
    }
    return taps;
  }

  private static List<ResistanceReference> references(YamlSection plate) {
    List<ResistanceReference> references = new ArrayList<>();
    for (YamlSection one : plate.list("resistance-references")) {
      references.add(
          new ResistanceReference(
              one.text("windings", WINDINGS, "HV or LV"),
              one.text("phase", PHASE, "A, B or C"),
              one.decimal("ohms")));
      one.end();
    }
    return references;
  }
}
