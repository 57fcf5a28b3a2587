package org.tallywire.kit;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.file.Files;
import java.nio.file.Path;
import java.util.HashMap;
import java.util.Map;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;

/** What the guide and the shared files say is what the kit holds drivers to. */
class GuideTest {

  private static final Pattern QUANTITY =
      Pattern.compile("\\{\"name\": \"([^\"]+)\", \"unit\": \"([^\"]+)\"");

  @Test
  @DisplayName("DEVELOPERS.md quotes each rule, word for word")
  void theGuideQuotesTheRules() throws Exception {
    String guide = Files.readString(Path.of("../../DEVELOPERS.md"));
    for (DriverRule rule : DriverRule.values()) {
      assertTrue(
          guide.contains(rule.guideLine() + "\n"), "DEVELOPERS.md lacks: " + rule.guideLine());
    }
  }

  @Test
  @DisplayName("the quantities that are judged are those of shared/quantities.json")
  void quantities() throws Exception {
    Map<String, String> shared = new HashMap<>();
    Matcher matcher = QUANTITY.matcher(Files.readString(Path.of("../../shared/quantities.json")));
    while (matcher.find()) {
      shared.put(matcher.group(1), matcher.group(2));
    }
    Map<String, String> ours = new HashMap<>();
    KnownQuantities.UNITS.forEach((of, unit) -> ours.put(of.name(), unit.code()));
    assertEquals(shared, ours);
  }
}
