package org.tallywire.simulator.tester;

import java.util.List;
import java.util.Map;
import java.util.TreeMap;
import org.tallywire.simulator.physics.Network;
import org.tallywire.simulator.scenario.LeadFault;
import org.tallywire.simulator.scenario.Phase;
import org.tallywire.simulator.scenario.Winding;

/**
 * Where the test set's clips really sit. A clip holds a current lead and a sense lead, as is common
 * practice for four-wire measurement (Kelvin clip), so both go astray together: a clip on the wrong
 * terminal takes its sense lead with it, and one without contact leaves the sense lead on the
 * current lead.
 */
final class Leads {

  private static final String IN_THE_AIR = "clip of ";

  private final Map<String, String> ends = new TreeMap<>();
  private final double ohms;

  /** Leads of that resistance each, with what is wrong with them; later faults act on earlier. */
  Leads(double ohms, List<LeadFault> faults) {
    this.ohms = ohms;
    for (LeadFault fault : faults) {
      if (fault instanceof LeadFault.SwappedLeads swapped) {
        swap(
            terminal(swapped.winding(), letter(swapped.one())),
            terminal(swapped.winding(), letter(swapped.other())));
      } else if (fault instanceof LeadFault.MissingNeutral missing) {
        String neutral = terminal(missing.winding(), "N");
        ends.put(neutral, IN_THE_AIR + neutral);
      }
    }
  }

  private static String letter(Phase phase) {
    return switch (phase) {
      case A -> "U";
      case B -> "V";
      case C -> "W";
    };
  }

  private static String terminal(Winding winding, String letter) {
    return (winding == Winding.HV ? "1" : "2") + letter;
  }

  private void swap(String one, String other) {
    String end = at(one);
    ends.put(one, at(other));
    ends.put(other, end);
  }

  /** Returns the node on which the clip for that terminal sits. */
  String at(String terminal) {
    return ends.getOrDefault(terminal, terminal);
  }

  /** Leads a pole of the source to a terminal. */
  void join(Network network, String pole, String terminal) {
    network.resistor(pole, at(terminal), ohms);
  }
}
