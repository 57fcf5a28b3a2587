package org.tallywire.format;

import java.io.IOException;
import java.io.InputStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.security.MessageDigest;
import java.security.NoSuchAlgorithmException;
import java.util.ArrayList;
import java.util.HexFormat;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Optional;
import java.util.Set;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.tallywire.acceptance.CriteriaTable;

/**
 * Reads a profile of criteria, the limits a shop judges by: a JSON file ({@code
 * shared/schema/criteria.schema.json}), or the same as YAML. It may extend another one: a profile
 * that comes with the program, named by a word without a dot, or a file beside it.
 *
 * <p>The digest of a table is the SHA-256 of its file; of a file that extends others it is that of
 * the files' digests, each in hexadecimal on a line, the file itself first.
 */
public final class CriteriaFile {

  /** The profile that is used where none is named. */
  public static final String DEFAULT = "distribution-oil";

  /** The profiles that come with the program. */
  public static final List<String> SHIPPED =
      List.of(
          DEFAULT,
          "field-comparison",
          "iec-60076-1",
          "ieee-c57-12-00",
          "insulation-dry",
          "insulation-oil",
          "resistance-neta-2009",
          "unbalance-cigre-445",
          "unbalance-gb-lines-above-1600",
          "unbalance-gb-lines-to-1600",
          "unbalance-gb-phases-above-1600",
          "unbalance-gb-phases-to-1600",
          "unbalance-ieee-62",
          "unbalance-neta-2013");

  private static final int LONGEST_CHAIN = 8;
  private static final Pattern ESCAPE = Pattern.compile("\\\\.");

  private CriteriaFile() {}

  /**
   * Reads the file.
   *
   * @throws SetupException with every problem found in it and in the files it extends
   */
  public static CriteriaTable read(Path file) throws SetupException {
    return table(Source.of(file));
  }

  /**
   * Reads a profile that comes with the program.
   *
   * @throws SetupException if there is none of that name
   */
  public static CriteriaTable shipped(String name) throws SetupException {
    return table(Source.of(name));
  }

  /**
   * Reads what a person named: a profile that comes with the program by its word, else a file of
   * the folder.
   *
   * @throws SetupException with every problem found
   */
  public static CriteriaTable named(String name, Path folder) throws SetupException {
    Path file = folder.resolve(name);
    boolean word = !name.contains(".") && !Files.exists(file);
    return word || SHIPPED.contains(name) ? shipped(name) : read(file);
  }

  /** Reads a table as it stands in a record, with the members of a file. */
  static CriteriaTable recorded(
      String place, String text, String name, String version, String digest) throws SetupException {
    Problems problems = new Problems();
    YamlSection top = YamlFile.parse(place, text, problems);
    CriteriaLayer layer = CriteriaLayer.read(top);
    Optional<CriteriaTable> table =
        new CriteriaChain(List.of(layer)).table(name, version, digest, problems);
    problems.throwIfAny();
    return table.orElseThrow();
  }

  private static CriteriaTable table(Source first) throws SetupException {
    Problems problems = new Problems();
    List<CriteriaLayer> layers = new ArrayList<>();
    List<String> digests = new ArrayList<>();
    Set<Source> seen = new LinkedHashSet<>();
    String text = first.text();
    YamlSection top = first.parse(text, problems);
    String name = top.optionalText("name").orElse("");
    String version = top.optionalText("version").orElse("");
    Optional<Source> next = Optional.of(first);
    while (next.isPresent()) {
      Source source = next.get();
      seen.add(source);
      digests.add(digest(text));
      layers.add(layer(top));
      YamlSection above = top;
      next = top.optionalText("extends").flatMap(base -> extended(source, base, seen, above));
      try {
        if (next.isPresent()) {
          text = next.get().text();
          top = next.get().parse(text, problems);
        }
      } catch (SetupException e) {
        problems.addAll(e);
        break;
      }
    }
    if (layers.get(layers.size() - 1).place().has("extends")) {
      problems.throwIfAny(); // what is missing without the other file is no mistake of this one
    }
    Optional<CriteriaTable> table =
        new CriteriaChain(layers).table(name, version, digest(digests), problems);
    if (table.filter(t -> t.criteria().isEmpty()).isPresent()) {
      problems.add("%s: criteria holds no criterion to judge by".formatted(first.name()));
    }
    problems.throwIfAny();
    return table.orElseThrow();
  }

  private static CriteriaLayer layer(YamlSection top) {
    List.of("name", "version", "about").forEach(key -> CriteriaLayer.sentences(top, key));
    top.has("extends");
    CriteriaLayer layer = CriteriaLayer.read(top);
    top.end();
    return layer;
  }

  /** Returns the source of a file that another extends, or tells why there can be none. */
  private static Optional<Source> extended(
      Source source, String name, Set<Source> seen, YamlSection top) {
    Optional<Source> base = source.base(name);
    if (base.isEmpty()) {
      top.problem(
          "extends",
          "\"%s\" is neither a profile that comes with the program (%s) nor a file beside this one"
              .formatted(name, String.join(", ", SHIPPED)));
    } else if (seen.contains(base.get())) {
      top.problem("extends", "\"%s\" goes round in a circle".formatted(name));
      return Optional.empty();
    } else if (seen.size() == LONGEST_CHAIN) {
      top.problem("extends", "makes a chain of more than %d files".formatted(LONGEST_CHAIN));
      return Optional.empty();
    }
    return base;
  }

  private static String digest(List<String> digests) {
    return digests.size() == 1 ? digests.get(0) : digest(String.join("\n", digests) + "\n");
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

  /**
   * Where a file of criteria is.
   *
   * @param name as told in problems
   * @param file nothing for a profile that comes with the program
   */
  private record Source(String name, Optional<Path> file) {

    static Source of(Path file) {
      return new Source(file.normalize().toString(), Optional.of(file.normalize()));
    }

    static Source of(String shipped) throws SetupException {
      return ofShipped(shipped)
          .orElseThrow(
              () ->
                  new SetupException(
                      "criteria: no profile \"%s\" comes with it; those that do are %s"
                          .formatted(shipped, String.join(", ", SHIPPED))));
    }

    private static Optional<Source> ofShipped(String shipped) {
      return SHIPPED.contains(shipped)
          ? Optional.of(new Source("criteria/%s.json".formatted(shipped), Optional.empty()))
          : Optional.empty();
    }

    Optional<Source> base(String other) {
      if (!other.contains(".")) {
        return ofShipped(other);
      }
      boolean beside = Path.of(other).getFileName().toString().equals(other);
      return file.filter(f -> beside)
          .map(f -> f.resolveSibling(other))
          .filter(Files::isRegularFile)
          .map(Source::of);
    }

    String text() throws SetupException {
      if (file.isPresent()) {
        return YamlFile.text(file.get());
      }
      try (InputStream in = CriteriaFile.class.getResourceAsStream(name)) {
        if (in == null) {
          throw new IllegalStateException("%s is not in the program".formatted(name));
        }
        return new String(in.readAllBytes(), StandardCharsets.UTF_8);
      } catch (IOException e) {
        throw new SetupException("%s: cannot be read: %s".formatted(name, e));
      }
    }

    /**
     * Parses it. JSON is YAML but for tabs between its words, which are blanks here, and for the
     * escape of a slash.
     */
    YamlSection parse(String text, Problems problems) throws SetupException {
      return YamlFile.parse(name, name.endsWith(".json") ? yaml(text) : text, problems);
    }

    private static String yaml(String json) {
      return ESCAPE
          .matcher(json.replace('\t', ' '))
          .replaceAll(
              escape ->
                  Matcher.quoteReplacement(escape.group().equals("\\/") ? "/" : escape.group()));
    }
  }
}
