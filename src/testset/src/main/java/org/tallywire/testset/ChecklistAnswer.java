package org.tallywire.testset;

import java.time.Instant;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import org.tallywire.api.RecordId;

/**
 * A person's answers to some items of a test set's checklist, or the reason why work goes on
 * without them. A later answer to an item takes the place of the earlier one.
 *
 * @param station under which it is published
 * @param by who answered
 * @param override why readings are booked although the list is not answered; if so
 */
public record ChecklistAnswer(
    String testSet,
    String station,
    Instant at,
    String by,
    Checklist.Moment moment,
    List<Answer> answers,
    Optional<String> override) {

  /**
   * The answer to one item.
   *
   * @param item its id
   * @param remark may be empty
   */
  public record Answer(String item, Reply reply, String remark) {}

  public ChecklistAnswer {
    answers = List.copyOf(answers);
    if (answers.isEmpty() && override.isEmpty()) {
      throw new IllegalArgumentException("an answer to a checklist answers something");
    }
  }

  /** Returns the identity of its record. */
  public String id() {
    StringBuilder all = new StringBuilder();
    answers.forEach(
        a -> all.append(a.item()).append(' ').append(a.reply()).append(' ').append(a.remark()));
    return RecordId.derived(
        "checklist",
        testSet,
        moment.word(),
        by,
        at.toString(),
        all.toString(),
        override.orElse(""));
  }

  /** What can be answered. */
  public enum Reply {
    YES,
    NO,
    NOT_APPLICABLE;

    /** Returns the word for it in records and commands, for example {@code not-applicable}. */
    public String word() {
      return name().toLowerCase(Locale.ROOT).replace('_', '-');
    }

    /** Returns the reply with the given word, or nothing if there is none. */
    public static Optional<Reply> of(String word) {
      for (Reply reply : values()) {
        if (reply.word().equals(word)) {
          return Optional.of(reply);
        }
      }
      return Optional.empty();
    }
  }
}
