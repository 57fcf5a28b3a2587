package org.tallywire.api;

import java.nio.charset.StandardCharsets;
import java.security.MessageDigest;
import java.security.NoSuchAlgorithmException;
import java.util.HexFormat;

/**
 * Builds the identities of records: parts joined by colons, each escaped and bounded, so that equal
 * parts give equal ids, different parts different ones, and a repeat is harmless.
 */
public final class RecordId {

  private static final int LONGEST_PART = 96;
  private static final int KEPT = 60;
  private static final int DIGEST_BYTES = 16;

  /** One for each thread: to make one takes longer than to use it. */
  private static final ThreadLocal<MessageDigest> SHA_256 =
      ThreadLocal.withInitial(RecordId::sha256);

  private RecordId() {}

  /** Returns the id of the n-th reading of one frame: {@code source:epoch:sequence:n}. */
  public static String reading(String source, String epoch, long sequence, int part) {
    return join(source, epoch, Long.toString(sequence), Integer.toString(part));
  }

  /** Returns the id of a gap: {@code source:epoch:from-to:gap}. */
  public static String gap(String source, String epoch, long from, long to) {
    return join(source, epoch, from + "-" + to, "gap");
  }

  /** Returns an id derived from everything its record depends on: {@code kind:digest}. */
  public static String derived(String kind, String... inputs) {
    StringBuilder all = new StringBuilder();
    for (String input : inputs) {
      all.append(input).append('\0');
    }
    return join(kind, digest(all.toString()));
  }

  /**
   * Returns the source of an instrument's records: its own identity {@code maker.model.serial}
   * where it has one, else the station.
   */
  public static String source(Instrument instrument, String station) {
    if (!instrument.identified()) {
      return escape(station);
    }
    return escape(instrument.maker())
        + "."
        + escape(instrument.model())
        + "."
        + escape(instrument.serial());
  }

  /** Joins parts to an id, each escaped and cut to its bound by {@link #bounded}. */
  public static String join(String... parts) {
    StringBuilder id = new StringBuilder();
    for (String part : parts) {
      if (id.length() > 0) {
        id.append(':');
      }
      // a source is made of escaped parts already; its dots and tildes must survive
      id.append(bounded(part.replace(":", "~3A")));
    }
    return id.toString();
  }

  /** Replaces every byte outside {@code A-Za-z0-9_-} by {@code ~HH}, reversibly. */
  public static String escape(String text) {
    StringBuilder out = new StringBuilder();
    for (byte b : text.getBytes(StandardCharsets.UTF_8)) {
      char c = (char) (b & 0xFF);
      boolean plain =
          (c >= 'A' && c <= 'Z')
              || (c >= 'a' && c <= 'z')
              || (c >= '0' && c <= '9')
              || c == '_'
              || c == '-';
      if (plain) {
        out.append(c);
      } else {
        out.append('~').append(HexFormat.of().withUpperCase().toHexDigits(b));
      }
    }
    return out.toString();
  }

  /** Cuts a part that is too long and marks it with a digest of the whole. */
  private static String bounded(String part) {
    if (part.length() <= LONGEST_PART) {
      return part;
    }
    return part.substring(0, KEPT) + "~" + digest(part);
  }

  private static String digest(String text) {
    byte[] digest = SHA_256.get().digest(text.getBytes(StandardCharsets.UTF_8));
    return HexFormat.of().formatHex(digest, 0, DIGEST_BYTES);
  }

  private static MessageDigest sha256() {
    try {
      return MessageDigest.getInstance("SHA-256");
    } catch (NoSuchAlgorithmException e) {
      throw new IllegalStateException("every Java platform has SHA-256", e);
    }
  }
}
