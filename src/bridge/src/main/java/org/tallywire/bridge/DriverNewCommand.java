package org.tallywire.bridge;

import java.io.ByteArrayOutputStream;
import java.io.Console;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.FileAlreadyExistsException;
import java.nio.file.FileSystemException;
import java.nio.file.Files;
import java.nio.file.NoSuchFileException;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.concurrent.Callable;
import org.jspecify.annotations.Nullable;
import org.tallywire.api.Example.Turn;
import org.tallywire.link.VisibleBytes;
import picocli.CommandLine.Command;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;

/** {@code tallywire driver new}: the beginning of a declared driver. */
@Command(
    name = "new",
    description = {
      "Writes the beginning of a declared driver from what a meter says: a capture (tallywire"
          + " capture), a text with its lines, or lines that you paste when it asks for them.",
      "It guesses how lines are cut, numbers, units, times, a count and words of status, and says"
          + " so in the file; go through it with the meter's manual. It never writes over a file."
    },
    exitCodeListHeading = "%nExit codes:%n",
    exitCodeList = {
      "0:the file is written, and passes driver check on these lines",
      "2:nothing is written: nothing can be guessed, the file is there, or the command line is wrong"
    },
    mixinStandardHelpOptions = true)
final class DriverNewCommand implements Callable<Integer> {

  @Parameters(paramLabel = "FILE", description = "the file to make, .yaml; it must not exist")
  private Path file = Path.of("");

  @Option(
      names = "--from",
      paramLabel = "LINES",
      description = "a capture, or a text with lines as the meter sends them")
  private Optional<Path> from = Optional.empty();

  @Option(names = "--maker", paramLabel = "WORDS", description = "who made the meter")
  private String maker = "";

  @Option(names = "--model", paramLabel = "WORDS", description = "what it is called")
  private String model = "";

  @Option(names = "--baud", paramLabel = "N", description = "its speed (default ${DEFAULT-VALUE})")
  private int baud = 9600;

  @Override
  public Integer call() throws Exception {
    if (Files.exists(file)) {
      return refused(file + " is there already; nothing is written over it");
    }
    if (!file.toString().matches(".*\\.ya?ml")) {
      return refused("%s: a declared driver's name ends in .yaml".formatted(file));
    }
    try {
      GuessSource source = from.isPresent() ? GuessSource.read(from.get()) : ask();
      GuessedFile guess =
          new GuessedFile(source, new GuessedFile.Identity(name(), maker, model, baud));
      GuessedFile.Written written = guess.write();
      Files.writeString(file, written.text(), StandardOpenOption.CREATE_NEW);
      tell(written);
      return Tallywire.OK;
    } catch (GuessedFile.Unguessable e) {
      return refused(String.valueOf(e.getMessage()));
    } catch (FileAlreadyExistsException e) {
      return refused(file + " is there already; nothing is written over it");
    } catch (NoSuchFileException e) {
      return refused(e.getMessage() + ": there is no such file or folder");
    } catch (FileSystemException e) {
      return refused(e.toString());
    } catch (IOException e) {
      return refused(String.valueOf(e.getMessage()));
    }
  }

  private static int refused(String sentence) {
    System.err.println(Visible.text(sentence));
    return Tallywire.SETUP;
  }

  private String name() {
    String plain =
        String.valueOf(file.getFileName())
            .toLowerCase(Locale.ROOT)
            .replaceAll("\\.ya?ml$", "")
            .replaceAll("[^a-z0-9-]+", "-")
            .replaceAll("^[^a-z]+", "");
    return plain.isEmpty() ? "meter" : plain.substring(0, Math.min(32, plain.length()));
  }

  private void tell(GuessedFile.Written written) {
    String text = written.text();
    System.out.printf("%s is written. What was guessed:%n", file);
    text.lines()
        .map(String::strip)
        .filter(line -> line.startsWith("# - ") || line.startsWith("# guessed: "))
        .map(line -> line.replaceFirst("^# (- |guessed: )", "  - "))
        .forEach(System.out::println);
    if (text.contains("# CAUTION")) {
      System.out.println(
          "  - CAUTION: what is sent is declared as query; look it up in the manual");
    }
    System.out.printf(
        "Checked on these lines as `tallywire driver check %s` does: %s%n"
            + "Go through it with the manual, then `tallywire driver try %s --port …`.%n",
        file, written.outcome(), file);
    System.out.flush();
  }

  /** Asks a few questions on the terminal. */
  private GuessSource ask() throws GuessedFile.Unguessable {
    Console console =
        TryView.Terminal.console()
            .orElseThrow(
                () ->
                    new GuessedFile.Unguessable(
                        "there is no terminal to ask on: give a capture or a text with --from"));
    maker = answer(console, "Who made the meter", maker);
    model = answer(console, "What is it called", model);
    baud = speed(console);
    byte[] question = question(console);
    console.printf(
        "Paste lines as the meter sends them (with \\r, \\n, \\xHH for what cannot be seen), an%n"
            + "empty line at the end:%n");
    List<byte[]> lines = new ArrayList<>();
    for (String line = console.readLine("  "); line != null && !line.isEmpty(); ) {
      if (isQuestion(line, question)) {
        console.printf("  that is the question, and is left out%n");
        line = console.readLine("  ");
        continue;
      }
      try {
        lines.add(
            VisibleBytes.parse(
                line.matches(".*\\\\(r|n|x[0-9A-Fa-f]{2})$") ? line : line + "\\r\\n"));
      } catch (IllegalArgumentException e) {
        console.printf("  that line is left out: %s%n", e.getMessage());
      }
      line = console.readLine("  ");
    }
    return new GuessSource(turns(question, lines), "lines that were pasted", false, List.of());
  }

  private int speed(Console console) {
    while (true) {
      String speed = answer(console, "Its speed in baud", String.valueOf(baud));
      if (speed.matches("[1-9][0-9]{1,6}")) {
        return Integer.parseInt(speed);
      }
      console.printf("  write a number such as 9600%n");
    }
  }

  private static boolean isQuestion(String line, byte[] question) {
    String asked = new String(question, StandardCharsets.ISO_8859_1).strip();
    return !asked.isEmpty() && line.strip().equals(asked);
  }

  private static List<Turn> turns(byte[] question, List<byte[]> lines) {
    if (question.length > 0) {
      return lines.stream().map(line -> new Turn(question, line)).toList();
    }
    ByteArrayOutputStream all = new ByteArrayOutputStream();
    lines.forEach(all::writeBytes);
    return List.of(new Turn(question, all.toByteArray()));
  }

  private static byte[] question(Console console) {
    while (true) {
      String text =
          answer(console, "What is sent to ask it, such as READ?\\r\\n (nothing: it talks)", "");
      try {
        return VisibleBytes.parse(text);
      } catch (IllegalArgumentException e) {
        console.printf("  %s%n", e.getMessage());
      }
    }
  }

  private static String answer(Console console, String question, String usual) {
    @Nullable String said =
        console.readLine("%s%s: ", question, usual.isEmpty() ? "" : " [" + usual + "]");
    return said == null || said.isBlank() ? usual : said.strip();
  }
}
