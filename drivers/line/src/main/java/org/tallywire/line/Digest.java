package org.tallywire.line;

import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import java.util.zip.CRC32C;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Frame;
import org.tallywire.api.FrameException;

/** The second check of a reading, by CRC-32C, that it may carry (rule L-33). */
final class Digest {

  private static final Pattern READING =
      Pattern.compile("(!reading .*) digest=([0-9A-F]{8})( resent=[^ ]*)?\\*[0-9A-Fa-f]{4}");
  private static final Pattern FORM = Pattern.compile("[0-9A-F]{8}");

  private Digest() {}

  /** Returns the fault of a reading whose digest is wrong: it counts as damaged (L-33c). */
  static Optional<FrameException> damage(Frame frame) {
    Matcher reading = READING.matcher(frame.text());
    if (!reading.matches()) {
      return Optional.empty();
    }
    String stated = reading.group(2);
    String found = of(reading.group(1));
    if (stated.equals(found)) {
      return Optional.empty();
    }
    return Optional.of(
        new FrameException(
            FaultCode.FRAME_CHECK,
            "a reading was discarded as damaged: it states the digest %s, its bytes give %s"
                .formatted(stated, found),
            frame.bytes()));
  }

  /** Checks the form of a digest and that it is the last field but for resent (L-33a, L-33b). */
  static void checkForm(Frame frame, LineMessage line) throws FrameException {
    Optional<String> digest = line.text("digest");
    if (digest.isEmpty()) {
      return;
    }
    if (!FORM.matcher(digest.get()).matches()) {
      throw LineMessage.syntax(
          frame, "digest=%s is not eight upper-case hexadecimal digits".formatted(digest.get()));
    }
    List<String> after = new ArrayList<>(line.fields().keySet());
    after.subList(0, after.indexOf("digest") + 1).clear();
    List<String> allowed = line.text("resent").isPresent() ? List.of("resent") : List.of();
    if (!after.equals(allowed)) {
      throw LineMessage.syntax(
          frame, "the digest is not the last field, or not the last one before resent");
    }
  }

  private static String of(String text) {
    CRC32C crc = new CRC32C();
    crc.update(text.getBytes(StandardCharsets.ISO_8859_1));
    return String.format(Locale.ROOT, "%08X", crc.getValue());
  }
}
