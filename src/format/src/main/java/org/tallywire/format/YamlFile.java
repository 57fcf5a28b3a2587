package org.tallywire.format;

import java.io.IOException;
import java.io.StringReader;
import java.nio.charset.CharacterCodingException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import org.yaml.snakeyaml.LoaderOptions;
import org.yaml.snakeyaml.Yaml;
import org.yaml.snakeyaml.error.MarkedYAMLException;
import org.yaml.snakeyaml.error.YAMLException;
import org.yaml.snakeyaml.nodes.MappingNode;
import org.yaml.snakeyaml.nodes.Node;

/** A YAML file that a person wrote, read as text with places, never as Java objects. */
public final class YamlFile {

  private static final long LARGEST = 1_000_000;
  private static final int DEEPEST = 16;

  private YamlFile() {}

  /**
   * Reads a file whose top level is a mapping.
   *
   * @throws SetupException if it cannot be read at all; a wrong content becomes a problem later
   */
  public static YamlSection read(Path file, Problems problems) throws SetupException {
    return parse(file.toString(), text(file), problems);
  }

  /** Returns the text of a file that a person wrote. */
  static String text(Path file) throws SetupException {
    try {
      if (!Files.exists(file)) {
        throw new SetupException("%s: there is no such file".formatted(file));
      }
      if (Files.size(file) > LARGEST) {
        throw new SetupException(
            "%s: %d bytes; such a file has at most %d".formatted(file, Files.size(file), LARGEST));
      }
      return Files.readString(file);
    } catch (CharacterCodingException e) {
      throw new SetupException("%s: is not UTF-8 text".formatted(file));
    } catch (IOException e) {
      throw new SetupException("%s: cannot be read: %s".formatted(file, e));
    }
  }

  /** Reads text whose top level is a mapping; the name stands for it in problems. */
  public static YamlSection parse(String name, String text, Problems problems)
      throws SetupException {
    LoaderOptions options = new LoaderOptions();
    options.setNestingDepthLimit(DEEPEST);
    options.setMaxAliasesForCollections(0);
    try {
      Node top = new Yaml(options).compose(new StringReader(text));
      if (top instanceof MappingNode mapping) {
        return new YamlSection(name, "", mapping, problems);
      }
      throw new SetupException(List.of("%s: holds no \"key: value\" lines".formatted(name)));
    } catch (MarkedYAMLException e) {
      String place =
          e.getProblemMark() == null
              ? name
              : "%s line %d column %d"
                  .formatted(
                      name, e.getProblemMark().getLine() + 1, e.getProblemMark().getColumn() + 1);
      throw new SetupException("%s: is no YAML: %s".formatted(place, e.getProblem()));
    } catch (YAMLException e) {
      throw new SetupException("%s: is no YAML: %s".formatted(name, e.getMessage()));
    }
  }
}
