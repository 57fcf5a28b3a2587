package org.tallywire.acceptance.winding;

import java.util.List;
import java.util.stream.IntStream;
import java.util.stream.Stream;
import org.tallywire.acceptance.winding.WindingGroup.Connection;

/** The groups that there are. */
final class Groups {

  private static final List<WindingGroup> ALL = find();
  private static final List<WindingGroup> BARE =
      ALL.stream().filter(g -> !g.hvNeutral() && !g.lvNeutral()).toList();

  private Groups() {}

  /** Returns every three-phase group, with each neutral brought out or not. */
  static List<WindingGroup> all() {
    return ALL;
  }

  /** Returns every three-phase group without neutrals. */
  static List<WindingGroup> bare() {
    return BARE;
  }

  private static List<WindingGroup> find() {
    return Stream.of("Y", "YN", "D", "Z", "ZN")
        .flatMap(hv -> Stream.of("y", "yn", "d", "z", "zn").map(lv -> hv + lv))
        .flatMap(letters -> IntStream.range(0, 12).mapToObj(hour -> letters + hour))
        .flatMap(Groups::ifAny)
        .toList();
  }

  static WindingGroup withAllNeutrals(WindingGroup group) {
    return new WindingGroup(
        group.hv(),
        group.lv(),
        group.hv() != Connection.DELTA,
        group.lv() != Connection.DELTA,
        group.hour());
  }

  private static Stream<WindingGroup> ifAny(String designation) {
    try {
      return Stream.of(WindingGroup.parse(designation));
    } catch (IllegalArgumentException noSuchGroup) {
      return Stream.empty();
    }
  }
}
