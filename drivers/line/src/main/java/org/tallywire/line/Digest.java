package org.tallywire.line;

import java.nio.charset.StandardCharsets;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import java.util.zip.CRC32C;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Frame;
import org.tallywire.api.FrameException;

/** The second check of a reading or of what is lost, by CRC-32C (rule L-33). */
final class Digest {

  private static final Pattern CHECKED = Pattern.compile("!(reading|lost)[ *]");
  private static final Pattern LAST =
      Pattern.compile("(!.*) digest=([^ *]*)( resent=[^ ]*)?\\*[0-9A-Fa-f]{4}");
  private static final Pattern FORM = Pattern.compile("[0-9A-F]{8}");

  private Digest() {}

  /**
   * Returns the fault of a line whose digest is wrong or missing: it counts as damaged (L-33c).
   *
   * @param must whether the instrument says that it has digests
   */
  static Optional<FrameException> damage(Frame frame, boolean must) {
    String text = frame.text();
    if (!CHECKED.matcher(text).lookingAt()) {
      return Optional.empty();
    }
    Matcher last = LAST.matcher(text);
    if (!last.matches()) {
      return must && !text.contains(" digest=")
          ? Optional.of(damaged(frame, "it has no digest, though the instrument has digests"))
          : Optional.empty();
    }
    String stated = last.group(2);
    String found = of(last.group(1));
    if (stated.equals(found)) {
      return Optional.empty();
    }
    String why =
        FORM.matcher(stated).matches()
            ? "it states the digest %s, its bytes give %s".formatted(stated, found)
            : "its digest is not eight upper-case hexadecimal digits";
    return Optional.of(damaged(frame, why));
  }

  /** Checks that a digest is the last field but for resent (L-33b). */
  static void checkPlace(Frame frame, LineMessage line) throws FrameException {
    List<String> keys = List.copyOf(line.fields().keySet());
    List<String> after = keys.subList(keys.indexOf("digest") + 1, keys.size());
    List<String> right = keys.contains("resent") ? List.of("resent") : List.of();
    if (keys.contains("digest") && !after.equals(right)) {
      throw LineMessage.syntax(frame, "the digest is not the last field but for resent");
    }
  }

  private static FrameException damaged(Frame frame, String why) {
    return new FrameException(
        FaultCode.FRAME_CHECK, "a line was discarded as damaged: " + why, frame.bytes());
  }

  private static String of(String text) {
    CRC32C crc = new CRC32C();
    crc.update(text.getBytes(StandardCharsets.ISO_8859_1));
    return String.format(Locale.ROOT, "%08X", crc.getValue());
  }
}
