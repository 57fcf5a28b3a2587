package org.tallywire.bridge;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.security.MessageDigest;
import java.security.NoSuchAlgorithmException;
import java.util.HexFormat;
import java.util.Optional;
import java.util.concurrent.Callable;
import org.jspecify.annotations.Nullable;
import org.tallywire.acceptance.Nameplate;
import org.tallywire.format.CriteriaFile;
import org.tallywire.format.EarlierFile;
import org.tallywire.format.EarlierKeys;
import org.tallywire.format.ImportedResults;
import org.tallywire.format.NameplateFile;
import org.tallywire.format.SetupException;
import picocli.CommandLine.Command;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;

/** {@code tallywire import}: earlier results of an asset out of a CSV file. */
@Command(
    name = "import",
    description = {
      "Reads earlier results of an asset, from the factory or an earlier year, out of a CSV file, by"
          + " a map of its columns (shared/import). Writes a new file of earlier results, and to"
          + " standard output the keys resistance-references and earlier-ratios for the nameplate.",
      "No file is changed, and none is written over. Ends with 2 if anything in the file cannot be"
          + " read; then nothing is written."
    },
    mixinStandardHelpOptions = true)
final class ImportCommand implements Callable<Integer> {

  @Parameters(paramLabel = "FILE.csv", description = "the results")
  private Path file = Path.of("");

  @Option(
      names = "--map",
      required = true,
      paramLabel = "MAPPING.yaml",
      description = "what its columns are")
  private Path map = Path.of("");

  @Option(
      names = "--asset",
      required = true,
      paramLabel = "NAME",
      description = "the asset's number, as on its nameplate")
  private String asset = "";

  @Option(
      names = "--nameplate",
      paramLabel = "PLATE.yaml",
      description =
          "the asset's nameplate file: the results must fit its taps and phases, and resistances are"
              + " brought to its reference temperature")
  private @Nullable Path plate;

  @Option(
      names = "--earlier",
      paramLabel = "EARLIER.json",
      description =
          "the new file of earlier results; default: beside the nameplate or else the CSV file, with"
              + " the CSV file's name and .earlier.json")
  private @Nullable Path earlier;

  @Option(
      names = "--write",
      paramLabel = "NAMEPLATE.yaml",
      description = "a new nameplate file: a copy of PLATE.yaml with the keys behind it")
  private @Nullable Path write;

  @Override
  public Integer call() throws Exception {
    if (write != null && plate == null) {
      throw new SetupException("--write: say --nameplate too, the file to be copied");
    }
    Optional<Nameplate> read =
        plate == null ? Optional.empty() : Optional.of(NameplateFile.read(plate));
    if (read.isPresent() && !read.get().asset().equals(asset)) {
      throw new SetupException(
          "--asset %s: the nameplate %s is that of %s".formatted(asset, plate, read.get().asset()));
    }
    ImportedResults imported = ImportedResults.read(file, map, read);
    EarlierKeys keys =
        new EarlierKeys(
            imported.results(), read, CriteriaFile.shipped(CriteriaFile.DEFAULT).conductors());
    String yaml = keys.yaml();
    Path target = target();
    String copy = write == null || plate == null ? "" : keys.appendedTo(plate);
    EarlierFile content =
        new EarlierFile(asset, String.valueOf(file.getFileName()), digest(), imported.results());
    try {
      NewFile.<IOException>write(target, out -> out.write(content.json()));
      if (write != null) {
        NewFile.<IOException>write(write, out -> out.write(copy.getBytes(StandardCharsets.UTF_8)));
      }
    } catch (IOException e) {
      throw new SetupException("a file cannot be written: %s".formatted(e));
    }
    tell(imported, keys, target);
    System.out.print(yaml);
    System.out.flush();
    return Tallywire.OK;
  }

  private void tell(ImportedResults imported, EarlierKeys keys, Path target) {
    keys.notes().forEach(note -> System.err.println(Visible.text(note)));
    System.err.printf(
        "%d results of %s in %s; %d cells for values were empty%n",
        imported.results().size(), Visible.text(asset), target, imported.unfilled());
    if (write != null) {
      System.err.printf("new nameplate file: %s%n", write);
    }
  }

  private Path target() {
    if (earlier != null) {
      return earlier;
    }
    String stem = String.valueOf(file.getFileName()).replaceFirst("\\.[^.]*$", "");
    return (plate == null ? file : plate).resolveSibling(stem + ".earlier.json");
  }

  private String digest() throws IOException {
    try {
      return HexFormat.of()
          .formatHex(MessageDigest.getInstance("SHA-256").digest(Files.readAllBytes(file)));
    } catch (NoSuchAlgorithmException e) {
      throw new IllegalStateException("every Java platform has SHA-256", e);
    }
  }
}
