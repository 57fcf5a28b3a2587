package org.tallywire.format;

import java.math.BigDecimal;
import java.math.MathContext;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.TreeMap;
import org.tallywire.acceptance.Nameplate;
import org.tallywire.acceptance.resistance.Conductor;
import org.tallywire.acceptance.resistance.ConductorConstants;
import org.tallywire.api.Quantity;
import org.tallywire.api.Unit;
import org.tallywire.testset.EarlierResult;

/**
 * The keys {@code resistance-references} and {@code earlier-ratios} of a nameplate file, made of
 * earlier results: of each step the one with the latest date, and of one date the last in the file.
 * Resistances are brought to the plate's reference temperature, to 8 significant digits.
 */
public final class EarlierKeys {

  private static final String REFERENCES = "resistance-references";
  private static final String RATIOS = "earlier-ratios";
  private static final MathContext DIGITS = new MathContext(8);

  private final Optional<Nameplate> plate;
  private final ConductorConstants constants;
  private final Map<String, EarlierResult> ratios = new TreeMap<>();
  private final Map<String, EarlierResult> resistances = new TreeMap<>();
  private final List<String> notes = new ArrayList<>();

  /**
   * @param plate without one, no resistance can be brought to its reference temperature
   * @param constants of the correction
   */
  public EarlierKeys(
      List<EarlierResult> results, Optional<Nameplate> plate, ConductorConstants constants) {
    this.plate = plate;
    this.constants = constants;
    for (EarlierResult result : results) {
      if (result.quantity().equals(Quantity.TURNS_RATIO)) {
        ratios.merge(result.step(), result, EarlierKeys::later);
      } else if (result.quantity().equals(Quantity.WINDING_RESISTANCE)) {
        resistances.merge(result.step(), result, EarlierKeys::later);
      }
    }
  }

  private static EarlierResult later(EarlierResult one, EarlierResult other) {
    return other.date().isBefore(one.date()) ? one : other;
  }

  /** Returns the lines of the keys; empty where the results give none. */
  public String yaml() {
    StringBuilder out = new StringBuilder();
    List<String> references = new ArrayList<>();
    resistances.values().forEach(one -> reference(one).ifPresent(references::add));
    append(out, REFERENCES, references);
    append(
        out, RATIOS, ratios.values().stream().filter(this::onTap).map(EarlierKeys::ratio).toList());
    return out.toString();
  }

  /** Returns what could not be made a key, and why; known after {@link #yaml}. */
  public List<String> notes() {
    return List.copyOf(notes);
  }

  private static void append(StringBuilder out, String key, List<String> items) {
    if (!items.isEmpty()) {
      out.append(key).append(":\n");
      items.forEach(item -> out.append("  - ").append(item).append('\n'));
    }
  }

  private boolean onTap(EarlierResult result) {
    boolean has = !result.part(3).isEmpty();
    if (!has) {
      note(result, "no tap is known, and earlier-ratios are by tap; name its column in the map");
    }
    return has;
  }

  private static String ratio(EarlierResult result) {
    String onLoad = result.part(4).isEmpty() ? "" : ", on-load-tap: " + result.part(4);
    return "{phase: %s, tap: %s%s, ratio: %s}  # %s, %s"
        .formatted(
            result.part(2),
            result.part(3),
            onLoad,
            in(result, Unit.ONE).toPlainString(),
            result.date(),
            comment(result.source()));
  }

  private Optional<String> reference(EarlierResult result) {
    if (plate.isEmpty()) {
      note(
          result, "give --nameplate: it says what the winding is made of and to which temperature");
      return Optional.empty();
    }
    if (result.temperature().isEmpty()) {
      note(result, "its temperature is not known; name its column in the map");
      return Optional.empty();
    }
    boolean hv = result.part(1).equals("HV");
    Conductor conductor = hv ? plate.get().hvConductor() : plate.get().lvConductor();
    BigDecimal ohms = in(result, Unit.OHM);
    if (ohms.signum() <= 0) {
      note(result, "is not above zero");
      return Optional.empty();
    }
    BigDecimal corrected =
        constants
            .correction(conductor)
            .corrected(ohms, result.temperature().get(), plate.get().referenceTemperature())
            .round(DIGITS);
    return Optional.of(
        "{windings: %s, phase: %s, ohms: %s}  # %s, %s; %s %s at %s °C"
            .formatted(
                result.part(1),
                result.part(2),
                corrected.toPlainString(),
                result.date(),
                comment(result.source()),
                result.value().toPlainString(),
                result.unit(),
                result.temperature().get().toPlainString()));
  }

  private static BigDecimal in(EarlierResult result, Unit unit) {
    return result.unit().convert(result.value(), unit);
  }

  private void note(EarlierResult result, String what) {
    notes.add(
        "line %d, %s: no key is made of it: %s".formatted(result.line(), result.step(), what));
  }

  /** A comment ends with its line, so nothing in it may end the line. */
  private static String comment(String text) {
    return text.replaceAll("[\\p{C}\\p{Zl}\\p{Zp}]", " ");
  }

  /**
   * Returns the text of a new nameplate file: a copy of the plate's with the keys behind it.
   *
   * @throws SetupException if the plate has one of the keys already, or the new one could not be
   *     read
   */
  public String appendedTo(Path plateFile) throws SetupException {
    Problems problems = new Problems();
    String keys = yaml();
    YamlSection section = YamlFile.read(plateFile, problems);
    for (String key : List.of(REFERENCES, RATIOS)) {
      if (keys.contains(key + ":") && section.has(key)) {
        problems.add(
            "%s: has %s already; take it out of a copy first, or put the new lines there by hand"
                .formatted(plateFile, key));
      }
    }
    problems.throwIfAny();
    String text = YamlFile.text(plateFile);
    String whole = text + (text.endsWith("\n") ? "" : "\n") + keys;
    NameplateFile.read(YamlFile.parse("the new nameplate", whole, problems), problems);
    return whole;
  }
}
