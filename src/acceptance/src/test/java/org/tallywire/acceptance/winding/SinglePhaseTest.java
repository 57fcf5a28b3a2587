package org.tallywire.acceptance.winding;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.math.BigDecimal;
import java.util.OptionalInt;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** A unit of one phase has two groups: its LV winding one way round or the other. */
class SinglePhaseTest {

  // clock notation of IEC 60076-1 (clause from memory); factor 1 of the trade's table for I and i
  @ParameterizedTest
  @CsvSource({"Ii0, 0", "Ii6, 6"})
  void theHourFollowsFromTheWindings(String group, int hour) {
    Topology topology = Topology.of(WindingGroup.parse(group));
    assertEquals(OptionalInt.of(hour), topology.clockHour());
    assertTrue(BigDecimal.ONE.compareTo(topology.windingRatioFactor()) == 0);
  }
}
