package org.tallywire.simulator.physics;

import java.util.ArrayDeque;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.Comparator;
import java.util.Deque;
import java.util.List;
import java.util.OptionalInt;
import java.util.stream.IntStream;

/**
 * The fundamental loops of a network (textbook loop analysis): a spanning forest joins all nodes
 * that can be joined, and each branch that is left over closes one loop through it.
 *
 * <p>Branches enter the forest by rising resistance and the source last, so that it is left over if
 * any other path closes its circuit. A wire beside another wire is left out.
 */
final class Loops {

  private final List<Branch> branches;
  private final int source;
  private final int[] component;

  /** By node: the branch towards the root of its tree, −1 at the root. */
  private final int[] parent;

  /** Nodes, each after its parent. */
  private final int[] order;

  /** By loop and branch: 1 along the branch, −1 against it, 0 if it is not in the loop. */
  private final List<int[]> senses = new ArrayList<>();

  private int sourceLoop = -1;

  /**
   * Which branches are left over where there is a choice: the source always, and before it these.
   */
  enum LeftOver {
    /** Those of the most resistance, so that voltmeters do not carry the currents of others. */
    RESISTANCE,
    /** Coils, so that a loop without any is one of resistors alone. */
    COILS
  }

  /** Finds the loops between so many nodes; the last branch is the source. */
  Loops(int nodes, List<Branch> branches, LeftOver last) {
    this.branches = List.copyOf(branches);
    this.source = branches.size() - 1;
    this.component = IntStream.range(0, nodes).toArray();
    this.parent = new int[nodes];
    this.order = new int[nodes];
    List<Integer> tree = new ArrayList<>();
    List<Integer> leftOver = new ArrayList<>();
    for (int branch : inOrder(last)) {
      Branch one = branches.get(branch);
      if (component[one.from()] != component[one.to()]) {
        join(component[one.from()], component[one.to()]);
        tree.add(branch);
      } else if (branch == source || !one.wire()) {
        leftOver.add(branch);
      }
    }
    plant(tree);
    leftOver.stream().sorted().forEach(this::close);
  }

  private List<Integer> inOrder(LeftOver last) {
    Comparator<Integer> order =
        Comparator.<Integer>comparingInt(branch -> branch == source ? 1 : 0)
            .thenComparingInt(
                branch -> last == LeftOver.COILS && branches.get(branch).coil().isPresent() ? 1 : 0)
            .thenComparingDouble(branch -> branches.get(branch).ohms())
            .thenComparingInt(branch -> branches.get(branch).wire() ? 0 : 1);
    return IntStream.rangeClosed(0, source).boxed().sorted(order).toList();
  }

  private void join(int one, int other) {
    for (int node = 0; node < component.length; node++) {
      if (component[node] == other) {
        component[node] = one;
      }
    }
  }

  /** Directs each tree of the forest from its root. */
  private void plant(List<Integer> tree) {
    Arrays.fill(parent, -1);
    boolean[] seen = new boolean[parent.length];
    int count = 0;
    for (int root = 0; root < parent.length; root++) {
      if (seen[root]) {
        continue;
      }
      Deque<Integer> next = new ArrayDeque<>(List.of(root));
      seen[root] = true;
      while (!next.isEmpty()) {
        int node = next.remove();
        order[count++] = node;
        for (int branch : tree) {
          int other = other(branch, node);
          if (other >= 0 && !seen[other]) {
            seen[other] = true;
            parent[other] = branch;
            next.add(other);
          }
        }
      }
    }
  }

  private int other(int branch, int node) {
    Branch one = branches.get(branch);
    if (one.from() == node) {
      return one.to();
    }
    return one.to() == node ? one.from() : -1;
  }

  private void close(int branch) {
    int[] sense = new int[branches.size()];
    sense[branch] = 1;
    // Back from its end to its start; what both ways to the root share cancels.
    climb(branches.get(branch).to(), sense, 1);
    climb(branches.get(branch).from(), sense, -1);
    if (branch == source) {
      sourceLoop = senses.size();
    }
    senses.add(sense);
  }

  private void climb(int from, int[] sense, int direction) {
    int node = from;
    while (parent[node] >= 0) {
      int branch = parent[node];
      sense[branch] += branches.get(branch).from() == node ? direction : -direction;
      node = other(branch, node);
    }
  }

  List<Branch> branches() {
    return branches;
  }

  int size() {
    return senses.size();
  }

  /** Returns the loop through the source, whose current is the source's; nothing if it is open. */
  OptionalInt sourceLoop() {
    return sourceLoop < 0 ? OptionalInt.empty() : OptionalInt.of(sourceLoop);
  }

  /** Returns 1 if the loop leads along the branch, −1 if against it, 0 if not through it. */
  int sense(int loop, int branch) {
    return senses.get(loop)[branch];
  }

  /** Returns the currents of all branches from those of the loops. */
  double[] branchAmps(double[] loopAmps) {
    double[] amps = new double[branches.size()];
    for (int loop = 0; loop < senses.size(); loop++) {
      int[] sense = senses.get(loop);
      for (int branch = 0; branch < amps.length; branch++) {
        amps[branch] += sense[branch] * loopAmps[loop];
      }
    }
    return amps;
  }

  /** Returns the potential of each node against the root of its tree from the branches' drops. */
  double[] potentials(double[] drops) {
    double[] potentials = new double[order.length];
    for (int node : order) {
      int branch = parent[node];
      if (branch >= 0) {
        double drop = branches.get(branch).from() == node ? drops[branch] : -drops[branch];
        potentials[node] = potentials[other(branch, node)] + drop;
      }
    }
    return potentials;
  }

  /** Returns whether a path joins two nodes. */
  boolean joined(int one, int other) {
    return component[one] == component[other];
  }
}
