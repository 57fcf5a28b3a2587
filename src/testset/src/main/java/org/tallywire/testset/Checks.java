package org.tallywire.testset;

import java.util.Collections;
import java.util.EnumMap;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.tallywire.testset.Checklist.Moment;
import org.tallywire.testset.ChecklistAnswer.Answer;
import org.tallywire.testset.ChecklistAnswer.Reply;

/** How the answers to the checklists of one test set stand. Used by one thread. */
public final class Checks {

  private final Terms terms;
  private final Map<Moment, Map<String, Answer>> answers = new EnumMap<>(Moment.class);
  private final Map<Moment, ChecklistAnswer> overrides = new EnumMap<>(Moment.class);

  Checks(Terms terms) {
    this.terms = terms;
  }

  void take(ChecklistAnswer answer) {
    Map<String, Answer> known =
        answers.computeIfAbsent(answer.moment(), moment -> new LinkedHashMap<>());
    answer.answers().forEach(one -> known.put(one.item(), one));
    if (answer.override().isPresent()) {
      overrides.put(answer.moment(), answer);
    }
  }

  /** Returns the last answer to every item of a moment that has one, by the item's id. */
  public Map<String, Answer> answers(Moment moment) {
    return Collections.unmodifiableMap(answers.getOrDefault(moment, Map.of()));
  }

  /** Returns by whom and why a moment's list was passed over, if it was. */
  public Optional<ChecklistAnswer> override(Moment moment) {
    return Optional.ofNullable(overrides.get(moment));
  }

  /** Returns the items of a moment that have no answer, or the answer no. */
  public List<Checklist.Item> open(Moment moment) {
    Map<String, Answer> known = answers(moment);
    return terms.checklist(moment).map(Checklist::items).orElse(List.of()).stream()
        .filter(item -> !known.containsKey(item.id()) || known.get(item.id()).reply() == Reply.NO)
        .toList();
  }

  /** Returns why the work may not go on past a moment; nothing if it may. */
  public Optional<String> hindrance(Moment moment) {
    List<Checklist.Item> open = open(moment);
    if (open.isEmpty() || overrides.containsKey(moment)) {
      return Optional.empty();
    }
    return Optional.of(
        "The list \"%s\" is not answered with yes: %s."
            .formatted(
                terms.checklist(moment).map(Checklist::name).orElse(""),
                String.join(", ", open.stream().map(Checklist.Item::id).toList())));
  }
}
