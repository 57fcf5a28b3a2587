package org.tallywire.scpi;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.charset.StandardCharsets;
import java.util.List;
import java.util.Random;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.tallywire.api.Example;
import org.tallywire.api.Reading;

class ScpiExamplesTest {

  @Test
  @DisplayName("Each example gives what it says")
  void examples() throws Exception {
    for (Example example : new ScpiDriver().examples()) {
      Wire wire = play(example);
      List<Reading> readings = wire.host.readings();
      assertEquals(example.gives().size(), readings.size(), example.name());
      for (int i = 0; i < readings.size(); i++) {
        assertTrue(example.gives().get(i).matches(readings.get(i)), readings.get(i).toString());
      }
      assertEquals(
          example.fault(),
          wire.faults.stream().map(fault -> fault.code()).findFirst(),
          example.name());
    }
  }

  private static Wire play(Example example) throws Exception {
    Wire wire = new Wire(ScpiExamples.SETTINGS);
    wire.session().start();
    for (Example.Turn turn : example.turns()) {
      String asked = new String(turn.asked(), StandardCharsets.ISO_8859_1);
      String answer = new String(turn.answer(), StandardCharsets.ISO_8859_1);
      wire.says(asked.strip(), answer.strip());
    }
    return wire;
  }

  @Test
  @DisplayName("Damaged answers end in a reading or a fault, and the session goes on")
  void damage() throws Exception {
    long seed = new Random().nextLong();
    Random random = new Random(seed);
    String answer = "1,+2.54020E+01,+9.9E+37,\"A \"\"x\"\", B\",OK";
    for (int round = 0; round < 500; round++) {
      Wire wire = new Wire(ScpiExamples.SETTINGS);
      wire.begin("Example,RM-2,0042,1.3");
      wire.says("*ESR?", "0");
      byte[] bytes = Wire.bytes(answer);
      for (int flips = 1 + random.nextInt(3); flips > 0; flips--) {
        bytes[random.nextInt(bytes.length)] ^= (byte) (1 << random.nextInt(8));
      }
      wire.says("FETCh?", new String(bytes, StandardCharsets.ISO_8859_1));
      int before = wire.host.readings().size();
      wire.host.takeSent();
      for (int i = 0; i < 40 && wire.host.readings().size() == before; i++) {
        String asked = wire.host.takeSent().stream().findFirst().orElse("").strip();
        if (asked.isEmpty()) {
          wire.untilDue(); // past whatever was asked about the damage, and past a block
        }
        wire.arrive(
            switch (asked) {
              case "*ESR?" -> "0\n";
              case "SYST:ERR?" -> "0,\"No error\"\n";
              case "FETCh?" -> "2,25.2,1.0,\"A\",OK\n";
              case "" -> "";
              default -> asked.replaceAll("\\D", "") + ",25.2,1.0,\"A\",OK\n";
            });
      }
      assertTrue(wire.host.readings().size() > before, "seed %d, round %d".formatted(seed, round));
    }
  }
}
