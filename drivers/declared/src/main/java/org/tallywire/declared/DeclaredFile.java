package org.tallywire.declared;

import static java.nio.charset.StandardCharsets.UTF_8;

import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.charset.CharacterCodingException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.List;
import java.util.Optional;
import java.util.regex.Pattern;
import org.tallywire.api.Command;
import org.tallywire.api.DriverDescription;
import org.tallywire.api.Example;
import org.tallywire.api.Instrument;

/**
 * Reads a file that declares a driver, in YAML or JSON ({@code
 * shared/schema/declared.schema.json}).
 */
public final class DeclaredFile {

  private static final long LARGEST = 256 * 1024;
  private static final Pattern NAME = Pattern.compile("[a-z][a-z0-9-]{0,31}");
  private static final Pattern VERSION = Pattern.compile("[0-9A-Za-z][0-9A-Za-z.+_-]{0,31}");
  private static final Duration DAY = Duration.ofHours(24);

  private DeclaredFile() {}

  /**
   * Reads a file.
   *
   * @throws DeclarationException with every problem of it
   */
  public static DeclaredDriver read(Path file) throws DeclarationException {
    String name = file.toString();
    try {
      if (!Files.isRegularFile(file)) {
        throw refused(name, "there is no such file; write the path of one");
      }
      if (Files.size(file) > LARGEST) {
        throw tooLarge(name, Files.size(file));
      }
      return parse(name, Files.readAllBytes(file));
    } catch (IOException e) {
      throw refused(name, "the file cannot be read: " + e);
    }
  }

  /**
   * Reads the bytes of a file; the name stands for it in problems.
   *
   * @throws DeclarationException with every problem of it
   */
  public static DeclaredDriver parse(String name, byte[] content) throws DeclarationException {
    if (content.length > LARGEST) {
      throw tooLarge(name, content.length);
    }
    try {
      return parse(name, UTF_8.newDecoder().decode(ByteBuffer.wrap(content)).toString());
    } catch (CharacterCodingException e) {
      throw refused(name, "the file is not UTF-8 text; save it as UTF-8");
    }
  }

  private static DeclarationException tooLarge(String name, long bytes) {
    return refused(
        name, "the file has %d bytes; such a file has at most %d".formatted(bytes, LARGEST));
  }

  private static DeclarationException refused(String name, String what) {
    return new DeclarationException(List.of("%s:1:1: %s".formatted(name, what)));
  }

  /**
   * Reads text; the name stands for it in problems.
   *
   * @throws DeclarationException with every problem of it
   */
  public static DeclaredDriver parse(String name, String text) throws DeclarationException {
    Problems problems = new Problems(name);
    if (text.length() > LARGEST) {
      throw refused(name, "the text is longer than %d characters; write less".formatted(LARGEST));
    }
    Optional<Section> top = Yaml.read(text, problems);
    problems.throwIfAny();
    Declaration declaration = declaration(top.orElseThrow());
    problems.throwIfAny();
    return DeclaredDriver.usual(declaration);
  }

  private static Declaration declaration(Section top) {
    top.has("$schema"); // for editors
    Optional<Section> port = top.section("port");
    Optional<Section> lines = top.section("lines");
    LineShape shape = LinesReader.shape(lines, top.section("check"));
    List<Question> atStart = AskReader.questions(top, "at-start", true);
    List<Question> asks = AskReader.questions(top, "ask", false);
    Optional<Section> listen = top.section("listen");
    int longestBlock = lines.map(l -> l.whole("longest-block", 2, 200, 60)).orElse(60);
    List<LineRule> rules = RuleReader.rules(top, shape.longest());
    boolean measures = asks.stream().anyMatch(q -> q.effect() == Command.Effect.MEASURE);
    boolean firstMayBeHalf = asks.isEmpty() && shape.check().isEmpty() && !shape.hasStart();
    List<Example> examples = new ExampleReader(shape, rules, firstMayBeHalf).examples(top);
    Declaration declaration =
        new Declaration(
            description(top, port, shape, rules, saysItsSerial(atStart, rules)),
            instrument(top),
            shape,
            top.section("numbers").map(LinesReader::numbers).orElse(NumberStyle.USUAL),
            lines.map(l -> l.flag("echo", false)).orElse(false),
            atStart,
            asks,
            asks.isEmpty() || listen.isPresent() || measures,
            listen.flatMap(l -> time(l, "silence")),
            listen.flatMap(l -> time(l, "repeats-within")),
            longestBlock,
            rules,
            examples);
    DeclarationCheck.check(top, declaration);
    port.ifPresent(Section::end);
    lines.ifPresent(Section::end);
    listen.ifPresent(Section::end);
    top.end();
    return declaration;
  }

  private static Optional<Duration> time(Section keys, String key) {
    return keys.optionalDuration(key, Duration.ofMillis(10), DAY, Duration.ofMinutes(5));
  }

  private static DriverDescription description(
      Section top,
      Optional<Section> port,
      LineShape shape,
      List<LineRule> rules,
      boolean saysItsSerial) {
    String name = top.text("driver", "bench-ohmmeter");
    if (!name.isEmpty() && !NAME.matcher(name).matches()) {
      top.problem(
          "driver",
          "is \"%s\"; write 1 to 32 small letters, digits and hyphens, a letter first"
              .formatted(Bytes.written(name)));
    }
    String version = top.text("version", "\"1.0\"");
    if (!version.isEmpty() && !VERSION.matcher(version).matches()) {
      top.problem("version", "is to be 1 to 32 letters, digits and . + _ -; write \"1.0\"");
    }
    boolean counts = rules.stream().anyMatch(rule -> rule.count().isPresent());
    return new DriverDescription(
        name,
        version,
        top.text("about", "one sentence on the meter"),
        PortReader.settings(port),
        PortReader.lines(port),
        counts ? DriverDescription.Memory.NUMBERS : DriverDescription.Memory.NONE,
        shape.check().isPresent(),
        List.of(setting(top, saysItsSerial)));
  }

  /** Tells whether no reading comes before the instrument has said its serial number. */
  private static boolean saysItsSerial(List<Question> atStart, List<LineRule> rules) {
    return Declaration.asksWho(atStart)
        && rules.stream()
            .filter(LineRule::identifies)
            .allMatch(rule -> rule.form().fields().contains("serial"));
  }

  private static DriverDescription.Setting setting(Section top, boolean saysItsSerial) {
    if (top.has("addresses")) {
      return new DriverDescription.Setting(
          DeclaredDriver.ADDRESSES,
          "the instruments on the line, each with its serial number if it does not say it:"
              + " \"01=4711, 02=4712\"",
          String.join(", ", top.texts("addresses")));
    }
    String usual = instrument(top).serial();
    return new DriverDescription.Setting(
        DeclaredDriver.SERIAL,
        "the serial number on the plate, where the instrument does not say it: \"4711\"; - for none",
        usual.isEmpty() && saysItsSerial ? DeclaredDriver.NO_SERIAL : usual);
  }

  private static Instrument instrument(Section top) {
    Optional<Section> section = top.section("instrument");
    if (section.isEmpty()) {
      return Instrument.UNNAMED;
    }
    Section keys = section.get();
    Instrument instrument =
        new Instrument(
            part(keys, "maker"), part(keys, "model"), part(keys, "serial"), part(keys, "firmware"));
    keys.end();
    return instrument;
  }

  private static String part(Section keys, String key) {
    String text = keys.optionalText(key, "\"4711\"").orElse("");
    if (text.codePointCount(0, text.length()) > 64) {
      keys.problem(key, "has more than 64 characters; write fewer");
      return "";
    }
    return text;
  }
}
