package org.tallywire.testset;

import java.util.Collections;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;

/**
 * What is agreed for one test set beside plate, plan and criteria.
 *
 * @param order how readings find their step
 * @param checklists at most one for each moment
 * @param particulars what else the record shall say, for example customer, order, place; in the
 *     order in which it says them
 */
public record Terms(Order order, List<Checklist> checklists, Map<String, String> particulars) {

  /** Booking by labels, no checklist, nothing else. */
  public static final Terms USUAL = new Terms(Order.LABELS, List.of(), Map.of());

  public Terms {
    checklists = List.copyOf(checklists);
    particulars = Collections.unmodifiableMap(new LinkedHashMap<>(particulars));
    if (checklists.stream().map(Checklist::moment).distinct().count() < checklists.size()) {
      throw new IllegalArgumentException(
          "there are two checklists for one moment: "
              + checklists.stream().map(Checklist::name).toList());
    }
  }

  /** Returns the checklist of a moment, if there is one. */
  public Optional<Checklist> checklist(Checklist.Moment moment) {
    return checklists.stream().filter(list -> list.moment() == moment).findFirst();
  }

  /** How readings find their step. */
  public enum Order {
    /** By what the instrument says that it measured. */
    LABELS,
    /** A reading whose labels name no step is of the step that was told to come next. */
    PLAN;

    /** Returns the word for it in records and files. */
    public String word() {
      return name().toLowerCase(Locale.ROOT);
    }

    /** Returns the one with the given word, or nothing if there is none. */
    public static Optional<Order> of(String word) {
      for (Order order : values()) {
        if (order.word().equals(word)) {
          return Optional.of(order);
        }
      }
      return Optional.empty();
    }
  }
}
