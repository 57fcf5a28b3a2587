package org.tallywire.line;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import java.util.Random;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.tallywire.api.FaultCode;

class LineFramerTest {

  private static final String LINE = Wire.line(Wire.reading(7));

  @Test
  @DisplayName("L-5: CRC-16/IBM-3740 gives 29B1 over 123456789 (RevEng CRC catalogue)")
  void checkValue() {
    byte[] digits = "123456789".getBytes(StandardCharsets.US_ASCII);
    assertEquals(0x29B1, Crc16.of(digits, 0, digits.length));
  }

  @Test
  @DisplayName("Every line of the conversation in shared/protocol.md is an undamaged line")
  void conversationOfTheSpecification() throws IOException {
    Matcher lines =
        Pattern.compile("(?m)^[BI] ([<>!].*)$")
            .matcher(Files.readString(Path.of("../../shared/protocol.md")));
    int count = 0;
    while (lines.find()) {
      count++;
      assertEquals(List.of(lines.group(1)), cut(lines.group(1) + "\n").frames());
    }
    assertTrue(count >= 12, "the conversation has " + count + " lines");
  }

  @Test
  @DisplayName("L-2: LF and CR LF end a line, in either case of the hexadecimal digits")
  void terminators() {
    assertEquals(List.of(LINE, LINE), cut(LINE + "\n" + LINE + "\r\n").frames());
    String lower =
        LINE.substring(0, LINE.length() - 4)
            + LINE.substring(LINE.length() - 4).toLowerCase(Locale.ROOT);
    assertEquals(List.of(lower), cut(lower + "\n").frames());
  }

  @Test
  @DisplayName("L-7: empty lines are ignored without a fault")
  void emptyLines() {
    Wire.Cut cut = cut("\n\r\n" + LINE + "\n");
    assertEquals(List.of(LINE), cut.frames());
    assertEquals(List.of(), cut.faults());
  }

  @Test
  @DisplayName("L-7: a line stands after noise without a terminator between, even long noise")
  void lineAfterNoise() {
    for (int length : new int[] {1, 100, 239, 240, 241, 960, 5000}) {
      byte[] noise = new byte[length];
      Arrays.fill(noise, (byte) 0xF8);
      String text = new String(noise, StandardCharsets.ISO_8859_1) + LINE + "\n";
      Wire.Cut cut = cut(text);
      assertEquals(List.of(LINE), cut.frames(), "after " + length + " bytes of noise");
      assertEquals(List.of(FaultCode.FRAME_NOISE), cut.faults());
    }
  }

  @Test
  @DisplayName("L-4 and L-5: a line with any single bit turned over is never taken as it stood")
  void everySingleBit() {
    byte[] bytes = (LINE + "\n").getBytes(StandardCharsets.ISO_8859_1);
    for (int bit = 0; bit < (bytes.length - 1) * 8; bit++) {
      byte[] damaged = bytes.clone();
      damaged[bit / 8] ^= (byte) (1 << (bit % 8));
      Wire.Cut cut = Wire.cut(damaged);
      boolean onlyCaseOfCheck = bit / 8 >= LINE.length() - 4 && bit % 8 == 5;
      if (!onlyCaseOfCheck) {
        assertEquals(List.of(), cut.frames(), "bit " + bit);
      }
    }
  }

  @Test
  @DisplayName("L-7: after 20 000 random garbage streams the next clean line is always taken")
  void garbage() {
    long seed = new Random().nextLong();
    Random random = new Random(seed);
    for (int i = 0; i < 20_000; i++) {
      byte[] garbage = new byte[random.nextInt(600)];
      random.nextBytes(garbage);
      String text = new String(garbage, StandardCharsets.ISO_8859_1) + "\n" + LINE + "\n";
      List<String> frames = cut(text).frames();
      assertEquals(LINE, frames.get(frames.size() - 1), "seed " + seed + ", stream " + i);
    }
  }

  @Test
  @DisplayName("L-6: a longer line is discarded up to its terminator, and said to be too long")
  void tooLong() {
    String longBody = Wire.line("!reading x=" + "1".repeat(400));
    Wire.Cut cut = cut(longBody + "\n" + LINE + "\n");
    assertEquals(List.of(LINE), cut.frames());
    assertEquals(List.of(FaultCode.FRAME_TOO_LONG), cut.faults());
  }

  private static Wire.Cut cut(String text) {
    return Wire.cut(text.getBytes(StandardCharsets.ISO_8859_1));
  }
}
