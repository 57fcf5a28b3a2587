package org.tallywire.declared;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.BitSet;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.jspecify.annotations.Nullable;

/**
 * A regular expression whose cost is bounded: all its ways are followed at once, one character
 * after the other, so that a line of n characters takes at most n times {@value #LARGEST} steps
 * whatever the expression is. It matches a whole line; of several ways the first counts, as in
 * other regular expressions. Immutable.
 */
final class Regex {

  /** Steps of the program at most, after repetitions were written out. */
  static final int LARGEST = 4_000;

  /** Matches an empty line; stands in where an expression is wrong. */
  static final Regex NOTHING = nothing();

  private enum Kind {
    ONE,
    SPLIT,
    SAVE,
    START,
    END,
    MATCH
  }

  /** One step: what it is, where it goes on, for a split the second way, for SAVE the slot. */
  private record Step(Kind kind, int next, int other, @Nullable BitSet characters) {}

  private final List<Step> program = new ArrayList<>();
  private final List<String> names;
  private final int start;

  private Regex(RegexNode node, List<String> names) throws RegexSyntaxException {
    this.names = names;
    this.start = compile(node, step(new Step(Kind.MATCH, -1, -1, null)));
  }

  /** Reads an expression; the exception says what in it is wrong and what to write. */
  static Regex of(String text) throws RegexSyntaxException {
    RegexParser parser = new RegexParser(text);
    RegexNode node = parser.parse();
    return new Regex(node, parser.names());
  }

  private static Regex nothing() {
    try {
      return of("");
    } catch (RegexSyntaxException e) {
      throw new IllegalStateException(e);
    }
  }

  /** Returns the names of its groups, in their order. */
  List<String> names() {
    return names;
  }

  private int step(Step step) throws RegexSyntaxException {
    if (program.size() == LARGEST) {
      throw new RegexSyntaxException(
          "has counts that make more than %d steps; write smaller counts".formatted(LARGEST));
    }
    program.add(step);
    return program.size() - 1;
  }

  /** Adds the steps of a part that go on at {@code next}; returns where they begin. */
  private int compile(RegexNode node, int next) throws RegexSyntaxException {
    if (node instanceof RegexNode.One one) {
      return step(new Step(Kind.ONE, next, -1, one.characters()));
    } else if (node instanceof RegexNode.Edge edge) {
      return step(new Step(edge.end() ? Kind.END : Kind.START, next, -1, null));
    } else if (node instanceof RegexNode.Named named) {
      int slot = 2 * names.indexOf(named.name());
      int inside = compile(named.part(), step(new Step(Kind.SAVE, next, slot + 1, null)));
      return step(new Step(Kind.SAVE, inside, slot, null));
    } else if (node instanceof RegexNode.Sequence sequence) {
      int begin = next;
      for (int i = sequence.parts().size() - 1; i >= 0; i--) {
        begin = compile(sequence.parts().get(i), begin);
      }
      return begin;
    } else if (node instanceof RegexNode.Choice choice) {
      int begin = compile(choice.parts().get(choice.parts().size() - 1), next);
      for (int i = choice.parts().size() - 2; i >= 0; i--) {
        begin = split(true, compile(choice.parts().get(i), next), begin);
      }
      return begin;
    }
    return repeat((RegexNode.Repeat) node, next);
  }

  private int repeat(RegexNode.Repeat repeat, int next) throws RegexSyntaxException {
    int begin = next;
    if (repeat.most() < 0) {
      int loop = step(new Step(Kind.SPLIT, -1, -1, null)); // filled in below
      int body = compile(repeat.part(), loop);
      program.set(
          loop,
          new Step(Kind.SPLIT, repeat.greedy() ? body : next, repeat.greedy() ? next : body, null));
      begin = loop;
    } else {
      for (int i = repeat.least(); i < repeat.most(); i++) {
        begin = split(repeat.greedy(), compile(repeat.part(), begin), next);
      }
    }
    for (int i = 0; i < repeat.least(); i++) {
      begin = compile(repeat.part(), begin);
    }
    return begin;
  }

  private int split(boolean firstFirst, int first, int second) throws RegexSyntaxException {
    return step(
        firstFirst
            ? new Step(Kind.SPLIT, first, second, null)
            : new Step(Kind.SPLIT, second, first, null));
  }

  /** Returns what the groups hold if the whole line matches; groups not gone through are absent. */
  Optional<Map<String, String>> match(String line) {
    List<Way> ways = new ArrayList<>();
    boolean[] seen = new boolean[program.size()];
    follow(new Way(start, fresh()), 0, line.length(), ways, seen);
    for (int at = 0; at < line.length(); at++) {
      List<Way> next = new ArrayList<>();
      Arrays.fill(seen, false);
      for (Way way : ways) {
        Step step = program.get(way.step());
        if (step.characters() != null && step.characters().get(line.charAt(at))) {
          follow(new Way(step.next(), way.groups()), at + 1, line.length(), next, seen);
        }
      }
      ways = next;
    }
    return ways.stream()
        .filter(way -> program.get(way.step()).kind() == Kind.MATCH)
        .findFirst()
        .map(way -> groups(line, way.groups()));
  }

  /** Adds, in order of preference, the steps that wait for a character behind a way. */
  private void follow(Way begin, int at, int length, List<Way> ways, boolean[] seen) {
    List<Way> open = new ArrayList<>(List.of(begin)); // a stack: a deep expression cannot overflow
    while (!open.isEmpty()) {
      Way way = open.remove(open.size() - 1);
      if (seen[way.step()]) {
        continue;
      }
      seen[way.step()] = true;
      Step step = program.get(way.step());
      switch (step.kind()) {
        case ONE, MATCH -> ways.add(way);
        case SPLIT -> {
          open.add(new Way(step.other(), way.groups()));
          open.add(new Way(step.next(), way.groups()));
        }
        case SAVE -> {
          int[] groups = way.groups().clone();
          groups[step.other()] = at;
          open.add(new Way(step.next(), groups));
        }
        case START, END -> {
          if (at == (step.kind() == Kind.START ? 0 : length)) {
            open.add(new Way(step.next(), way.groups()));
          }
        }
      }
    }
  }

  private int[] fresh() {
    int[] groups = new int[2 * names.size()];
    Arrays.fill(groups, -1);
    return groups;
  }

  private Map<String, String> groups(String line, int[] places) {
    Map<String, String> groups = new LinkedHashMap<>();
    for (int i = 0; i < names.size(); i++) {
      if (places[2 * i] >= 0 && places[2 * i + 1] >= places[2 * i]) {
        groups.put(names.get(i), line.substring(places[2 * i], places[2 * i + 1]));
      }
    }
    return groups;
  }

  /** One way through the program: where it is and what its groups hold so far. */
  @SuppressWarnings("ArrayRecordComponent") // never compared
  private record Way(int step, int[] groups) {}
}
