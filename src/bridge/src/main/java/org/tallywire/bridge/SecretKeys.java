package org.tallywire.bridge;

import java.io.BufferedReader;
import java.io.IOException;
import java.nio.charset.CharacterCodingException;
import java.nio.charset.StandardCharsets;
import java.nio.file.AccessDeniedException;
import java.nio.file.Files;
import java.nio.file.NoSuchFileException;
import java.nio.file.Path;
import java.nio.file.attribute.PosixFilePermission;
import java.util.Arrays;
import java.util.List;
import java.util.Optional;
import java.util.Set;
import java.util.regex.Pattern;
import org.jspecify.annotations.Nullable;
import org.tallywire.format.YamlSection;
import org.tallywire.publish.Secret;

/**
 * Reads secrets that stand beside a configuration and never in it: {@code NAME-file} names a file
 * with the secret on its first line, {@code NAME-env} a variable of the environment. No sentence
 * made here has the secret in it.
 */
final class SecretKeys {

  private static final int LONGEST = 4096;

  /** Anything else may be the secret itself, put in the wrong place, and is not shown. */
  private static final Pattern VARIABLE = Pattern.compile("[A-Z_][A-Z0-9_]*");

  /** Where variables of the environment are looked up. */
  interface Environment {
    /** Returns a variable's value, or null if there is none. */
    @Nullable String get(String name);
  }

  private final Path folder;
  private final Environment environment;
  private final List<String> notices;

  /**
   * @param notices to which warnings are added
   */
  SecretKeys(Path folder, Environment environment, List<String> notices) {
    this.folder = folder;
    this.environment = environment;
    this.notices = notices;
  }

  /** Returns whether a section has one of the two keys. */
  boolean wanted(YamlSection section, String name) {
    return section.has(name + "-file") || section.has(name + "-env");
  }

  /** Reads a secret; problems are noted in the section. */
  Optional<Secret> read(YamlSection section, String name) {
    String fileKey = name + "-file";
    String variableKey = name + "-env";
    boolean inFile = section.has(fileKey);
    boolean inVariable = section.has(variableKey);
    if (inFile && inVariable) {
      section.problem(variableKey, "and %s say the same twice; keep one".formatted(fileKey));
      return Optional.empty();
    }
    if (inFile) {
      return fromFile(section, fileKey, folder.resolve(section.text(fileKey)));
    }
    return inVariable
        ? fromVariable(section, variableKey, section.text(variableKey))
        : Optional.empty();
  }

  private Optional<Secret> fromFile(YamlSection section, String key, Path file) {
    String wrong;
    try (BufferedReader reader = Files.newBufferedReader(file, StandardCharsets.UTF_8)) {
      char[] characters = new char[LONGEST + 1];
      int length = 0;
      for (int c = reader.read();
          c >= 0 && c != '\n' && c != '\r' && length < characters.length;
          c = reader.read()) {
        characters[length++] = (char) c;
      }
      if (length > 0 && length <= LONGEST) {
        warnIfOpen(key, file);
        return Optional.of(new Secret(Arrays.copyOf(characters, length)));
      }
      wrong = length == 0 ? "has nothing on its first line" : "has a first line that is too long";
    } catch (NoSuchFileException e) {
      wrong = "is not there";
    } catch (AccessDeniedException e) {
      wrong = "may not be read by this user";
    } catch (CharacterCodingException e) {
      wrong = "is not UTF-8 text";
    } catch (IOException e) {
      wrong = "cannot be read: " + e.getMessage();
    }
    section.problem(
        key, "%s %s; put the secret on the first line of that file".formatted(file, wrong));
    return Optional.empty();
  }

  private Optional<Secret> fromVariable(YamlSection section, String key, String variable) {
    String value = environment.get(variable);
    if (value == null || value.isEmpty()) {
      section.problem(
          key,
          "%s is %s in the environment; set it before the start"
              .formatted(
                  VARIABLE.matcher(variable).matches()
                      ? "\"%s\"".formatted(variable)
                      : "takes the name of a variable, not a secret; what stands there",
                  value == null ? "not set" : "empty"));
      return Optional.empty();
    }
    return Optional.of(new Secret(value.toCharArray()));
  }

  /** Warns of a secret file that other users of the machine can read. */
  void warnIfOpen(String key, Path file) {
    try {
      Set<PosixFilePermission> mode = Files.getPosixFilePermissions(file);
      if (mode.contains(PosixFilePermission.OTHERS_READ)
          || mode.contains(PosixFilePermission.GROUP_READ)) {
        notices.add(
            "Other users of this machine can read %s (%s); do: chmod 600 %s"
                .formatted(file, key, file));
      }
    } catch (UnsupportedOperationException e) {
      // no such modes on this system
    } catch (IOException e) {
      // that it cannot be read is said by who reads it
    }
  }
}
