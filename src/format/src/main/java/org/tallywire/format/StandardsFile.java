package org.tallywire.format;

import java.math.BigDecimal;
import java.nio.file.Path;
import java.time.DateTimeException;
import java.time.LocalDate;
import java.util.ArrayList;
import java.util.HashSet;
import java.util.List;
import java.util.Optional;
import java.util.Set;
import java.util.regex.Pattern;
import org.tallywire.api.Unit;
import org.tallywire.testset.ReferenceStandard;
import org.tallywire.testset.ReferenceStandard.Kind;

/** Reads reference standards: a YAML file ({@code shared/schema/standards.schema.json}). */
public final class StandardsFile {

  private static final Pattern WORD = Pattern.compile("(?=.{1,64}$)[a-z0-9]+(-[a-z0-9]+)*");
  private static final Pattern ON_IT = Pattern.compile("[^\\p{Cntrl}]{1,64}");
  private static final String ON_IT_WORDS = "1 to 64 characters without control characters";
  private static final Set<String> UNITS =
      Set.of("1", "%", "uOhm", "mOhm", "Ohm", "kOhm", "MOhm", "GOhm", "TOhm");
  private static final int STEEPEST = 10_000;
  private static final int COLDEST = -50;
  private static final int HOTTEST = 150;
  private static final int WIDEST = 100;

  private StandardsFile() {}

  /**
   * Reads the file.
   *
   * @return at least one, no two of a name
   * @throws SetupException with every problem found in it
   */
  public static List<ReferenceStandard> read(Path file) throws SetupException {
    Problems problems = new Problems();
    YamlSection top = YamlFile.read(file, problems);
    List<ReferenceStandard> standards = new ArrayList<>();
    Set<String> names = new HashSet<>();
    List<YamlSection> sections = top.list("standards");
    for (YamlSection one : sections) {
      String name =
          one.text("name", WORD, "a word of at most 64 a-z, 0-9 and hyphens between them");
      if (!name.isEmpty() && !names.add(name)) {
        one.problem("name", "\"%s\" stands twice; give each its own".formatted(name));
      }
      standard(name, one).ifPresent(standards::add);
    }
    if (sections.isEmpty() && problems.count() == 0) {
      top.problem("standards", "holds no standard");
    }
    top.end();
    problems.throwIfAny();
    return List.copyOf(standards);
  }

  /**
   * Reads one standard of the file.
   *
   * @throws SetupException with every problem found in the file, or if it has none of that name
   */
  public static ReferenceStandard read(Path file, String name) throws SetupException {
    List<ReferenceStandard> standards = read(file);
    return standards.stream()
        .filter(standard -> standard.name().equals(name))
        .findFirst()
        .orElseThrow(
            () ->
                new SetupException(
                    "%s: has no standard \"%s\"; those it has are %s"
                        .formatted(
                            file,
                            name,
                            String.join(
                                ", ", standards.stream().map(ReferenceStandard::name).toList()))));
  }

  private static Optional<ReferenceStandard> standard(String name, YamlSection one) {
    int before = one.problems();
    String serial = one.text("serial", ON_IT, ON_IT_WORDS);
    Optional<Kind> kind =
        one.converted("kind", "ratio, resistance or insulation-resistance", Kind::of);
    BigDecimal value = positive(one, "value");
    Optional<Unit> unit =
        one.converted(
            "unit",
            "a unit such as 1, mOhm or MOhm",
            text -> Optional.of(text).filter(UNITS::contains).map(Unit::new));
    if (kind.isPresent() && unit.isPresent() && !unit.get().converts(kind.get().unit())) {
      one.problem(
          "unit",
          "is %s, but a standard of kind %s is in %s or what converts to it"
              .formatted(unit.get(), kind.get().word(), kind.get().unit()));
    }
    BigDecimal uncertainty = positive(one, "uncertainty");
    BigDecimal coverage = positive(one, "coverage");
    String certificate = one.text("certificate", ON_IT, ON_IT_WORDS);
    Optional<LocalDate> due =
        one.converted("due", "a date such as 2027-02-01", StandardsFile::date);
    Optional<ReferenceStandard.Warmth> warmth =
        one.section("temperature").map(StandardsFile::warmth);
    one.end();
    return one.problems() > before
        ? Optional.empty()
        : Optional.of(
            new ReferenceStandard(
                name,
                serial,
                kind.orElseThrow(),
                value,
                unit.orElseThrow(),
                uncertainty,
                coverage,
                certificate,
                due.orElseThrow(),
                warmth));
  }

  private static ReferenceStandard.Warmth warmth(YamlSection section) {
    ReferenceStandard.Warmth warmth =
        new ReferenceStandard.Warmth(
            between(section, "coefficient", -STEEPEST, STEEPEST),
            between(section, "reference", COLDEST, HOTTEST),
            between(section, "within", 0, WIDEST));
    section.end();
    return warmth;
  }

  private static BigDecimal positive(YamlSection section, String key) {
    BigDecimal number = section.decimal(key);
    if (number.signum() <= 0) {
      section.problem(key, "is %s, which is not above zero".formatted(number));
    }
    return number;
  }

  private static BigDecimal between(YamlSection section, String key, int from, int to) {
    BigDecimal number = section.decimal(key);
    if (number.compareTo(BigDecimal.valueOf(from)) < 0
        || number.compareTo(BigDecimal.valueOf(to)) > 0) {
      section.problem(key, "is %s, which is not from %d to %d".formatted(number, from, to));
    }
    return number;
  }

  private static Optional<LocalDate> date(String text) {
    try {
      return Optional.of(LocalDate.parse(text));
    } catch (DateTimeException e) {
      return Optional.empty();
    }
  }
}
