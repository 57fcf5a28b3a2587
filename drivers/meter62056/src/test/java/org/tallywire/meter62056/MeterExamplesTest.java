package org.tallywire.meter62056;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.charset.StandardCharsets;
import java.util.List;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.tallywire.api.Example;
import org.tallywire.api.FrameException;
import org.tallywire.api.Reading;

class MeterExamplesTest {

  @Test
  @DisplayName("Each example gives what it says, and asks what it says")
  void examples() throws Exception {
    for (Example example : new MeterDriver().examples()) {
      Line line = new Line(MeterDriver.usual());
      for (Example.Turn turn : example.turns()) {
        List<String> sent = line.host.takeSent();
        for (int i = 0; i < 3 && sent.isEmpty(); i++) {
          line.untilDue();
          sent = line.host.takeSent();
        }
        assertEquals(List.of(text(turn.asked())), sent, example.name());
        line.arrive(text(turn.answer()));
      }
      List<Reading> readings = line.host.readings();
      assertEquals(example.gives().size(), readings.size(), example.name());
      for (int i = 0; i < readings.size(); i++) {
        assertTrue(example.gives().get(i).matches(readings.get(i)), readings.get(i).toString());
      }
      assertEquals(
          example.fault(),
          line.faults.stream().map(FrameException::code).findFirst(),
          example.name());
    }
  }

  private static String text(byte[] bytes) {
    return new String(bytes, StandardCharsets.ISO_8859_1);
  }
}
