package org.tallywire.format;

import java.io.IOException;
import java.io.InputStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.HashSet;
import java.util.List;
import java.util.Optional;
import java.util.Set;
import java.util.regex.Pattern;
import org.tallywire.acceptance.Rule;
import org.tallywire.testset.Checklist;

/**
 * Reads a checklist: a YAML file ({@code shared/schema/checklist-file.schema.json}), or one that
 * comes with the program, by its name.
 */
public final class ChecklistFile {

  /** The checklists that come with the program, in the order of a day's work. */
  public static final List<String> SHIPPED =
      List.of("before-bench-work", "during-bench-work", "after-bench-work");

  private static final Pattern WORD = Pattern.compile("[a-z0-9]+(-[a-z0-9]+)*");
  private static final String WORD_WORDS = "a word of a-z, 0-9 and hyphens between them";

  private ChecklistFile() {}

  /**
   * Reads the file.
   *
   * @throws SetupException with every problem found in it
   */
  public static Checklist read(Path file) throws SetupException {
    return parse(file.toString(), YamlFile.text(file));
  }

  /**
   * Reads a checklist that comes with the program.
   *
   * @throws SetupException if there is none of that name
   */
  public static Checklist shipped(String name) throws SetupException {
    if (!SHIPPED.contains(name)) {
      throw new SetupException(
          "checklists: no checklist \"%s\" comes with it; those that do are %s"
              .formatted(name, String.join(", ", SHIPPED)));
    }
    String resource = "checklists/%s.yaml".formatted(name);
    try (InputStream in = ChecklistFile.class.getResourceAsStream(resource)) {
      if (in == null) {
        throw new IllegalStateException("%s is not in the program".formatted(resource));
      }
      return parse(resource, new String(in.readAllBytes(), StandardCharsets.UTF_8));
    } catch (IOException e) {
      throw new SetupException("%s: cannot be read: %s".formatted(resource, e));
    }
  }

  /**
   * Reads what a person named: a checklist that comes with the program by its name, else a file of
   * the folder.
   *
   * @throws SetupException with every problem found
   */
  public static Checklist named(String name, Path folder) throws SetupException {
    Path file = folder.resolve(name);
    boolean word = WORD.matcher(name).matches() && !Files.exists(file);
    return word || SHIPPED.contains(name) ? shipped(name) : read(file);
  }

  private static Checklist parse(String place, String text) throws SetupException {
    Problems problems = new Problems();
    YamlSection top = YamlFile.parse(place, text, problems);
    String name = top.text("name", WORD, WORD_WORDS);
    Optional<Checklist.Moment> moment =
        top.converted("moment", "before, during or after", Checklist.Moment::of);
    if (top.has("about")) {
      CriteriaLayer.sentences(top, "about");
    }
    int before = problems.count();
    List<Checklist.Item> items = items(top);
    if (items.isEmpty() && problems.count() == before) {
      top.problem("items", "holds no item to answer");
    }
    top.end();
    problems.throwIfAny();
    return new Checklist(name, moment.orElseThrow(), items);
  }

  private static List<Checklist.Item> items(YamlSection top) {
    List<Checklist.Item> items = new ArrayList<>();
    Set<String> ids = new HashSet<>();
    for (YamlSection one : top.list("items")) {
      String id = one.text("id", WORD, WORD_WORDS);
      if (!id.isEmpty() && !ids.add(id)) {
        one.problem("id", "\"%s\" stands twice; an answer could mean either".formatted(id));
      }
      String text = CriteriaLayer.sentences(one, "text");
      String source = CriteriaLayer.sentences(one, "source");
      Optional<Rule.Certainty> certainty =
          one.converted("certainty", "found, memory, derived or practice", Rule.Certainty::of);
      one.end();
      certainty.ifPresent(known -> items.add(new Checklist.Item(id, text, source, known)));
    }
    return items;
  }
}
