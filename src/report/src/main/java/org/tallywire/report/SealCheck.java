package org.tallywire.report;

import java.io.IOException;
import java.io.InputStream;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.HexFormat;
import java.util.List;
import java.util.Optional;
import org.apache.pdfbox.Loader;
import org.apache.pdfbox.pdmodel.PDDocument;
import org.apache.pdfbox.pdmodel.PDDocumentNameDictionary;
import org.apache.pdfbox.pdmodel.PDEmbeddedFilesNameTreeNode;
import org.apache.pdfbox.pdmodel.common.filespecification.PDComplexFileSpecification;
import org.apache.pdfbox.pdmodel.common.filespecification.PDEmbeddedFile;
import org.tallywire.journal.JournalEntry;
import org.tallywire.journal.JournalException;

/**
 * The check of a sealed file: its seal, the entries in it one by one, and, where they are given, a
 * head that was kept apart and the journal itself. Used by one thread.
 */
public final class SealCheck {

  /** Entries of the journal that a record was made from. */
  public interface Entries {
    Optional<JournalEntry> at(long position) throws JournalException;
  }

  /** A few bytes may unpack to very many; a record has no more than these. */
  private static final int LARGEST = 256 * 1024 * 1024;

  private final List<String> sentences = new ArrayList<>();
  private final List<String> limits = new ArrayList<>();
  private final Optional<HeldHead> sealedHead;
  private final List<EntryLines.Line> lines;
  private boolean intact = true;
  private boolean headCompared;
  private boolean journalCompared;

  private SealCheck(byte[] file, Optional<String> expected) {
    boolean pdf = startsWith(file, "%PDF-");
    SealFinding seal = pdf ? PdfSeal.check(file, expected) : SealedLines.check(file, expected);
    say(seal.intact(), (pdf ? "PDF: " : "Lines: ") + seal.sentence());
    Optional<byte[]> records = pdf ? attached(file) : Optional.of(file);
    if (records.isEmpty()) {
      say(!pdf, "The PDF holds no records.jsonl that can be read.");
      this.lines = List.of();
      this.sealedHead = Optional.empty();
    } else {
      if (pdf) {
        SealFinding inner = SealedLines.check(records.get(), expected);
        say(inner.intact(), "Its records.jsonl: " + inner.sentence());
      }
      EntryLines.Content content = EntryLines.read(records.get());
      content.faults().forEach(fault -> say(false, "Changed at " + fault + "."));
      this.lines = content.lines();
      this.sealedHead = SealedLines.head(records.get());
      entries(content);
    }
    limits(seal, expected, pdf);
  }

  /**
   * Checks a file.
   *
   * @param expected the public key that must have signed it, as it stands in seals
   */
  public static SealCheck of(byte[] file, Optional<String> expected) {
    return new SealCheck(file, expected);
  }

  private void entries(EntryLines.Content content) {
    if (content.faults().isEmpty() && !lines.isEmpty()) {
      long first = lines.get(0).position();
      long last = lines.get(lines.size() - 1).position();
      say(
          true,
          "All %d entries in it, of %d to %d, have the digests that follow from their bytes."
              .formatted(lines.size(), first, last));
      long between = last - first + 1 - lines.size();
      if (between > 0) {
        limits.add(
            "%d entries between are not in it, being of other test sets or states of later work; what they said cannot be seen here."
                .formatted(between));
      }
    }
  }

  private void limits(SealFinding seal, Optional<String> expected, boolean pdf) {
    if (seal.intact() && seal.signer().isEmpty()) {
      limits.add(
          "The seal is unsigned: whoever changes the file on purpose can seal it again, and that would not show.");
    } else if (seal.signer().isPresent() && expected.isEmpty()) {
      limits.add(
          "Anybody can make a key: whose this one is shows only against a public key that you have from the shop itself (--key).");
    }
    if (pdf) {
      limits.add(
          "That the pages say what the entries say is not compared; make the record again from the journal to see.");
    }
  }

  /** Compares with a head that was kept apart. */
  public void compare(HeldHead held) {
    headCompared = true;
    if (sealedHead.filter(head -> head.position() == held.position()).isPresent()) {
      boolean same = sealedHead.get().digest().equals(held.digest());
      say(same, "The head in the seal is %sthe one that was kept.".formatted(same ? "" : "NOT "));
      return;
    }
    Optional<EntryLines.Line> line =
        lines.stream().filter(one -> one.position() == held.position()).findFirst();
    if (line.isPresent()) {
      boolean same = line.get().digest().equals(held.digest());
      say(
          same,
          "Entry %d has %s digest that was kept."
              .formatted(held.position(), same ? "the" : "NOT the"));
      return;
    }
    headCompared = false;
    limits.add(
        "The kept head is of entry %d, which is not in the file; only the journal can show that it is of the same chain (--data)."
            .formatted(held.position()));
  }

  /** Compares every entry, and the head in the seal, with the journal. */
  public void compare(Entries journal) throws JournalException {
    journalCompared = true;
    int same = 0;
    for (EntryLines.Line line : lines) {
      Optional<JournalEntry> entry = journal.at(line.position());
      if (entry.isEmpty()) {
        limits.add(
            "Entry %d is not in the journal any more, or not of that folder."
                .formatted(line.position()));
      } else if (!Arrays.equals(entry.get().payload(), line.payload())
          || !hex(entry.get()).equals(line.digest())) {
        say(false, "Entry %d is not what the journal holds.".formatted(line.position()));
      } else {
        same++;
      }
    }
    say(
        true,
        "%d of %d entries are byte for byte those of the journal.".formatted(same, lines.size()));
    if (sealedHead.isPresent()) {
      Optional<JournalEntry> entry = journal.at(sealedHead.get().position());
      if (entry.isPresent() && !hex(entry.get()).equals(sealedHead.get().digest())) {
        say(
            false,
            "The head in the seal, entry %d, is not what the journal holds."
                .formatted(sealedHead.get().position()));
      }
    }
  }

  private static String hex(JournalEntry entry) {
    return HexFormat.of().formatHex(entry.digest());
  }

  private void say(boolean well, String sentence) {
    intact &= well;
    sentences.add(sentence);
  }

  /** Tells whether nothing was changed as far as can be known. */
  public boolean intact() {
    return intact;
  }

  /** Returns what was found. */
  public List<String> sentences() {
    return List.copyOf(sentences);
  }

  /** Returns what cannot be known. */
  public List<String> limits() {
    List<String> all = new ArrayList<>(limits);
    if (!headCompared && !journalCompared) {
      all.add(
          "That the journal went on after this, or was written anew before it, shows only against a head that was kept apart (--head) or the journal itself (--data).");
    }
    return all;
  }

  private static boolean startsWith(byte[] file, String start) {
    byte[] bytes = start.getBytes(StandardCharsets.US_ASCII);
    return file.length >= bytes.length && Arrays.equals(bytes, Arrays.copyOf(file, bytes.length));
  }

  /** A PDF that was changed may be none any more: whatever goes wrong, it holds no records then. */
  private static Optional<byte[]> attached(byte[] file) {
    try (PDDocument document = Loader.loadPDF(file)) {
      PDDocumentNameDictionary names = document.getDocumentCatalog().getNames();
      PDEmbeddedFilesNameTreeNode tree = names == null ? null : names.getEmbeddedFiles();
      PDComplexFileSpecification found =
          tree == null || tree.getNames() == null ? null : tree.getNames().get(PdfReport.RECORDS);
      PDEmbeddedFile embedded = found == null ? null : found.getEmbeddedFile();
      if (embedded == null) {
        return Optional.empty();
      }
      try (InputStream in = embedded.createInputStream()) {
        byte[] records = in.readNBytes(LARGEST + 1);
        return records.length > LARGEST ? Optional.empty() : Optional.of(records);
      }
    } catch (IOException | RuntimeException | StackOverflowError e) {
      return Optional.empty();
    }
  }
}
