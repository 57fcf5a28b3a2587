package org.tallywire.bridge;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.ArrayList;
import java.util.List;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;

class ThrottleTest {

  @Test
  @DisplayName("The first ten get a line, then every hundredth, and the line says so")
  void lines() {
    Throttle throttle = new Throttle();
    List<Integer> logged = new ArrayList<>();
    List<String> words = new ArrayList<>();
    for (int event = 1; event <= 300; event++) {
      int number = event;
      throttle
          .next()
          .ifPresent(
              besides -> {
                logged.add(number);
                words.add(besides);
              });
    }
    assertEquals(List.of(1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 100, 200, 300), logged);
    assertEquals("", words.get(0));
    assertTrue(words.get(9).contains("from now on only each 100th"), words.get(9));
    assertTrue(words.get(10).contains("the 100th such line"), words.get(10));
  }
}
