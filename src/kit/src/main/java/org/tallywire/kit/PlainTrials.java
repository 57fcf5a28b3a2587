package org.tallywire.kit;

import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Random;
import org.tallywire.api.DriverDescription.Memory;
import org.tallywire.api.Example;
import org.tallywire.api.Example.Turn;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Reading;
import org.tallywire.api.SequenceNumber;
import org.tallywire.kit.PlayedInstrument.Pieces;

/** Plays examples as they are: whole, in pieces, one after another, two at a time. */
final class PlainTrials {

  private static final int CUTS = 40;
  private static final int MOST_JOINED = 5;

  private final Conversations conversations;
  private final Random random;
  private final KnownQuantities quantities;
  private int numbered;
  private int unnumbered;
  private final List<Example> unsound = new ArrayList<>();

  PlainTrials(Conversations conversations, Random random) {
    this.conversations = conversations;
    this.random = random;
    this.quantities = new KnownQuantities(conversations.report());
  }

  /** Returns the examples that do not play as they should. */
  List<Example> unsound() {
    return unsound;
  }

  /** Plays all; false if one of them does not play as it should. */
  boolean run(List<Example> examples, List<Example> good) {
    DriverReport report = conversations.report();
    for (Example example : examples) {
      if (!whole(example)) {
        unsound.add(example);
      }
    }
    if (examples.isEmpty()) {
      report.untested(DriverRule.WHOLE, "it has no examples");
    }
    report.passed(DriverRule.WHOLE, "%d examples".formatted(examples.size()));
    promised();
    report.passed(DriverRule.NUMBERS, "%d examples".formatted(examples.size()));
    quantities.report();
    List<Example> sound = new ArrayList<>(examples);
    sound.removeAll(unsound);
    List<Example> soundAndGood = sound.stream().filter(good::contains).toList();
    sound.forEach(this::cuts);
    joined(soundAndGood);
    soundAndGood.forEach(this::several);
    if (soundAndGood.isEmpty()) {
      for (DriverRule rule : List.of(DriverRule.CUTS, DriverRule.JOINED, DriverRule.SEVERAL)) {
        report.untested(rule, "no example with readings plays as it should");
      }
    }
    report.passed(DriverRule.CUTS, "byte by byte and in %d random cuts".formatted(CUTS));
    report.passed(DriverRule.SEVERAL, "each example beside itself");
    return unsound.isEmpty();
  }

  private boolean whole(Example example) {
    return conversations.hold(
        example,
        "",
        played -> {
          new PlayedInstrument(played, example).playExactly(Pieces.WHOLE);
          numbers(played.host.readings());
          played.host.readings().forEach(quantities::look);
          compare(DriverRule.WHOLE, example, played);
        });
  }

  private void cuts(Example example) {
    conversations.hold(
        example,
        ", byte by byte",
        played -> {
          new PlayedInstrument(played, example).playExactly(Pieces.SINGLE);
          compare(DriverRule.CUTS, example, played);
        });
    for (int i = 0; i < CUTS; i++) {
      boolean held =
          conversations.hold(
              example,
              ", in random cuts",
              played -> {
                new PlayedInstrument(played, example).playExactly(Pieces.random(random));
                compare(DriverRule.CUTS, example, played);
              });
      if (!held) {
        return;
      }
    }
  }

  /** Compares with what is expected, in order; waits for a reading that needs a tick. */
  private static void compare(DriverRule rule, Example example, PlayedDriver played)
      throws RuleBroken {
    boolean silent =
        example.fault().map(f -> f.category() == FaultCode.Category.LINK).orElse(false);
    for (int i = 0; i < 100 && !played.isOver(); i++) {
      boolean missing = played.host.readings().size() < example.gives().size();
      if (!(silent || missing) || !played.tick()) {
        break;
      }
    }
    List<Reading> readings = played.host.readings();
    List<String> differences = Differences.of(example.gives(), readings);
    if (differences.isEmpty()) {
      differences = Places.differences(example.gives(), readings, played.host.gaps());
    }
    if (!differences.isEmpty()) {
      throw new RuleBroken(
          rule,
          "other readings came than the example has:\n%s\n%s"
              .formatted(String.join("\n", differences), Sentences.faults(played)));
    }
    List<FaultCode> codes = new ArrayList<>();
    played.faults.forEach(f -> codes.add(f.code()));
    played.ends.forEach(e -> codes.add(e.code()));
    if (example.fault().isPresent() && !codes.contains(example.fault().get())) {
      throw new RuleBroken(
          rule,
          "it is to end in the fault %s; %s"
              .formatted(example.fault().get().word(), Sentences.faults(played)));
    }
    if (example.fault().isEmpty() && !codes.isEmpty()) {
      throw new RuleBroken(rule, "it is to play without a fault; " + Sentences.faults(played));
    }
  }

  private void numbers(List<Reading> readings) throws RuleBroken {
    Map<String, SequenceNumber> last = new HashMap<>();
    Map<String, Integer> parts = new HashMap<>();
    for (Reading reading : readings) {
      if (reading.sequence().isEmpty()) {
        unnumbered++;
        continue;
      }
      numbered++;
      SequenceNumber number = reading.sequence().get();
      String of = reading.instrument() + number.epoch();
      SequenceNumber before = last.get(of);
      if (before != null
          && (number.number() < before.number()
              || (number.number() == before.number()
                  && reading.part() <= parts.getOrDefault(of, 0)))) {
        throw new RuleBroken(
            DriverRule.NUMBERS,
            "the number %d (part %d) came after the number %d (part %d)"
                .formatted(
                    number.number(), reading.part(), before.number(), parts.getOrDefault(of, 0)));
      }
      last.put(of, number);
      parts.put(of, reading.part());
    }
  }

  private void promised() {
    if (conversations.driver().description().memory() == Memory.NONE || unnumbered == 0) {
      return;
    }
    if (numbered == 0) {
      conversations
          .report()
          .broken(
              DriverRule.NUMBERS,
              "the description says that instruments number their readings, and none of %d has a"
                      .formatted(unnumbered)
                  + " number");
    } else {
      conversations
          .report()
          .note(
              "%d readings of the examples have a number and %d have none: a lost one of these is"
                      .formatted(numbered, unnumbered)
                  + " not noticed");
    }
  }

  private void joined(List<Example> good) {
    List<Example> some = good.stream().limit(MOST_JOINED).toList();
    int pairs = 0;
    for (Example first : some) {
      for (Example second : some) {
        pairs++;
        conversations.hold(
            first,
            ", then \"%s\" on the same link".formatted(second.name()),
            played -> joined(first, second, played));
      }
    }
    conversations.report().passed(DriverRule.JOINED, "%d pairs of examples".formatted(pairs));
  }

  private void joined(Example first, Example second, PlayedDriver played) throws RuleBroken {
    Seen seen = new Seen(played);
    if (PlayedInstrument.talksOnly(first) && PlayedInstrument.talksOnly(second)) {
      byte[] both = Bytes.joined(List.of(answers(first), answers(second)));
      played.arrive(both);
    } else {
      new PlayedInstrument(played, first).play(-1, Bytes.NONE, () -> seen.all(first.gives()));
      int before = played.host.readings().size();
      PlayedInstrument next = new PlayedInstrument(played, second);
      next.play(-1, Bytes.NONE, () -> seen.allSince(before, second.gives()));
      if (next.unknownQuestion().length > 0) {
        conversations.inconclusive(next.unknownQuestion());
        return;
      }
    }
    if (!played.ends.isEmpty()) {
      throw new RuleBroken(DriverRule.JOINED, "the link was ended; " + Sentences.faults(played));
    }
    List<Example.Expected> all = new ArrayList<>(first.gives());
    all.addAll(second.gives());
    String stranger = seen.stranger(all);
    if (!stranger.isEmpty() || !seen.all(all)) {
      throw new RuleBroken(
          DriverRule.JOINED,
          "they are to give %s; they gave %s; %s"
              .formatted(
                  Sentences.expected(all),
                  Sentences.readings(played.host.readings()),
                  Sentences.faults(played)));
    }
  }

  private static byte[] answers(Example example) {
    return Bytes.joined(example.turns().stream().map(Turn::answer).toList());
  }

  private void several(Example example) {
    conversations.hold(
        example,
        ", while it is played on another link",
        played -> {
          new PlayedInstrument(played, example)
              .playExactly(
                  Pieces.SINGLE,
                  () ->
                      conversations.hold(
                          example,
                          ", in the middle of itself on another link",
                          other -> {
                            new PlayedInstrument(other, example).playExactly(Pieces.WHOLE);
                            compare(DriverRule.SEVERAL, example, other);
                          }));
          compare(DriverRule.SEVERAL, example, played);
        });
  }
}
