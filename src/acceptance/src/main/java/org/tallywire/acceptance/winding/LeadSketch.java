package org.tallywire.acceptance.winding;

import java.util.ArrayDeque;
import java.util.ArrayList;
import java.util.Deque;
import java.util.HashMap;
import java.util.HashSet;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import org.tallywire.acceptance.winding.Drawing.Node;
import org.tallywire.acceptance.winding.Leads.Tie;

/**
 * Which clip goes to which terminal in one measurement, for a person to look at: as text for a
 * terminal, and as an SVG. Both show the windings as phasors, U of HV at 12 o'clock.
 *
 * @param title what is measured, in words
 * @param iec the leads in IEC letters
 * @param ieee the leads in IEEE letters
 * @param nodes of the sides that are shown, HV before LV
 * @param windings of these sides
 * @param clips of each terminal that has some
 * @param ties terminals to join
 */
public record LeadSketch(
    String title,
    String iec,
    String ieee,
    List<Node> nodes,
    List<Winding> windings,
    Map<Terminal, List<Clip>> clips,
    List<Tie> ties) {

  public LeadSketch {
    nodes = List.copyOf(nodes);
    windings = List.copyOf(windings);
    clips = Map.copyOf(clips);
    ties = List.copyOf(ties);
  }

  /**
   * Returns the sketch of a ratio measurement.
   *
   * @throws IllegalArgumentException if the group has no such phase
   */
  public static LeadSketch ofRatio(WindingGroup group, String phase) {
    Drawing drawing = Drawing.of(group, phase);
    Leads leads = drawing.leads();
    Map<Terminal, List<Clip>> clips = new LinkedHashMap<>();
    clips.put(leads.excitePlus(), List.of(Clip.EXCITING_PLUS));
    clips.put(leads.exciteMinus(), List.of(Clip.EXCITING_MINUS));
    clips.put(leads.measurePlus(), List.of(Clip.MEASURING_PLUS));
    clips.put(leads.measureMinus(), List.of(Clip.MEASURING_MINUS));
    return new LeadSketch(
        "%s, phase %s: ratio".formatted(group, phase),
        leads.iec(),
        leads.ieee(),
        drawing.nodes(),
        drawing.windings(),
        clips,
        leads.ties());
  }

  /**
   * Returns the sketch of a four-wire resistance measurement of one side.
   *
   * @throws IllegalArgumentException if the group has no such phase
   */
  public static LeadSketch ofResistance(WindingGroup group, boolean hvSide, String phase) {
    Drawing drawing = Drawing.of(group, phase);
    String pair = LeadPlan.of(group).resistance(hvSide, phase);
    int between = pair.indexOf('-');
    Terminal plus = Terminal.ofIec(pair.substring(0, between)).orElseThrow();
    Terminal minus = Terminal.ofIec(pair.substring(between + 1)).orElseThrow();
    Map<Terminal, List<Clip>> clips = new LinkedHashMap<>();
    clips.put(plus, List.of(Clip.CURRENT_PLUS, Clip.POTENTIAL_PLUS));
    clips.put(minus, List.of(Clip.CURRENT_MINUS, Clip.POTENTIAL_MINUS));
    return new LeadSketch(
        "%s, phase %s: resistance of %s".formatted(group, phase, hvSide ? "HV" : "LV"),
        pair,
        plus.ieee() + "-" + minus.ieee(),
        drawing.nodes().stream().filter(node -> node.hv() == hvSide).toList(),
        drawing.windings().stream().filter(w -> w.from().startsWith("1") == hvSide).toList(),
        clips,
        List.of());
  }

  /** Returns it as lines of at most 78 ASCII characters, each with its end. */
  public String text() {
    return new LeadText(this).write();
  }

  /** Returns it as an SVG that needs nothing else; several may stand in one page. */
  public String svg() {
    return new LeadSvg(this).write();
  }

  /** Returns the sides that are shown: true is HV. */
  List<Boolean> sides() {
    return nodes.stream().map(Node::hv).distinct().toList();
  }

  List<Node> nodes(boolean hv) {
    return nodes.stream().filter(node -> node.hv() == hv).toList();
  }

  List<Winding> windings(boolean hv) {
    return windings.stream().filter(w -> w.from().startsWith("1") == hv).toList();
  }

  /** Returns the clips of a node in their order. */
  List<Clip> clips(Node node) {
    return node.terminal().map(t -> clips.getOrDefault(t, List.of())).orElse(List.of());
  }

  Optional<Node> node(String name) {
    return nodes.stream().filter(n -> n.name().equals(name)).findFirst();
  }

  /** Returns every clip with its terminal, in the order of the clips. */
  List<Map.Entry<Clip, Terminal>> placed() {
    List<Map.Entry<Clip, Terminal>> placed = new ArrayList<>();
    clips.forEach((terminal, on) -> on.forEach(clip -> placed.add(Map.entry(clip, terminal))));
    placed.sort(Map.Entry.comparingByKey());
    return placed;
  }

  /** Returns the windings that lie between the clips of a side, tied terminals being one. */
  Set<Winding> used() {
    Set<Winding> used = new HashSet<>();
    for (boolean hv : sides()) {
      List<Terminal> on =
          placed().stream()
              .filter(p -> p.getKey().feeds() || p.getKey().letters().startsWith("M"))
              .map(Map.Entry::getValue)
              .filter(t -> t.hv() == hv)
              .toList();
      if (on.size() == 2) {
        used.addAll(path(on.get(0).iec(), on.get(1).iec()));
        for (Tie tie : ties) {
          if (tie.one() == on.get(1)) {
            used.addAll(path(on.get(0).iec(), tie.other().iec()));
          }
        }
      }
    }
    return used;
  }

  /** Returns the windings on the shortest way from one node to another. */
  private List<Winding> path(String from, String to) {
    Map<String, List<Winding>> ways = new HashMap<>(Map.of(from, List.of()));
    Deque<String> next = new ArrayDeque<>(List.of(from));
    while (!next.isEmpty() && !ways.containsKey(to)) {
      String at = next.remove();
      for (Winding w : windings) {
        String end = w.from().equals(at) ? w.to() : w.to().equals(at) ? w.from() : at;
        if (!ways.containsKey(end)) {
          List<Winding> way = new ArrayList<>(ways.getOrDefault(at, List.of()));
          way.add(w);
          ways.put(end, way);
          next.add(end);
        }
      }
    }
    return ways.getOrDefault(to, List.of());
  }
}
