package org.tallywire.bridge;

import java.io.IOException;
import java.io.PrintWriter;
import java.nio.file.Files;
import java.nio.file.Path;
import java.security.GeneralSecurityException;
import java.util.Optional;
import java.util.concurrent.Callable;
import org.jspecify.annotations.Nullable;
import org.tallywire.format.SetupException;
import org.tallywire.journal.JournalEntry;
import org.tallywire.journal.JournalException;
import org.tallywire.journal.JournalView;
import org.tallywire.report.HeldHead;
import org.tallywire.report.SealCheck;
import org.tallywire.report.ShopKey;
import picocli.CommandLine.Command;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;
import picocli.CommandLine.Spec;

/** {@code tallywire verify}: whether a sealed record was changed. */
@Command(
    name = "verify",
    description = {
      "Says whether a sealed record (PDF or jsonl, of tallywire report) was changed, about where,"
          + " who signed it, and what cannot be known.",
      "Ends with 0 if nothing was changed as far as can be known, with 3 if something was."
    },
    mixinStandardHelpOptions = true)
final class VerifyCommand implements Callable<Integer> {

  private static final long LARGEST = 256L * 1024 * 1024;

  @Parameters(paramLabel = "FILE", description = "the sealed file: PDF or jsonl")
  private Path file = Path.of("");

  @Spec private CommandSpec spec = CommandSpec.create();

  @Option(
      names = "--key",
      paramLabel = "PUBLIC",
      description =
          "the public key that must have signed it: the 88 digits that tallywire key new printed, or"
              + " a PEM file")
  private @Nullable String key;

  @Option(
      names = "--head",
      paramLabel = "POSITION:DIGEST",
      description = "a head of the journal that was kept apart from the file")
  private @Nullable String head;

  @Option(
      names = "--data",
      paramLabel = "DATA|CONFIG",
      description = "the data folder whose journal the record was made from, to compare with")
  private @Nullable Path data;

  @Override
  public Integer call() throws Exception {
    Optional<String> expected = expected();
    Optional<HeldHead> held = held();
    SealCheck check = SealCheck.of(read(), expected);
    held.ifPresent(check::compare);
    if (data != null) {
      try (JournalView journal = Folder.view(Folder.of(data))) {
        check.compare(position -> at(journal, position));
      } catch (JournalException e) {
        throw new SetupException("data: " + e.getMessage());
      }
    }
    PrintWriter out = spec.commandLine().getOut();
    check.sentences().forEach(line -> out.println(Visible.text(line)));
    out.println("What this cannot show:");
    check.limits().forEach(line -> out.println("  " + Visible.text(line)));
    return check.intact() ? Tallywire.OK : Tallywire.NOT_AS_IT_SHOULD_BE;
  }

  private static Optional<JournalEntry> at(JournalView journal, long position)
      throws JournalException {
    return journal.read(position - 1, 1).stream()
        .filter(entry -> entry.position() == position)
        .findFirst();
  }

  private byte[] read() throws SetupException {
    try {
      if (Files.size(file) > LARGEST) {
        throw new SetupException(
            "%s: has %d bytes; a record has at most %d".formatted(file, Files.size(file), LARGEST));
      }
      return Files.readAllBytes(file);
    } catch (IOException e) {
      throw new SetupException("%s: cannot be read: %s".formatted(file, e));
    }
  }

  private Optional<String> expected() throws SetupException {
    if (key == null) {
      return Optional.empty();
    }
    try {
      boolean named = key.matches("[A-Za-z0-9+/._~-]*") && Files.isRegularFile(Path.of(key));
      return Optional.of(ShopKey.readPublic(named ? Files.readString(Path.of(key)) : key));
    } catch (IOException | GeneralSecurityException e) {
      throw new SetupException("--key %s: %s".formatted(key, e.getMessage()));
    }
  }

  private Optional<HeldHead> held() throws SetupException {
    if (head == null) {
      return Optional.empty();
    }
    return Optional.of(
        HeldHead.of(head)
            .orElseThrow(
                () ->
                    new SetupException(
                        "--head %s: is not a position, a colon and 64 hexadecimal digits"
                            .formatted(head))));
  }
}
