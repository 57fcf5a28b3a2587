package org.tallywire.simulator.face;

import java.util.ArrayList;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Locale;
import java.util.Set;
import java.util.regex.MatchResult;
import java.util.regex.Pattern;
import org.tallywire.simulator.face.ScpiError.Fault;
import org.tallywire.simulator.face.ScpiMessage.Unit;

/**
 * The commands that the meter knows, found by their header: SCPI-1999 volume 1, 6.2 (from memory).
 *
 * <p>Headers are given as in the standard's tables: the short form in upper case, what may be left
 * out in brackets, a question mark for a query. A numeric suffix may be 1 or left out (6.2.5.2).
 */
final class ScpiTree {

  private static final Pattern NODE = Pattern.compile("(\\[?):?([*A-Za-z]+):?\\]?");
  private static final Pattern SUFFIX = Pattern.compile("[0-9]+$");

  private final List<Command> commands = new ArrayList<>();

  /** What a command does. */
  @FunctionalInterface
  interface Action {
    ScpiAnswer run(List<ScpiParameter> parameters) throws Fault;
  }

  /**
   * One node of a header.
   *
   * @param full long form in upper case
   * @param brief short form
   * @param optional whether it may be left out
   */
  record Node(String full, String brief, boolean optional) {

    static Node of(String mnemonic) {
      return of(mnemonic, false);
    }

    private static Node of(String mnemonic, boolean optional) {
      return new Node(
          mnemonic.toUpperCase(Locale.ROOT), mnemonic.replaceAll("[a-z]", ""), optional);
    }

    /** Returns whether it is meant: only the long and the short form count. */
    boolean is(String mnemonic) {
      return mnemonic.equals(full) || mnemonic.equals(brief);
    }
  }

  private record Command(
      String header, List<Node> nodes, boolean query, int least, int most, Action action) {

    boolean is(List<String> mnemonics, int node, int mnemonic) {
      if (node == nodes.size()) {
        return mnemonic == mnemonics.size();
      }
      boolean here =
          mnemonic < mnemonics.size()
              && nodes.get(node).is(mnemonics.get(mnemonic))
              && is(mnemonics, node + 1, mnemonic + 1);
      return here || (nodes.get(node).optional() && is(mnemonics, node + 1, mnemonic));
    }
  }

  /** Adds a command or query without parameters. */
  void add(String header, Action action) {
    add(header, 0, 0, action);
  }

  /** Adds a command or query with so many parameters. */
  void add(String header, int least, int most, Action action) {
    boolean query = header.endsWith("?");
    String path = query ? header.substring(0, header.length() - 1) : header;
    List<Node> nodes = NODE.matcher(path).results().map(ScpiTree::node).toList();
    commands.add(new Command(path, nodes, query, least, most, action));
  }

  private static Node node(MatchResult found) {
    return Node.of(found.group(2), !found.group(1).isEmpty());
  }

  /** Carries out a unit, or begins to. */
  ScpiAnswer run(Unit unit) throws Fault {
    Command command = find(unit);
    if (unit.parameters().size() < command.least()) {
      throw new Fault(ScpiError.MISSING_PARAMETER);
    }
    if (unit.parameters().size() > command.most()) {
      throw new Fault(ScpiError.PARAMETER_NOT_ALLOWED);
    }
    return command.action().run(unit.parameters());
  }

  private Command find(Unit unit) throws Fault {
    boolean common = unit.header().startsWith("*");
    List<String> plain = new ArrayList<>();
    boolean outOfRange = false;
    for (String mnemonic : unit.header().split(":", -1)) {
      String base = common ? mnemonic : SUFFIX.matcher(mnemonic).replaceFirst("");
      String suffix = mnemonic.substring(base.length());
      outOfRange |= !suffix.isEmpty() && !suffix.equals("1");
      plain.add(base);
    }
    for (Command command : commands) {
      if (command.query() == unit.query() && command.is(plain, 0, 0)) {
        if (outOfRange) {
          throw new Fault(ScpiError.SUFFIX_OUT_OF_RANGE);
        }
        return command;
      }
    }
    throw new Fault(ScpiError.UNDEFINED_HEADER);
  }

  /**
   * Returns what {@code SYSTem:HELP:HEADers?} lists (SCPI-1999, 21.11): a line each, {@code
   * /qonly/} behind what is only a query, {@code /nquery/} behind what is none.
   */
  String headers() {
    Set<String> lines = new LinkedHashSet<>();
    for (Command command : commands) {
      boolean both =
          commands.stream()
              .anyMatch(c -> c.header().equals(command.header()) && c.query() != command.query());
      String mark = command.query() ? "?/qonly/" : "/nquery/";
      boolean colon = !command.header().startsWith("*") && !command.header().startsWith("[");
      lines.add((colon ? ":" : "") + command.header() + (both ? "" : mark) + "\n");
    }
    return String.join("", lines);
  }
}
