package org.tallywire.testset;

import java.util.HashSet;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.Set;
import org.tallywire.acceptance.Rule;

/**
 * Questions that a person answers beside a test.
 *
 * @param name of the list
 * @param items at least one, no two with the same id
 */
public record Checklist(String name, Moment moment, List<Item> items) {

  /**
   * One question; the answer that lets the work go on is yes.
   *
   * @param id a word
   * @param text what is asked
   * @param source where it comes from, and how sure that is
   */
  public record Item(String id, String text, String source, Rule.Certainty certainty) {}

  public Checklist {
    items = List.copyOf(items);
    Set<String> ids = new HashSet<>();
    for (Item item : items) {
      if (!ids.add(item.id())) {
        throw new IllegalArgumentException(
            "checklist \"%s\" has two items \"%s\"".formatted(name, item.id()));
      }
    }
    if (items.isEmpty()) {
      throw new IllegalArgumentException("checklist \"%s\" has no item".formatted(name));
    }
  }

  /** Returns the item with an id, if there is one. */
  public Optional<Item> item(String id) {
    return items.stream().filter(item -> item.id().equals(id)).findFirst();
  }

  /** When it is answered. */
  public enum Moment {
    /** Before the first reading is booked. */
    BEFORE,
    /** While it goes on. */
    DURING,
    /** Before the test set is closed. */
    AFTER;

    /** Returns the word for it in records and files. */
    public String word() {
      return name().toLowerCase(Locale.ROOT);
    }

    /** Returns the moment with the given word, or nothing if there is none. */
    public static Optional<Moment> of(String word) {
      for (Moment moment : values()) {
        if (moment.word().equals(word)) {
          return Optional.of(moment);
        }
      }
      return Optional.empty();
    }
  }
}
