package org.tallywire.format;

import java.nio.file.Path;
import java.util.List;
import java.util.Optional;
import java.util.regex.Pattern;
import org.tallywire.acceptance.CriteriaTable;
import org.tallywire.acceptance.Nameplate;
import org.tallywire.acceptance.PlanOptions;

/**
 * Reads a job file, JSON or YAML: what one entry of {@code test-sets} in a bridge's configuration
 * says ({@code shared/schema/job.schema.json}). Paths in it are taken from the folder it stands in.
 */
public final class JobFile {

  private static final String NAME_WORDS = "1 to 64 of A-Z a-z 0-9 _ -";
  private static final Pattern NAME = Pattern.compile("[A-Za-z0-9_-]{1,64}");

  private JobFile() {}

  /**
   * Reads the file.
   *
   * @throws SetupException with every problem found in it and in the files it names
   */
  public static Job read(Path file) throws SetupException {
    Problems problems = new Problems();
    Path parent = file.toAbsolutePath().getParent();
    YamlSection top = YamlFile.parse(file.toString(), asYaml(YamlFile.text(file)), problems);
    Optional<Job> job = entry(top, parent == null ? file : parent, problems);
    problems.throwIfAny();
    return job.orElseThrow();
  }

  /** JSON is YAML, but for the tabs that JSON may have between its tokens, and only there. */
  private static String asYaml(String text) {
    return text.stripLeading().startsWith("{") ? text.replace('\t', ' ') : text;
  }

  /**
   * Reads one entry; what is wrong with it goes to the problems, and nothing is returned then.
   *
   * @param folder that paths are taken from
   */
  public static Optional<Job> entry(YamlSection entry, Path folder, Problems problems) {
    int before = problems.count();
    Optional<Nameplate> nameplate = nameplate(entry, folder, problems);
    String id = entry.text("id", NAME, NAME_WORDS);
    Optional<CriteriaTable> criteria = criteria(entry, folder, problems);
    PlanOptions options = PlanKeys.read(entry);
    List<String> stations = entry.texts("stations");
    if (stations.isEmpty()) {
      entry.problem("stations", "names no station that feeds it");
    }
    for (String station : stations) {
      if (!NAME.matcher(station).matches()) {
        entry.problem("stations", "\"%s\" is not %s".formatted(station, NAME_WORDS));
      }
    }
    entry.end();
    if (problems.count() > before || nameplate.isEmpty() || criteria.isEmpty()) {
      return Optional.empty();
    }
    return Optional.of(new Job(id, nameplate.get(), options, stations, criteria.get()));
  }

  private static Optional<Nameplate> nameplate(YamlSection entry, Path folder, Problems problems) {
    try {
      if (entry.isSection("nameplate")) {
        return inline(entry.section("nameplate").orElseThrow(), problems);
      }
      String file = entry.text("nameplate");
      return file.isEmpty()
          ? Optional.empty()
          : Optional.of(NameplateFile.read(folder.resolve(file)));
    } catch (SetupException e) {
      problems.addAll(e);
      return Optional.empty();
    }
  }

  /**
   * Reads a plate that stands in the file itself, whose mistakes are among the problems already.
   */
  private static Optional<Nameplate> inline(YamlSection plate, Problems problems) {
    int before = problems.count();
    try {
      return Optional.of(NameplateFile.read(plate, problems));
    } catch (SetupException e) {
      if (problems.count() == before) {
        problems.addAll(e);
      }
      return Optional.empty();
    }
  }

  private static Optional<CriteriaTable> criteria(
      YamlSection entry, Path folder, Problems problems) {
    try {
      return Optional.of(
          CriteriaFile.named(entry.optionalText("criteria").orElse(CriteriaFile.DEFAULT), folder));
    } catch (SetupException e) {
      problems.addAll(e);
      return Optional.empty();
    }
  }
}
