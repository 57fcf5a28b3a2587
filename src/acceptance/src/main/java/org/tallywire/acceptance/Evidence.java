package org.tallywire.acceptance;

import java.util.ArrayDeque;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.Deque;
import java.util.HashMap;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.function.Function;
import java.util.function.Predicate;
import org.tallywire.acceptance.resistance.Settling;
import org.tallywire.acceptance.resistance.SettlingRule;
import org.tallywire.acceptance.resistance.TimedOhms;

/**
 * The booked readings of a test set so far: the last of every step, and the ones that led to it.
 * Used by one thread.
 */
public final class Evidence {

  /** How many readings of one step are kept; enough to tell whether a resistance has settled. */
  static final int KEPT = 20;

  private final Map<String, Deque<BookedReading>> bySteps = new LinkedHashMap<>();

  /** What a step has in common with others, by its id: said once, asked for at every reading. */
  private final Map<String, Kin> kin = new HashMap<>();

  private final Map<String, String> stepOfReading = new HashMap<>();

  /** What was last found of a run of resistances: more than one check asks for it. */
  private Optional<Judged> judged = Optional.empty();

  private record Judged(List<TimedOhms> stream, SettlingRule rule, Settling settling) {

    boolean answers(List<TimedOhms> otherStream, SettlingRule otherRule) {
      return stream.equals(otherStream) && rule.equals(otherRule);
    }
  }

  /** What a step shares with those of the other phases, and with those of the other taps. */
  private record Kin(String ofPhases, String ofTaps) {}

  /**
   * Takes a booking; a reading that was booked to another step moves here, and a step whose last
   * reading goes has none: what was taken before it was given up when it came.
   *
   * @return id of the step that has no reading now and had one, if so
   */
  public Optional<String> book(BookedReading booked) {
    String step = booked.step().id();
    Optional<String> left = Optional.empty();
    if (step.equals(stepOfReading.get(booked.id()))) {
      bySteps
          .getOrDefault(step, new ArrayDeque<>())
          .removeIf(earlier -> earlier.id().equals(booked.id()));
    } else {
      left = unbook(booked.id());
    }
    stepOfReading.put(booked.id(), step);
    Deque<BookedReading> run = bySteps.computeIfAbsent(step, id -> new ArrayDeque<>());
    run.addLast(booked);
    if (run.size() > KEPT) {
      stepOfReading.remove(run.removeFirst().id());
    }
    return left;
  }

  /**
   * Takes a reading off its step.
   *
   * @return id of the step, if this was its last reading
   */
  public Optional<String> unbook(String reading) {
    String step = stepOfReading.remove(reading);
    Deque<BookedReading> run = step == null ? null : bySteps.get(step);
    if (step == null || run == null) {
      return Optional.empty();
    }
    boolean last = run.getLast().id().equals(reading);
    if (last) {
      clear(step);
    } else {
      run.removeIf(booked -> booked.id().equals(reading));
    }
    return last ? Optional.of(step) : Optional.empty();
  }

  /** Leaves a step without a reading. */
  public void clear(String step) {
    Deque<BookedReading> run = bySteps.remove(step);
    if (run != null) {
      run.forEach(booked -> stepOfReading.remove(booked.id()));
    }
  }

  /** Returns a reading that is booked to a step and kept. */
  public Optional<BookedReading> find(String reading) {
    return Optional.ofNullable(stepOfReading.get(reading)).stream()
        .flatMap(step -> run(step).stream())
        .filter(booked -> booked.id().equals(reading))
        .findFirst();
  }

  /** Returns the last reading of a step, if it has one. */
  public Optional<BookedReading> last(String step) {
    return Optional.ofNullable(bySteps.get(step)).map(Deque::getLast);
  }

  /** Returns the last reading of every step that has one, in the order the steps first had one. */
  public List<BookedReading> last() {
    return bySteps.values().stream().map(Deque::getLast).toList();
  }

  /** Returns the readings of a step in the order of their bookings, the last {@value #KEPT}. */
  List<BookedReading> run(String step) {
    return List.copyOf(bySteps.getOrDefault(step, new ArrayDeque<>()));
  }

  /** Returns what a rule says of a run of resistances. */
  Settling settling(SettlingRun run, SettlingRule rule) {
    Judged known =
        judged
            .filter(last -> last.answers(run.stream(), rule))
            .orElseGet(() -> new Judged(run.stream(), rule, rule.judge(run.stream())));
    judged = Optional.of(known);
    return known.settling();
  }

  /**
   * Returns the last readings of the steps that differ from the given one by their phase alone, in
   * the order of the phases.
   */
  List<BookedReading> phases(Step step) {
    String common = step.common();
    return alike(step, kin -> kin.ofPhases().equals(common), Step::phase);
  }

  /** Returns the last readings of the steps that differ from the given one by their tap alone. */
  List<BookedReading> taps(Step step) {
    String onEveryTap = step.onEveryTap();
    return alike(step, kin -> kin.ofTaps().equals(onEveryTap), Step::tapNumber);
  }

  private <T extends Comparable<T>> List<BookedReading> alike(
      Step step, Predicate<Kin> same, Function<Step, T> order) {
    List<BookedReading> found = new ArrayList<>();
    for (Deque<BookedReading> run : bySteps.values()) {
      BookedReading last = run.getLast();
      if (last.step().test().equals(step.test()) && same.test(kin(last.step()))) {
        found.add(last);
      }
    }
    found.sort(Comparator.comparing((BookedReading b) -> order.apply(b.step())));
    return found;
  }

  private Kin kin(Step step) {
    return kin.computeIfAbsent(step.id(), id -> new Kin(step.common(), step.onEveryTap()));
  }
}
