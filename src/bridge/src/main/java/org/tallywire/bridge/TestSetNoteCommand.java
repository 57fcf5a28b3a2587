package org.tallywire.bridge;

import java.io.IOException;
import java.math.BigDecimal;
import java.nio.file.Files;
import java.nio.file.Path;
import java.security.DigestInputStream;
import java.security.MessageDigest;
import java.security.NoSuchAlgorithmException;
import java.util.ArrayList;
import java.util.HexFormat;
import java.util.List;
import java.util.Optional;
import java.util.concurrent.Callable;
import org.jspecify.annotations.Nullable;
import org.tallywire.api.Quantity;
import org.tallywire.api.Unit;
import org.tallywire.api.Value;
import org.tallywire.format.SetupException;
import org.tallywire.testset.Note;
import org.tallywire.testset.TestSetEvent;
import picocli.CommandLine.Command;
import picocli.CommandLine.Mixin;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;

/** {@code tallywire test-set note}. */
@Command(
    name = "note",
    description = {
      "Writes a note beside a test set: words, temperatures, files.",
      "A winding temperature holds for the resistances that are booked after it and have none of"
          + " their own. A file is named with its SHA-256 and stays where it is."
    },
    mixinStandardHelpOptions = true)
final class TestSetNoteCommand implements Callable<Integer> {

  @Mixin private TestSetArguments about = new TestSetArguments();

  @Parameters(index = "2", arity = "0..1", paramLabel = "TEXT", description = "the words")
  private String text = "";

  @Option(names = "--step", paramLabel = "STEP", description = "the step it is about")
  private @Nullable String step;

  @Option(
      names = "--winding-temperature",
      paramLabel = "CELSIUS",
      description = "of the windings, in °C")
  private @Nullable BigDecimal winding;

  @Option(
      names = "--ambient-temperature",
      paramLabel = "CELSIUS",
      description = "of the air, in °C")
  private @Nullable BigDecimal ambient;

  @Option(names = "--relative-humidity", paramLabel = "PERCENT", description = "of the air, in %%")
  private @Nullable BigDecimal humidity;

  @Option(
      names = "--file",
      paramLabel = "FILE",
      description = "a photo or another file that belongs to the record; may be given again")
  private List<Path> files = List.of();

  @Override
  public Integer call() throws Exception {
    TestSetEvent.Opened opened = about.opened();
    if (text.isBlank() && values().isEmpty() && files.isEmpty()) {
      throw new SetupException("say something: a text, a temperature or a file");
    }
    Note note =
        new Note(
            about.id(),
            opened.station(),
            Leaving.now(),
            about.by(),
            text,
            Optional.ofNullable(step),
            values(),
            attachments());
    return about.leave(Drafts.of(note), "The note is written.");
  }

  private List<Value.Measured> values() {
    List<Value.Measured> values = new ArrayList<>();
    add(values, Quantity.WINDING_TEMPERATURE, winding, Unit.CELSIUS);
    add(values, Quantity.AMBIENT_TEMPERATURE, ambient, Unit.CELSIUS);
    add(values, Quantity.RELATIVE_HUMIDITY, humidity, Unit.PERCENT);
    return values;
  }

  private static void add(
      List<Value.Measured> values, Quantity quantity, @Nullable BigDecimal number, Unit unit) {
    if (number != null) {
      values.add(new Value.Measured(quantity, number, unit));
    }
  }

  private List<Note.Attachment> attachments() throws SetupException {
    List<Note.Attachment> attachments = new ArrayList<>();
    for (Path file : files) {
      attachments.add(attachment(file));
    }
    return attachments;
  }

  private static Note.Attachment attachment(Path file) throws SetupException {
    try (DigestInputStream in =
        new DigestInputStream(Files.newInputStream(file), MessageDigest.getInstance("SHA-256"))) {
      long bytes = 0;
      byte[] some = new byte[64 * 1024];
      for (int n = in.read(some); n >= 0; n = in.read(some)) {
        bytes += n;
      }
      return new Note.Attachment(
          file.toString(), bytes, HexFormat.of().formatHex(in.getMessageDigest().digest()));
    } catch (IOException e) {
      throw new SetupException("--file %s: cannot be read: %s".formatted(file, e));
    } catch (NoSuchAlgorithmException e) {
      throw new IllegalStateException(e); // every Java has it
    }
  }
}
