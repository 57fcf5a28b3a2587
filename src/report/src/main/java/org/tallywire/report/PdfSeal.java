package org.tallywire.report;

import java.nio.charset.StandardCharsets;
import java.security.GeneralSecurityException;
import java.security.KeyPair;
import java.security.MessageDigest;
import java.util.HexFormat;
import java.util.Optional;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/**
 * The seal of a PDF: a text of fixed length in it, with a digest over all bytes but its own and
 * those of its signature. Digests of 64 parts of the file say about where it was changed. Unsigned
 * it shows accidents only. Stateless, for any thread.
 */
final class PdfSeal {

  private static final int PARTS = 64;
  private static final int PART_DIGITS = 8;
  private static final int SUM_DIGITS = 64;
  private static final int SIGNATURE_DIGITS = 128;
  private static final HexFormat HEX = HexFormat.of();

  private static final Pattern SEAL =
      Pattern.compile(
          "tallywire-seal 1 key=([0-9a-f]{88})?; parts=([0-9a-f]{%d}); sha256=([0-9a-f]{%d}); signature=([0-9a-f]{%d})\\)"
              .formatted(PARTS * PART_DIGITS, SUM_DIGITS, SIGNATURE_DIGITS));

  /** Where the three texts stand that the digests leave out. */
  private record Place(int parts, int sum, int signature, String key) {}

  private PdfSeal() {}

  /** Returns the text that keeps the place of the seal; it is to end a string of the PDF. */
  static String blank(Optional<KeyPair> key) {
    return "tallywire-seal 1 key=%s; parts=%s; sha256=%s; signature=%s"
        .formatted(
            Signing.named(key),
            "0".repeat(PARTS * PART_DIGITS),
            "0".repeat(SUM_DIGITS),
            "0".repeat(SIGNATURE_DIGITS));
  }

  /**
   * Fills the seal in and returns the same bytes.
   *
   * @throws IllegalArgumentException if the text of the seal is not there once
   */
  static byte[] fill(byte[] pdf, Optional<KeyPair> key) throws GeneralSecurityException {
    Place place =
        find(pdf)
            .orElseThrow(
                () -> new IllegalArgumentException("the PDF has not one place for its seal"));
    put(pdf, place.parts(), parts(pdf, place));
    byte[] sum = sum(pdf, place);
    put(pdf, place.sum(), HEX.formatHex(sum));
    put(pdf, place.signature(), padded(Signing.sign(sum, key)));
    return pdf;
  }

  /** Checks a PDF byte for byte, and that the expected key signed it if one is given. */
  static SealFinding check(byte[] pdf, Optional<String> expected) {
    Optional<Place> found = find(pdf);
    if (found.isEmpty()) {
      return SealFinding.changed(
          "The PDF has not exactly one seal: it was never sealed, was cut, or its seal was"
              + " changed.");
    }
    Place place = found.get();
    String stated = text(pdf, place.sum(), SUM_DIGITS);
    byte[] sum = sum(pdf, place);
    if (!HEX.formatHex(sum).equals(stated)) {
      return SealFinding.changed(
          "The PDF was changed: it has %d bytes with another digest than its seal says. %s"
              .formatted(pdf.length, where(pdf, place)));
    }
    String signature = text(pdf, place.signature(), SIGNATURE_DIGITS);
    boolean blank = signature.equals(padded(""));
    return Signing.signer(sum, place.key(), blank ? "" : signature, expected);
  }

  private static String padded(String signature) {
    return signature.isEmpty() ? "0".repeat(SIGNATURE_DIGITS) : signature;
  }

  private static Optional<Place> find(byte[] pdf) {
    Matcher seal = SEAL.matcher(new String(pdf, StandardCharsets.ISO_8859_1));
    if (!seal.find()) {
      return Optional.empty();
    }
    String key = seal.group(1);
    Place place = new Place(seal.start(2), seal.start(3), seal.start(4), key == null ? "" : key);
    return seal.find() ? Optional.empty() : Optional.of(place);
  }

  private static String text(byte[] pdf, int from, int length) {
    return new String(pdf, from, length, StandardCharsets.ISO_8859_1);
  }

  private static void put(byte[] pdf, int at, String text) {
    byte[] bytes = text.getBytes(StandardCharsets.ISO_8859_1);
    System.arraycopy(bytes, 0, pdf, at, bytes.length);
  }

  private static byte[] sum(byte[] pdf, Place place) {
    MessageDigest sha = Signing.sha();
    sha.update(pdf, 0, place.sum());
    int between = place.sum() + SUM_DIGITS;
    sha.update(pdf, between, place.signature() - between);
    int rest = place.signature() + SIGNATURE_DIGITS;
    sha.update(pdf, rest, pdf.length - rest);
    return sha.digest();
  }

  /** Digests of the parts of the file in which the seal's own texts count as zeros. */
  private static String parts(byte[] pdf, Place place) {
    byte[] plain = pdf.clone();
    put(plain, place.parts(), "0".repeat(PARTS * PART_DIGITS));
    put(plain, place.sum(), "0".repeat(SUM_DIGITS));
    put(plain, place.signature(), padded(""));
    StringBuilder digests = new StringBuilder();
    for (int i = 0; i < PARTS; i++) {
      MessageDigest sha = Signing.sha();
      sha.update(plain, bound(pdf, i), bound(pdf, i + 1) - bound(pdf, i));
      digests.append(HEX.formatHex(sha.digest()), 0, PART_DIGITS);
    }
    return digests.toString();
  }

  private static int bound(byte[] pdf, int part) {
    return (int) ((long) pdf.length * part / PARTS);
  }

  private static String where(byte[] pdf, Place place) {
    String stated = text(pdf, place.parts(), PARTS * PART_DIGITS);
    String found = parts(pdf, place);
    int first = -1;
    int last = -1;
    int count = 0;
    for (int i = 0; i < PARTS; i++) {
      if (!stated.regionMatches(i * PART_DIGITS, found, i * PART_DIGITS, PART_DIGITS)) {
        first = first < 0 ? i : first;
        last = i;
        count++;
      }
    }
    if (count == 0) {
      return "The change is in the seal itself.";
    }
    if (count == PARTS) {
      return "Where cannot be said: its length differs, or much of it was changed.";
    }
    return "The change is within bytes %d to %d, or in the seal itself, bytes %d to %d."
        .formatted(
            bound(pdf, first) + 1,
            bound(pdf, last + 1),
            place.parts() + 1,
            place.signature() + SIGNATURE_DIGITS);
  }
}
