package org.tallywire.format;

import java.io.IOException;
import java.io.InputStream;
import java.math.BigDecimal;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.security.MessageDigest;
import java.security.NoSuchAlgorithmException;
import java.util.ArrayList;
import java.util.HexFormat;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.tallywire.acceptance.CriteriaTable;
import org.tallywire.acceptance.Criterion;
import org.tallywire.acceptance.Criterion.Kind;
import org.tallywire.acceptance.Criterion.Setting;
import org.tallywire.acceptance.Rule;
import org.tallywire.acceptance.resistance.ConductorConstants;
import org.tallywire.acceptance.uncertainty.Decision;

/** Reads a profile of criteria: the limits a shop judges by, as YAML. */
public final class CriteriaFile {

  /** The profile that is used where none is named. */
  public static final String DEFAULT = "distribution-oil";

  private CriteriaFile() {}

  /**
   * Reads the file.
   *
   * @throws SetupException with every problem found in it
   */
  public static CriteriaTable read(Path file) throws SetupException {
    return parse(file.toString(), YamlFile.text(file));
  }

  /** Reads a profile that comes with the program. */
  public static CriteriaTable shipped(String name) throws SetupException {
    String resource = "criteria/%s.yaml".formatted(name);
    try (InputStream in = CriteriaFile.class.getResourceAsStream(resource)) {
      if (in == null) {
        throw new SetupException("criteria: no profile \"%s\" comes with it".formatted(name));
      }
      return parse(resource, new String(in.readAllBytes(), StandardCharsets.UTF_8));
    } catch (IOException e) {
      throw new SetupException("%s: cannot be read: %s".formatted(resource, e));
    }
  }

  private static CriteriaTable parse(String name, String text) throws SetupException {
    Problems problems = new Problems();
    YamlSection top = YamlFile.parse(name, text, problems);
    String table = top.text("name");
    String version = top.text("version");
    top.text("about");
    List<Criterion> criteria = new ArrayList<>();
    top.requiredSection("criteria").ifPresent(section -> read(section, criteria));
    top.end();
    problems.throwIfAny();
    return new CriteriaTable(
        table,
        version,
        digest(text),
        Decision.guarded(BigDecimal.ONE),
        ConductorConstants.IEEE,
        Map.of(),
        criteria);
  }

  /** Reads the criteria alone, as they stand in a record. */
  static CriteriaTable criteria(
      String place, String text, String name, String version, String digest) throws SetupException {
    Problems problems = new Problems();
    List<Criterion> criteria = new ArrayList<>();
    read(YamlFile.parse(place, text, problems), criteria);
    problems.throwIfAny();
    return new CriteriaTable(
        name,
        version,
        digest,
        Decision.guarded(BigDecimal.ONE),
        ConductorConstants.IEEE,
        Map.of(),
        criteria);
  }

  private static void read(YamlSection section, List<Criterion> criteria) {
    for (Kind kind : Kind.values()) {
      section
          .section(kind.word())
          .ifPresent(
              one -> {
                criterion(kind, one).ifPresent(criteria::add);
                one.end();
              });
    }
    section.end();
  }

  private static Optional<Criterion> criterion(Kind kind, YamlSection section) {
    Map<String, String> settings = new LinkedHashMap<>();
    for (Setting setting : kind.settings()) {
      section.optionalText(setting.name()).ifPresent(text -> settings.put(setting.name(), text));
    }
    Optional<BigDecimal> uncertainty = section.optionalDecimal("uncertainty");
    Rule rule = rule(section);
    try {
      return Optional.of(new Criterion(kind, settings, uncertainty, rule));
    } catch (IllegalArgumentException e) {
      section.problem(kind.word(), String.valueOf(e.getMessage()));
      return Optional.empty();
    }
  }

  private static Rule rule(YamlSection section) {
    return section
        .requiredSection("rule")
        .map(
            rule -> {
              Rule read =
                  new Rule(
                      rule.text("text"),
                      rule.text("source"),
                      rule.converted(
                              "certainty", "found, memory, derived or practice", Rule.Certainty::of)
                          .orElse(Rule.Certainty.PRACTICE));
              rule.end();
              return read;
            })
        .orElse(new Rule("", "", Rule.Certainty.PRACTICE));
  }

  private static String digest(String text) {
    try {
      byte[] digest =
          MessageDigest.getInstance("SHA-256").digest(text.getBytes(StandardCharsets.UTF_8));
      return HexFormat.of().formatHex(digest);
    } catch (NoSuchAlgorithmException e) {
      throw new IllegalStateException("every Java platform has SHA-256", e);
    }
  }
}
