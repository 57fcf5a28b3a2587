package org.tallywire.fault;

import java.nio.charset.StandardCharsets;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.Random;
import org.tallywire.journal.Draft;
import org.tallywire.journal.Journal;
import org.tallywire.journal.JournalException;
import org.tallywire.journal.SequenceMark;

/**
 * Everything that the bridge does to its journal, in an order that a seed decides: appends with and
 * without marks, repeats, cursors, the shelf, cuts and reopenings. Every step may be repeated.
 */
final class Script {

  private static final Instant FAR = Instant.parse("2200-01-01T00:00:00Z");

  /** What a step does to a journal. */
  interface Doing {
    void to(Journal journal) throws JournalException;
  }

  /** What it then must have done. */
  interface Effect {
    void on(Expected expected);
  }

  /**
   * One step.
   *
   * @param doing does it; nothing where the journal is closed and opened again
   * @param begun what may be there if it was begun and did not end
   * @param done what is there when it has returned
   */
  record Step(String name, Doing doing, Effect begun, Effect done) {

    boolean reopens() {
      return name.equals("reopen");
    }
  }

  private final Random random;
  private final List<Step> steps = new ArrayList<>();
  private final List<String> appended = new ArrayList<>();
  private final Expected plan = new Expected();
  private long number;

  private Script(long seed) {
    random = new Random(seed);
  }

  /** Makes one with so many rounds of some six steps. */
  static Script of(long seed, int rounds) {
    Script script = new Script(seed);
    for (int round = 0; round < rounds; round++) {
      script.append(1 + script.random.nextInt(4));
      script.follow();
      script.cursor("publisher");
      script.append(1);
      script.shelf(round);
      script.cut();
      script.step("reopen", journal -> {}, expected -> {});
    }
    script.append(2);
    return script;
  }

  List<Step> steps() {
    return steps;
  }

  private void step(String name, Doing doing, Effect done) {
    step(name, doing, expected -> {}, done);
  }

  private void step(String name, Doing doing, Effect begun, Effect done) {
    steps.add(new Step(name, doing, begun, done));
    done.on(plan);
  }

  private void append(int size) {
    List<Draft> drafts = drafts(size);
    number += size;
    SequenceMark mark = new SequenceMark("invented-1", "boot", number);
    step(
        "append " + size,
        journal -> journal.append(drafts, List.of(mark)),
        expected -> {
          expected.append(drafts);
          expected.mark(mark);
        });
  }

  private void follow() {
    List<Draft> drafts = drafts(2);
    long position = plan.head();
    step(
        "append 2 from the cursor",
        journal -> journal.appendFrom("examiner", position, drafts),
        expected -> {
          expected.append(drafts);
          expected.cursor("examiner", position);
        });
  }

  private void cursor(String follower) {
    long position = plan.head() - 1;
    step(
        "cursor",
        journal -> journal.moveCursor(follower, position),
        expected -> expected.cursor(follower, position));
  }

  private void shelf(int round) {
    long position = plan.head();
    if (round % 2 == 0) {
      step(
          "shelve",
          journal -> journal.shelve("publisher", position, "an invented reason"),
          expected -> expected.shelve(position));
    } else {
      for (long each = 1; each <= plan.head(); each++) {
        long at = each;
        if (plan.shelved(at)) {
          step(
              "unshelve",
              journal -> journal.unshelve("publisher", at),
              expected -> expected.unshelve(at));
        }
      }
    }
  }

  private void cut() {
    long upTo = plan.head() / 2;
    step(
        "cut",
        journal -> journal.cut(upTo, FAR),
        expected -> expected.cutBegun(upTo),
        expected -> expected.cut(upTo));
  }

  /** New ones, with a repeat of an old one among them now and then. */
  private List<Draft> drafts(int size) {
    List<Draft> drafts = new ArrayList<>();
    for (int i = 0; i < size; i++) {
      String id = "entry-" + (appended.size() + 1);
      appended.add(id);
      drafts.add(draft(id));
    }
    if (random.nextInt(3) == 0) {
      drafts.add(draft(appended.get(random.nextInt(appended.size()))));
    }
    return drafts;
  }

  /** The same id has the same bytes; some need a page of their own, some several. */
  private static Draft draft(String id) {
    Random bytes = new Random(id.hashCode());
    int length = bytes.nextInt(8) == 0 ? 9_000 : 100 + bytes.nextInt(900);
    StringBuilder text = new StringBuilder("{\"id\":\"" + id + "\",\"invented\":\"");
    for (int i = 0; i < length; i++) {
      text.append((char) ('a' + bytes.nextInt(26)));
    }
    return new Draft(
        id, "reading", "bay-1", text.append("\"}").toString().getBytes(StandardCharsets.UTF_8));
  }
}
