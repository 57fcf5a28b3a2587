package org.tallywire.kit;

import java.util.LinkedHashMap;
import java.util.Map;
import org.tallywire.api.Command;
import org.tallywire.api.Driver;
import org.tallywire.api.Example;

/** Opens conversations with a driver and gathers what is found in any of them. */
final class Conversations {

  private static final int MOST_COMMANDS = 12;

  private final Driver driver;
  private final CallWatch watch;
  private final DriverReport report;
  private final Map<String, Command> commands = new LinkedHashMap<>();
  private int opened;
  private int inconclusive;
  private String unanswered = "";

  Conversations(Driver driver, CallWatch watch, DriverReport report) {
    this.driver = driver;
    this.watch = watch;
    this.report = report;
  }

  DriverReport report() {
    return report;
  }

  Driver driver() {
    return driver;
  }

  /** A trial. */
  interface Trial {
    void run(PlayedDriver played) throws RuleBroken;
  }

  /** Runs a trial over a link that was just opened; false if it broke a rule. */
  boolean hold(Example example, String how, Trial trial) {
    return hold("the example \"%s\"%s: ".formatted(example.name(), how), trial);
  }

  /** Does so with words of its own. */
  boolean hold(String prefix, Trial trial) {
    PlayedDriver played = new PlayedDriver(driver, watch);
    played.host.setBaud(driver.description().serial().baud());
    opened++;
    try {
      played.open();
      trial.run(played);
      return true;
    } catch (RuleBroken e) {
      report.broken(e.rule(), prefix + e.getMessage());
      return false;
    } finally {
      for (Command command : played.commands) {
        commands.putIfAbsent(command.effect() + Sentences.bytes(command.bytes()), command);
      }
    }
  }

  /** Takes note that a trial came to nothing, since no example answers what the driver asked. */
  void inconclusive(byte[] question) {
    inconclusive++;
    unanswered = unanswered.isEmpty() ? Sentences.bytes(question) : unanswered;
  }

  /** Reports on the rules that hold for every conversation, and the commands. */
  void close() {
    String words = "in %d conversations".formatted(opened);
    report.passed(DriverRule.NEXT_TICK, words);
    report.passed(DriverRule.IDENTIFIED, words);
    report.passed(DriverRule.TIME, words);
    report.passed(DriverRule.EXCEPTIONS, words);
    if (inconclusive > 0) {
      report.note(
          "%d trials came to nothing, since the driver asked what no example answers, such as %s"
              .formatted(inconclusive, unanswered));
    }
    commands.values().forEach(this::judge);
    report.passed(DriverRule.COMMANDS, "%d commands".formatted(commands.size()));
    commands.values().stream().limit(MOST_COMMANDS).forEach(this::list);
    if (commands.size() > MOST_COMMANDS) {
      report.note("and %d more commands".formatted(commands.size() - MOST_COMMANDS));
    }
    if (!commands.isEmpty()) {
      report.note(
          "look the commands up in the manual: whether one starts something nobody can see here");
    }
  }

  private void judge(Command command) {
    String shown = Sentences.bytes(command.bytes());
    if (command.bytes().length == 0) {
      report.broken(DriverRule.COMMANDS, "it sends a command of no bytes");
    }
    if (command.words().isBlank()) {
      report.broken(DriverRule.COMMANDS, "the command %s says nothing in words".formatted(shown));
    }
    boolean ended = false;
    for (byte b : command.bytes()) {
      ended |= b < ' ';
    }
    if (!ended && command.bytes().length > 0) {
      report.note(
          "the command %s has no end, such as \\r: most instruments wait for one".formatted(shown));
    }
  }

  private void list(Command command) {
    report.note(
        "it sends %s (%s), declared as %s"
            .formatted(
                Sentences.bytes(command.bytes()),
                command.words(),
                command.effect() == Command.Effect.QUERY
                    ? "query"
                    : "measure: the bridge does not send it"));
  }
}
