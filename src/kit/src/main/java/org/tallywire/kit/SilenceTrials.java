package org.tallywire.kit;

import java.util.List;
import org.tallywire.api.Example;
import org.tallywire.api.FaultCode;

/** Withholds answers. */
final class SilenceTrials {

  private static final int MOST_QUESTIONS = 20;
  private static final int MOST_TICKS = 400;

  private final Conversations conversations;
  private boolean asks;

  SilenceTrials(Conversations conversations) {
    this.conversations = conversations;
  }

  void run(List<Example> examples) {
    DriverReport report = conversations.report();
    conversations.hold("the instrument says nothing: ", this::silent);
    for (Example example : examples) {
      for (int turn = 0; turn < example.turns().size(); turn++) {
        if (example.turns().get(turn).asked().length > 0) {
          int withheld = turn;
          conversations.hold(
              example,
              ", its answer to %s once withheld"
                  .formatted(Sentences.bytes(example.turns().get(turn).asked())),
              played -> once(example, withheld, played));
        }
      }
    }
    if (!asks) {
      report.untested(DriverRule.WITHHELD, "it sends nothing, so there is no answer to withhold");
    }
    report.passed(DriverRule.WITHHELD, "all answers, and each once");
  }

  /** An instrument that never answers is found silent after a number of questions. */
  private void silent(PlayedDriver played) throws RuleBroken {
    int ticks = 0;
    while (!played.isOver() && ticks++ < MOST_TICKS) {
      if (played.commands.size() > MOST_QUESTIONS) {
        throw new RuleBroken(
            DriverRule.WITHHELD,
            "it has sent %d questions and goes on; say LINK_SILENT after a few"
                .formatted(played.commands.size()));
      }
      if (!played.tick()) {
        break;
      }
    }
    asks |= !played.commands.isEmpty();
    if (!played.commands.isEmpty() && !played.isOver()) {
      throw new RuleBroken(
          DriverRule.WITHHELD,
          "it sent %s and waits for the answer for ever; send it again, or say LINK_SILENT"
              .formatted(Sentences.bytes(played.commands.get(0).bytes())));
    }
    if (played.isOver()
        && played.ends.stream().noneMatch(end -> end.code() == FaultCode.LINK_SILENT)) {
      throw new RuleBroken(
          DriverRule.WITHHELD, "it ended the link otherwise: " + Sentences.faults(played));
    }
  }

  private void once(Example example, int turn, PlayedDriver played) throws RuleBroken {
    asks = true;
    Seen seen = new Seen(played);
    new PlayedInstrument(played, example).play(turn, Bytes.NONE, () -> seen.all(example.gives()));
    if (!seen.all(example.gives())) {
      throw new RuleBroken(
          DriverRule.WITHHELD,
          "it gave %s and not %s; %s"
              .formatted(
                  Sentences.readings(played.host.readings()),
                  Sentences.expected(example.gives()),
                  Sentences.faults(played)));
    }
  }
}
