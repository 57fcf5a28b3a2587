package org.tallywire.format;

import java.math.BigDecimal;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalInt;
import java.util.TreeMap;
import java.util.function.Supplier;
import java.util.regex.Pattern;
import org.tallywire.acceptance.CoreForm;
import org.tallywire.acceptance.Nameplate;
import org.tallywire.acceptance.Nameplate.ResistanceReference;
import org.tallywire.acceptance.TapChanger;
import org.tallywire.acceptance.TestPlan;
import org.tallywire.acceptance.resistance.Conductor;
import org.tallywire.acceptance.winding.WindingGroup;

/** Reads a nameplate file: the plate of one transformer, as YAML. */
public final class NameplateFile {

  private static final Pattern ASSET = Pattern.compile("[ -~]{1,64}");
  private static final Pattern WINDINGS = Pattern.compile("HV|LV");
  private static final Pattern PHASE = Pattern.compile("[ABC]");

  private static final int MOST_TURNS = 100_000;

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
    Ratings rated = Ratings.of(plate);
    TapChangerKeys tapChangers = new TapChangerKeys(plate, rated.hv(), rated.lv());
    List<TapChanger> changers = tapChangers.read();
    Optional<Conductor> hvConductor = conductor(plate, "hv-conductor");
    Optional<Conductor> lvConductor = conductor(plate, "lv-conductor");
    BigDecimal reference =
        plate.optionalDecimal("reference-temperature").orElse(BigDecimal.valueOf(75));
    Stated stated = Stated.of(plate);
    OptionalInt lvTurns = lvTurns(plate);
    CoreForm core = core(plate, group);
    List<ResistanceReference> references = references(plate);
    Map<String, BigDecimal> earlier = earlierRatios(plate, tapChangers.two());
    plate.end();
    problems.throwIfAny();
    return goTogether(
        plate,
        () ->
            new Nameplate(
                asset,
                group.orElseThrow(),
                rated.power(),
                rated.hv(),
                rated.lv(),
                rated.frequency(),
                changers,
                hvConductor.orElseThrow(),
                lvConductor.orElseThrow(),
                reference,
                stated.impedance(),
                stated.noLoadCurrent(),
                lvTurns,
                core,
                references,
                earlier,
                stated.hvCurrent(),
                stated.lvCurrent()));
  }

  private record Ratings(BigDecimal power, BigDecimal hv, BigDecimal lv, BigDecimal frequency) {

    static Ratings of(YamlSection plate) {
      return new Ratings(
          plate.decimal("rated-power"),
          plate.decimal("hv-voltage"),
          plate.decimal("lv-voltage"),
          plate.decimal("frequency"));
    }
  }

  /** What a plate may state. */
  private record Stated(
      Optional<BigDecimal> impedance,
      Optional<BigDecimal> noLoadCurrent,
      Optional<BigDecimal> hvCurrent,
      Optional<BigDecimal> lvCurrent) {

    static Stated of(YamlSection plate) {
      return new Stated(
          plate.optionalDecimal("impedance-percent"),
          plate.optionalDecimal("no-load-current-percent"),
          plate.optionalDecimal("hv-current"),
          plate.optionalDecimal("lv-current"));
    }
  }

  /** Tells where lines that are well written do not go together. */
  private static Nameplate goTogether(YamlSection plate, Supplier<Nameplate> made)
      throws SetupException {
    try {
      return made.get();
    } catch (IllegalArgumentException e) {
      throw new SetupException("%s: %s".formatted(plate.file(), e.getMessage()));
    }
  }

  private static OptionalInt lvTurns(YamlSection plate) {
    return plate.has("lv-turns")
        ? OptionalInt.of(plate.whole("lv-turns", 1, MOST_TURNS))
        : OptionalInt.empty();
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

  /** Returns the core's form; left out, it is what most units with that many phases have. */
  private static CoreForm core(YamlSection plate, Optional<WindingGroup> group) {
    boolean single = group.filter(g -> g.phases().size() == 1).isPresent();
    CoreForm usual = single ? CoreForm.SINGLE_PHASE : CoreForm.THREE_LIMB;
    return plate.has("core")
        ? plate
            .converted(
                "core", "three-limb, four-limb, five-limb, shell or single-phase", CoreForm::of)
            .orElse(usual)
        : usual;
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

  private static Map<String, BigDecimal> earlierRatios(YamlSection plate, boolean twoChangers) {
    Map<String, BigDecimal> ratios = new TreeMap<>();
    for (YamlSection one : plate.list("earlier-ratios")) {
      String phase = one.text("phase", PHASE, "A, B or C");
      int tap = one.whole("tap", 1, TapChanger.LAST_POSITION);
      OptionalInt onLoadTap =
          twoChangers
              ? OptionalInt.of(one.whole("on-load-tap", 1, TapChanger.LAST_POSITION))
              : OptionalInt.empty();
      BigDecimal ratio = one.decimal("ratio");
      if (ratios.put(TestPlan.ratioStep(phase, tap, onLoadTap), ratio) != null) {
        one.problem("phase", "%s on this tap is there twice; keep one".formatted(phase));
      }
      one.end();
    }
    return ratios;
  }
}
