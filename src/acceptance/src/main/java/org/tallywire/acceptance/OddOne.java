package org.tallywire.acceptance;

import java.util.List;
import java.util.Optional;
import org.tallywire.acceptance.winding.WindingGroup;
import org.tallywire.acceptance.winding.WindingGroup.Connection;

/**
 * What it may mean that one of three resistances stands out. Read between lines, two of three go
 * through each terminal: a joint that is bad at one line terminal, or anywhere in the phase of a
 * star or zigzag, makes two readings high and leaves the third low, and turns shorted in one phase
 * of a star make two low and leave the third high (derived). In a delta a bad joint inside one
 * winding makes above all its own reading high.
 *
 * @param readings of phases A, B and C
 * @param computed whether the three are those of windings, computed from readings between lines
 */
record OddOne(List<BookedReading> readings, boolean computed, WindingGroup group) {

  private static final String CLEAN =
      ": with the winding discharged clean and tighten the connections";
  private static final String SHORTED =
      "shorted turns or leads mixed up: check the leads against the step's terminals";

  /** Says it of one that is high. */
  String high(int at) {
    Optional<String> shared = shared(at);
    return shared.isPresent() && connection() != Connection.DELTA
        ? "shorted turns in the phase of %s, which the other two share, or a loose lead in this reading alone: check the leads against the step's terminals"
            .formatted(shared.get())
        : "a bad joint" + contact() + " or a loose lead" + CLEAN + working();
  }

  /** Says it of one that is low. */
  String low(int at) {
    return shared(at)
        .map(
            terminal ->
                "a bad joint%s or a loose lead at %s%s, which the other two share%s%s; or shorted turns in this one"
                    .formatted(
                        contact(),
                        terminal,
                        connection() == Connection.DELTA ? "" : " or in its phase",
                        CLEAN,
                        working()))
        .orElse(SHORTED);
  }

  /** Returns the line terminal of the other two readings, where all were between lines. */
  private Optional<String> shared(int at) {
    if (computed) {
      return Optional.empty();
    }
    List<List<String>> ends =
        readings.stream().map(b -> List.of(b.step().terminals().split("-", -1))).toList();
    boolean lines =
        ends.stream()
            .allMatch(
                pair ->
                    pair.size() == 2
                        && pair.stream().noneMatch(t -> t.endsWith("N") || t.endsWith("n")));
    return lines
        ? ends.get((at + 1) % ends.size()).stream()
            .filter(ends.get((at + 2) % ends.size())::contains)
            .filter(t -> !ends.get(at).contains(t))
            .findFirst()
        : Optional.empty();
  }

  private Connection connection() {
    return readings.get(0).step().windings().equals(Step.HV) ? group.hv() : group.lv();
  }

  private boolean tapped() {
    return readings.get(0).step().tap().isPresent();
  }

  private String contact() {
    return tapped() ? ", a worn tap contact" : "";
  }

  private String working() {
    return tapped()
        ? ", with the unit de-energised work the tap changer through its positions"
        : "";
  }
}
