package org.tallywire.report;

import java.nio.charset.StandardCharsets;
import java.security.GeneralSecurityException;
import java.security.KeyPair;
import java.security.MessageDigest;
import java.util.Arrays;
import java.util.HexFormat;
import java.util.Optional;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/**
 * Ends lines of records with a seal line and checks such a file byte for byte. An unsigned seal
 * shows accidents only: whoever changes the lines can write a new one. Stateless, for any thread.
 */
public final class SealedLines {
  private static final HexFormat HEX = HexFormat.of();
  private static final Pattern SEAL =
      Pattern.compile(
          "(\\{\"seal\":1,\"count\":([0-9]{1,18}),\"head\":\"([0-9]{1,18}:[0-9a-f]{64})\""
              + ",\"key\":\"([0-9a-f]*)\")"
              + ",\"sha256\":\"([0-9a-f]{64})\",\"signature\":\"([0-9a-f]*)\"\\}\n");

  private SealedLines() {}

  /**
   * The lines with their seal. Each line must end in a line feed; the head is the journal's, as
   * position and SHA-256.
   *
   * @throws IllegalArgumentException if the last line has no end or the head is not of that form
   * @throws GeneralSecurityException if the key is not an Ed25519 key
   */
  public static byte[] seal(byte[] lines, long position, String digest, Optional<KeyPair> key)
      throws GeneralSecurityException {
    if (lines.length > 0 && lines[lines.length - 1] != '\n') {
      throw new IllegalArgumentException("the last line to seal does not end in a line feed");
    }
    String signer = Signing.named(key);
    String start =
        "{\"seal\":1,\"count\":"
            + count(lines)
            + ",\"head\":\""
            + position
            + ":"
            + digest
            + "\",\"key\":\""
            + signer
            + "\"";
    byte[] sum = sum(lines, start);
    String signature = Signing.sign(sum, key);
    String end =
        start + ",\"sha256\":\"" + HEX.formatHex(sum) + "\",\"signature\":\"" + signature + "\"}\n";
    if (!SEAL.matcher(end).matches()) {
      throw new IllegalArgumentException("not a head: " + position + ":" + digest);
    }
    byte[] tail = end.getBytes(StandardCharsets.ISO_8859_1);
    byte[] all = Arrays.copyOf(lines, lines.length + tail.length);
    System.arraycopy(tail, 0, all, lines.length, tail.length);
    return all;
  }

  /**
   * Whether a sealed file is as it was sealed, and by the expected key (hex, X.509) if one is
   * given.
   */
  public static SealFinding check(byte[] file, Optional<String> expected) {
    byte[] lines = Arrays.copyOf(file, lastLine(file));
    Matcher seal = seal(file);
    if (!seal.matches()) {
      return SealFinding.changed(
          "The last line is not a seal: the file was cut or its seal was changed.");
    }
    byte[] sum = sum(lines, seal.group(1));
    if (count(lines) != Long.parseLong(seal.group(2))) {
      return SealFinding.changed(
          "The seal counts " + seal.group(2) + " lines, the file has " + count(lines) + ".");
    }
    if (!HEX.formatHex(sum).equals(seal.group(5))) {
      return SealFinding.changed("The lines or their seal were changed: the digest is another.");
    }
    return Signing.signer(sum, seal.group(4), seal.group(6), expected);
  }

  /** Returns the head that a seal names, whether or not the lines are those that were sealed. */
  static Optional<HeldHead> head(byte[] file) {
    Matcher seal = seal(file);
    return seal.matches() ? HeldHead.of(seal.group(3)) : Optional.empty();
  }

  private static Matcher seal(byte[] file) {
    int start = lastLine(file);
    return SEAL.matcher(new String(file, start, file.length - start, StandardCharsets.ISO_8859_1));
  }

  /** Returns where the last line begins; its own end does not end it. */
  private static int lastLine(byte[] file) {
    int start = Math.max(0, file.length - 1);
    while (start > 0 && file[start - 1] != '\n') {
      start--;
    }
    return start;
  }

  private static long count(byte[] lines) {
    long count = 0;
    for (byte b : lines) {
      count += b == '\n' ? 1 : 0;
    }
    return count;
  }

  private static byte[] sum(byte[] lines, String start) {
    MessageDigest sha = Signing.sha();
    sha.update(lines);
    return sha.digest(start.getBytes(StandardCharsets.ISO_8859_1));
  }
}
