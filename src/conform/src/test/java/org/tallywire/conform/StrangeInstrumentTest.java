package org.tallywire.conform;

import static org.junit.jupiter.api.Assertions.assertDoesNotThrow;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.ByteArrayOutputStream;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.Collections;
import java.util.List;
import java.util.Optional;
import java.util.Random;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.tallywire.kit.ManualTime;

/** Whatever an instrument says, the kit ends with a report. */
class StrangeInstrumentTest {

  private static final int RUNS = Integer.getInteger("tallywire.runs", 60);

  private final long seed = new Random().nextLong(1_000_000);

  @Test
  @DisplayName("Lines with bytes, fields or values gone, doubled or changed never make it fail")
  void mutations() {
    int broken = 0;
    for (int run = 0; run < RUNS; run++) {
      Random random = new Random(seed + run);
      String where = "seed %d".formatted(seed + run);
      Report report = assertDoesNotThrow(() -> examine(random), where);
      assertDoesNotThrow(report::lines, where);
      broken += report.isConforming() ? 0 : 1;
    }
    assertTrue(broken > RUNS / 2, broken + " of " + RUNS + " were noticed, seed " + seed);
  }

  private static Report examine(Random random) throws Exception {
    ManualTime time = new ManualTime();
    ToyInstrument toy = new ToyInstrument(time, Optional.empty(), 4 + random.nextInt(60), 8);
    Filter filter = new Filter(toy, random);
    return new InstrumentConformance(
            () -> new VirtualLink(time, filter),
            time,
            new InstrumentOptions(0, 5, Duration.ofSeconds(5), true, 1, List.of()),
            words -> {
              if (words.startsWith("Restart:")) {
                toy.restart();
              }
            },
            line -> {})
        .run();
  }

  /** Changes some of the lines of an instrument, either always the same field or any. */
  private static final class Filter implements VirtualLink.Counterpart {

    private final VirtualLink.Counterpart inner;
    private final Random random;
    private final int oneIn;
    private final List<String> spoilt;
    private final StringBuilder pending = new StringBuilder();

    Filter(VirtualLink.Counterpart inner, Random random) {
      this.inner = inner;
      this.random = random;
      this.oneIn = 1 + random.nextInt(40);
      List<String> keys =
          new ArrayList<>(
              Arrays.asList(
                  "boot first last of n ch seq at clock store beat line version from to v1 digest"
                      .split(" ", -1)));
      Collections.shuffle(keys, random);
      this.spoilt = random.nextInt(3) == 0 ? List.of() : keys.subList(0, 1 + random.nextInt(2));
    }

    @Override
    public void receive(byte[] bytes) {
      inner.receive(bytes);
    }

    @Override
    public boolean act(ByteArrayOutputStream ear) {
      ByteArrayOutputStream said = new ByteArrayOutputStream();
      boolean open = inner.act(said);
      pending.append(said.toString(StandardCharsets.ISO_8859_1));
      for (int end = pending.indexOf("\n"); end >= 0; end = pending.indexOf("\n")) {
        ear.writeBytes(Wire.bytes(changed(pending.substring(0, end)) + "\n"));
        pending.delete(0, end + 1);
      }
      return open;
    }

    @Override
    public long nextDue() {
      return inner.nextDue();
    }

    private String changed(String line) {
      String body = line.substring(0, line.length() - 5);
      if (!spoilt.isEmpty()) {
        String now = body;
        for (String key : spoilt) {
          now = now.replaceFirst(" " + key + "=[^ ]*", replacement(key));
        }
        return Wire.checked(now);
      }
      if (random.nextInt(oneIn) > 0) {
        return line;
      }
      int at = random.nextInt(line.length());
      List<String> fields = new ArrayList<>(List.of(body.split(" ", -1)));
      int field = random.nextInt(fields.size());
      switch (random.nextInt(5)) {
        case 0 -> {
          return line.substring(0, at) + line.substring(at + 1);
        }
        case 1 -> fields.remove(field);
        case 2 -> fields.add(fields.get(field));
        case 3 -> fields.set(field, fields.get(field).replaceFirst("=.*", "="));
        default -> fields.set(field, fields.get(field).replaceFirst("[a-z0-9]", "-"));
      }
      return Wire.checked(String.join(" ", fields));
    }

    private String replacement(String key) {
      String[] values = {
        "", "0", "-1", "999999999999999999", "9999999999999999999", "x", "1", "99"
      };
      int which = random.nextInt(values.length + 1);
      return which == values.length ? "" : " " + key + "=" + values[which];
    }
  }
}
