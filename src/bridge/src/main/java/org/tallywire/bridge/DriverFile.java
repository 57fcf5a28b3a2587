package org.tallywire.bridge;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.security.MessageDigest;
import java.security.NoSuchAlgorithmException;
import java.util.HexFormat;
import java.util.List;
import java.util.Locale;
import java.util.regex.Pattern;
import org.tallywire.api.Driver;
import org.tallywire.declared.DeclarationException;
import org.tallywire.declared.DeclaredFile;

/**
 * A file with drivers as it was read, once: what is used is what the digest is of, whatever happens
 * to the file meanwhile.
 *
 * @param file whose name says whether it is a jar or a declared driver
 * @param content all of it
 * @param digest SHA-256 of the content, in hex
 */
@SuppressWarnings("ArrayRecordComponent") // loaded, never compared
record DriverFile(Path file, byte[] content, String digest) {

  private static final long LARGEST = 64L << 20;
  private static final Pattern JAR = Pattern.compile(".*\\.jar");
  private static final Pattern DECLARED = Pattern.compile(".*\\.(yaml|yml|json)");

  /** A file cannot be used; its problems say why and what to do. */
  static final class Unusable extends Exception {

    private final List<String> problems;

    Unusable(Path file, String why, Throwable cause) {
      super("%s: %s".formatted(file, why), cause);
      problems = List.of("%s: %s".formatted(file, why));
    }

    Unusable(Path file, String why) {
      super("%s: %s".formatted(file, why));
      problems = List.of("%s: %s".formatted(file, why));
    }

    private Unusable(DeclarationException e) {
      super(e.getMessage(), e);
      problems = e.problems();
    }

    /** Returns all that is wrong with it, one sentence each. */
    List<String> problems() {
      return problems;
    }
  }

  /** Tells whether a file has drivers, by its name. */
  static boolean isOne(Path file) {
    return is(JAR, file) || is(DECLARED, file);
  }

  private static boolean is(Pattern kind, Path file) {
    return kind.matcher(String.valueOf(file.getFileName()).toLowerCase(Locale.ROOT)).matches();
  }

  static DriverFile read(Path file) throws Unusable {
    if (!isOne(file)) {
      throw new Unusable(file, "is no driver by its name: .yaml, .yml, .json or .jar");
    }
    try {
      if (!Files.isRegularFile(file)) {
        throw new Unusable(file, "there is no such file; write the path of one");
      }
      if (Files.size(file) > LARGEST) {
        throw new Unusable(file, "is larger than %d MiB".formatted(LARGEST >> 20));
      }
      byte[] content = Files.readAllBytes(file);
      byte[] digest = MessageDigest.getInstance("SHA-256").digest(content);
      return new DriverFile(file, content, HexFormat.of().formatHex(digest));
    } catch (IOException e) {
      throw new Unusable(file, "cannot be read: " + e, e);
    } catch (NoSuchAlgorithmException e) {
      throw new IllegalStateException(e); // every Java has it
    }
  }

  /** Returns its drivers, at least one; the code of a jar runs from here on. */
  List<Driver> drivers() throws Unusable {
    if (is(JAR, file)) {
      return DriverJar.load(file, content);
    }
    try {
      return List.of(DeclaredFile.parse(file.toString(), content));
    } catch (DeclarationException e) {
      throw new Unusable(e);
    }
  }
}
