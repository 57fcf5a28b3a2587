package org.tallywire.line;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;

/**
 * What the formulas of L-29 and L-35 give at each speed, in virtual time: the share of the line
 * that a stored download uses, and how old a live reading is when it arrives. The baseline of both
 * is the bare line: the same bytes back to back. The table stands in appendix C of the page.
 */
class LineRatesTest {

  private static final int[] BAUDS = {
    1_200, 2_400, 4_800, 9_600, 19_200, 38_400, 57_600, 115_200, 230_400, 460_800, 921_600
  };
  private static final double LEAST_USE = 0.80;
  private static final double TIMER_MS = 16;

  @Test
  @DisplayName("L-29, L-35: a download fills the line, a live reading is soon there; appendix C")
  void table() throws Exception {
    List<String> rows = new ArrayList<>();
    for (int baud : BAUDS) {
      LineRate download = LineRate.download(baud, 300, 64);
      LineRate eight = LineRate.download(baud, 300, 8);
      LineRate live = LineRate.live(baud, 100);
      double bound = 2 * live.lineMs() + TIMER_MS;
      rows.add(
          String.format(
              Locale.ROOT,
              "| %d | %.1f | %d | %.0f | %.1f %% | %.1f %% | %.1f | %.1f |",
              baud,
              live.lineMs(),
              download.credit(),
              download.sendTimeoutMs(),
              100 * download.use(),
              100 * eight.use(),
              live.oldestMs(),
              bound));
      assertTrue(download.use() >= LEAST_USE, "use at %d baud: %s".formatted(baud, download));
      assertTrue(live.oldestMs() < bound, "live at %d baud: %s".formatted(baud, live));
    }
    assertEquals(String.join("\n", rows), String.join("\n", appendix()));
  }

  private static List<String> appendix() throws IOException {
    String page = Files.readString(Path.of("../../shared/protocol.md"));
    return page.substring(page.indexOf("## Appendix C"))
        .lines()
        .filter(line -> line.matches("\\| [0-9]+ \\|.*"))
        .toList();
  }
}
