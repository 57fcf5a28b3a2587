package org.tallywire.report;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.ByteArrayOutputStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.security.GeneralSecurityException;
import java.security.KeyPair;
import java.util.Arrays;
import java.util.List;
import java.util.Optional;
import java.util.Random;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.apache.pdfbox.Loader;
import org.apache.pdfbox.pdfwriter.compress.CompressParameters;
import org.apache.pdfbox.pdmodel.PDDocument;
import org.apache.pdfbox.pdmodel.PDPage;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** Seals of PDF and lines (shared/record.md, "The seal"): every changed byte is found. */
class SealTest {

  private static final int SAMPLE = 300;

  @TempDir private Path folder;

  private final long seed = Long.getLong("tallywire.seed", System.nanoTime());
  private final Random random = new Random(seed);

  private static boolean within(int at, String from, String to) {
    return Integer.parseInt(from) <= at && at <= Integer.parseInt(to);
  }

  private static byte[] smallPdf(Optional<KeyPair> key) throws Exception {
    ByteArrayOutputStream out = new ByteArrayOutputStream();
    try (PDDocument document = new PDDocument()) {
      document.addPage(new PDPage());
      document.getDocumentInformation().setCustomMetadataValue("Seal", PdfSeal.blank(key));
      document.save(out, CompressParameters.NO_COMPRESSION);
    }
    return PdfSeal.fill(out.toByteArray(), key);
  }

  private byte[] otherAt(byte[] file, int at) {
    byte[] changed = file.clone();
    changed[at] ^= (byte) (1 + random.nextInt(255));
    return changed;
  }

  @Test
  @DisplayName("A small PDF, signed and not: each byte changed to one other value is found")
  void everyByteOfAPdf() throws Exception {
    for (Optional<KeyPair> key : List.of(Optional.<KeyPair>empty(), Optional.of(ShopKey.make()))) {
      byte[] pdf = smallPdf(key);
      assertTrue(PdfSeal.check(pdf, Optional.empty()).intact());
      for (int at = 0; at < pdf.length; at++) {
        int where = at;
        assertFalse(
            PdfSeal.check(otherAt(pdf, at), Optional.empty()).intact(),
            () -> "byte %d, seed %d".formatted(where, seed));
      }
      for (int length = 0; length < pdf.length; length += 7) {
        assertFalse(PdfSeal.check(Arrays.copyOf(pdf, length), Optional.empty()).intact());
      }
      assertFalse(PdfSeal.check(Arrays.copyOf(pdf, pdf.length + 1), Optional.empty()).intact());
    }
  }

  @Test
  @DisplayName("A record's lines, signed: each byte changed to one other value is found, and where")
  void everyByteOfLines() throws Exception {
    try (Campaign campaign = new Campaign(folder)) {
      campaign.answered().reads(Campaign.RATIO, Campaign.ratio("25.4100"));
      byte[] lines = EntryLines.sealed(campaign.record(), Optional.of(ShopKey.make()));
      assertTrue(SealCheck.of(lines, Optional.empty()).intact());
      int step = Integer.getInteger("tallywire.rounds", 1) > 1 ? 1 : lines.length / 1500 + 1;
      for (int at = random.nextInt(step); at < lines.length; at += step) {
        int where = at;
        SealCheck check = SealCheck.of(otherAt(lines, at), Optional.empty());
        assertFalse(check.intact(), () -> "byte %d, seed %d".formatted(where, seed));
      }
      String text = new String(lines, StandardCharsets.UTF_8);
      SealCheck check =
          SealCheck.of(
              text.replaceFirst("25\\.4100", "25.4000").getBytes(StandardCharsets.UTF_8),
              Optional.empty());
      assertTrue(
          check.sentences().stream()
              .anyMatch(
                  one ->
                      one.equals(
                          "Changed at line 3, entry 3: record and digests do not belong"
                              + " together.")),
          () -> check.sentences().toString());
    }
  }

  @Test
  @DisplayName("A record's PDF: what is changed is found, about where, and its entries are whole")
  void recordPdf() throws Exception {
    try (Campaign campaign = new Campaign(folder)) {
      TestRecord record = campaign.answered().good().closes().record();
      KeyPair key = ShopKey.make();
      Optional<KeyPair> signer = Optional.of(key);
      byte[] pdf =
          PdfReport.of(
              HtmlReportTest.page(record),
              EntryLines.sealed(record, signer),
              signer,
              Campaign.START,
              "tallywire test");
      SealCheck whole = SealCheck.of(pdf, Optional.of(ShopKey.named(key)));
      assertTrue(whole.intact(), () -> whole.sentences().toString());
      assertTrue(
          whole
              .sentences()
              .toString()
              .contains("All %d entries".formatted(record.entries().size())));

      int samples =
          Integer.getInteger("tallywire.rounds", 1) > 1 ? pdf.length : Math.min(SAMPLE, pdf.length);
      Pattern range =
          Pattern.compile(
              "within bytes (\\d+) to (\\d+), or in the seal itself, bytes (\\d+) to (\\d+)");
      for (int i = 0; i < samples; i++) {
        int at = samples == pdf.length ? i : random.nextInt(pdf.length);
        SealFinding found = PdfSeal.check(otherAt(pdf, at), Optional.empty());
        assertFalse(found.intact(), () -> "byte %d, seed %d".formatted(at, seed));
        Matcher bytes = range.matcher(found.sentence());
        if (bytes.find()) {
          assertTrue(
              within(at + 1, bytes.group(1), bytes.group(2))
                  || within(at + 1, bytes.group(3), bytes.group(4)),
              () -> "byte %d, seed %d: %s".formatted(at + 1, seed, found.sentence()));
        }
      }
      try (PDDocument document = Loader.loadPDF(pdf)) {
        String title = document.getDocumentInformation().getTitle();
        assertEquals("Test record T-1, asset U&1 <x>", title);
        assertTrue(document.getNumberOfPages() >= 2);
      }
    }
  }

  @Test
  @DisplayName(
      "Sealed anew by another hand: found with the shop's key, by a kept head, by the journal")
  void sealedAnew() throws Exception {
    try (Campaign campaign = new Campaign(folder)) {
      TestRecord record = campaign.answered().good().closes().record();
      KeyPair shop = ShopKey.make();
      byte[] theirs = EntryLines.sealed(record, Optional.of(ShopKey.make()));
      assertTrue(SealCheck.of(theirs, Optional.empty()).intact(), "nothing tells whose key it is");
      assertFalse(SealCheck.of(theirs, Optional.of(ShopKey.named(shop))).intact());

      byte[] unsigned = EntryLines.sealed(record, Optional.empty());
      SealCheck check = SealCheck.of(unsigned, Optional.empty());
      assertTrue(check.intact());
      assertTrue(check.limits().toString().contains("unsigned"), check.limits()::toString);
      assertTrue(check.limits().toString().contains("--head"));
      check.compare(HeldHead.of(record.head().toString()).orElseThrow());
      assertTrue(check.intact());
      assertFalse(check.limits().toString().contains("--head"));

      SealCheck other = SealCheck.of(unsigned, Optional.empty());
      other.compare(new HeldHead(record.head().position(), "0".repeat(64)));
      assertFalse(other.intact());

      SealCheck journal = SealCheck.of(unsigned, Optional.empty());
      journal.compare(p -> campaign.journal.read(p - 1, 1).stream().findFirst());
      assertTrue(journal.intact(), () -> journal.sentences().toString());
      try (Campaign another =
          new Campaign(java.nio.file.Files.createDirectory(folder.resolve("b")))) {
        another.answered().reads(Campaign.RATIO, Campaign.ratio("25.5"));
        SealCheck wrong = SealCheck.of(unsigned, Optional.empty());
        wrong.compare(p -> another.journal.read(p - 1, 1).stream().findFirst());
        assertFalse(wrong.intact());
      }
    }
  }

  @Test
  @DisplayName("A key is read back from its text; halves that do not belong together are refused")
  void keys() throws Exception {
    KeyPair key = ShopKey.make();
    assertEquals(ShopKey.named(key), ShopKey.named(ShopKey.read(ShopKey.text(key))));
    assertEquals(ShopKey.named(key), ShopKey.readPublic(ShopKey.text(key)));
    assertEquals(ShopKey.named(key), ShopKey.readPublic(" " + ShopKey.named(key) + "\n"));
    String mine = ShopKey.text(key);
    String theirs = ShopKey.text(ShopKey.make());
    String open = "-----BEGIN PUBLIC";
    String mixed = mine.substring(0, mine.indexOf(open)) + theirs.substring(theirs.indexOf(open));
    assertThrows(GeneralSecurityException.class, () -> ShopKey.read(mixed));
    assertThrows(GeneralSecurityException.class, () -> ShopKey.read("nothing"));
    assertThrows(GeneralSecurityException.class, () -> ShopKey.readPublic("00"));
  }
}
