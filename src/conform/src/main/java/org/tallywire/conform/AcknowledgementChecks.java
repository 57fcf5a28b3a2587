package org.tallywire.conform;

import java.time.Duration;
import java.util.List;
import java.util.Optional;
import java.util.function.Consumer;
import org.tallywire.api.LinkException;
import org.tallywire.line.LineMessage;

/**
 * What changes with an acknowledgement, and what happens when none comes until the store is full.
 */
final class AcknowledgementChecks {

  private static final Duration PAUSE = Duration.ofMillis(100);

  private final Dialogue with;
  private final ReadingChecks readings;
  private final InstrumentOptions options;
  private final Consumer<String> words;

  AcknowledgementChecks(
      Dialogue with, ReadingChecks readings, InstrumentOptions options, Consumer<String> words) {
    this.with = with;
    this.readings = readings;
    this.options = options;
    this.words = words;
  }

  List<Check> all() {
    return List.of(
        Check.of("a digest protects readings and losses", "L-33a", this::digest),
        Check.of("a full store is declared by !lost", "L-26a L-26b L-26c", this::overflow),
        Check.of("an acknowledgement grants the next reading", "L-23c", this::grants),
        Check.of("an acknowledgement with more credit grants more", "L-23c", this::newCredit),
        Check.of("the same send after it states the same first", "L-16d", this::sameFirst),
        Check.of("what is acknowledged does not come again", "L-23a L-19b", this::forgotten));
  }

  private void digest() throws Broken, NotSeen, LinkException {
    readings.need(1);
    if (!with.hello().can("digest")) {
      throw new NotSeen("it has none: the hello does not say can=digest");
    }
    // that each line carries one is looked at in every line
    readings.ask(readings.base(), 1, 1);
  }

  private void overflow() throws Broken, NotSeen, LinkException {
    readings.need(1);
    Dialogue.Hello hello = with.hello();
    Delivered delivered = with.witness().delivered();
    long needed = hello.store() + 1;
    if (needed > 64 && delivered.last() - readings.base() < needed) {
      throw new NotSeen(
          "its store holds %d readings, too many to fill here; try it with a store of up to 63"
              .formatted(hello.store()));
    }
    words.accept(
        "Overflow: its store holds %d; waiting up to %d s for %d readings. Take them now."
            .formatted(hello.store(), options.patience().toSeconds(), needed));
    long end = with.now() + options.patience().toNanos();
    Duration look = with.rate().late(with.rate().limit(0, 1));
    boolean full = false;
    while (!delivered.hasLost() && !full && with.now() < end) {
      full = delivered.last() - readings.base() >= needed;
      with.ask(readings.send(readings.base(), 1), "ok", "L-19b");
      with.await(ReadingChecks::isItem, look);
      with.listen(PAUSE); // it needs its time to measure
    }
    if (!full && !delivered.hasLost()) {
      throw new NotSeen(
          "its store did not fill: it holds %d, and has %d readings"
              .formatted(hello.store(), delivered.last() - readings.base()));
    }
    if (!delivered.hasLost()) {
      throw new Broken(
          "L-26a",
          "it holds %d readings and has taken %d with none acknowledged, but sends no !lost"
              .formatted(hello.store(), delivered.last() - readings.base()));
    }
  }

  private void grants() throws Broken, NotSeen, LinkException {
    readings.need(2);
    with.hello();
    long end = end(readings.ask(readings.base(), 1, 1).get(0));
    acknowledge(end, 1);
    Duration limit = with.rate().late(with.rate().limit(0, 1));
    Optional<Talk.Heard.Line> next = with.await(ReadingChecks::isItem, limit);
    if (next.isEmpty()) {
      throw new Broken(
          "L-23c",
          "after >ack seq=%d credit=1 the next reading did not come within %d ms"
              .formatted(end, limit.toMillis()));
    }
  }

  private void newCredit() throws Broken, NotSeen, LinkException {
    readings.need(2);
    with.hello();
    acknowledgeable(1);
    long end = end(readings.ask(readings.base(), 1, 1).get(0));
    long left = with.witness().delivered().last() - end;
    if (left < 2) {
      throw new NotSeen("it needs 2 readings after %d, %d are left".formatted(end, left));
    }
    acknowledge(end, 2);
    Duration limit = with.rate().late(with.rate().limit(0, 2));
    for (int came = 0; came < 2; came++) {
      if (with.await(ReadingChecks::isItem, limit).isEmpty()) {
        throw new Broken(
            "L-23c",
            "after >send with credit=1 and >ack seq=%d credit=2 two readings are to come; %d came"
                .formatted(end, came));
      }
    }
  }

  private void sameFirst() throws Broken, NotSeen, LinkException {
    readings.need(1);
    with.hello();
    acknowledgeable(1);
    LineMessage send = readings.send(readings.base(), 1);
    Talk.Heard.Line ok = with.ask(send, "ok", "L-19b");
    acknowledge(end(readings.hear(1, 1).get(0)), 1);
    Talk.Heard.Line again = with.ask(send, "ok", "L-16d");
    if (!again.message().text("first").equals(ok.message().text("first"))) {
      throw new Broken(
          "L-16d",
          "after an acknowledgement the same >send was answered by %s, before by %s"
              .formatted(again.text(), ok.text()));
    }
  }

  /** Sees that so many readings are there that were not acknowledged. */
  private void acknowledgeable(int wanted) throws NotSeen {
    Delivered delivered = with.witness().delivered();
    long left = delivered.last() - Math.max(readings.base(), delivered.acknowledged());
    if (left < wanted) {
      throw new NotSeen(
          "it needs %d readings that are not acknowledged, %d are left".formatted(wanted, left));
    }
  }

  private void forgotten() throws Broken, NotSeen, LinkException {
    readings.need(1);
    with.hello();
    Delivered delivered = with.witness().delivered();
    long after = end(readings.ask(readings.base(), 1, 1).get(0));
    acknowledge(after, 1);
    Duration limit = with.rate().late(with.rate().limit(0, 1));
    if (delivered.last() > after) {
      with.await(ReadingChecks::isItem, limit);
    }
    LineMessage send = readings.send(after, 1);
    Talk.Heard.Line ok = with.ask(send, "ok", "L-19b");
    String first = ok.message().fields().getOrDefault("first", Long.toString(after + 1));
    if (!first.equals(Long.toString(after + 1))) {
      throw new Broken(
          "L-19b",
          "asked for what comes after %d, the last acknowledged; expected first=%d: %s"
              .formatted(after, after + 1, ok.text()));
    }
    Optional<Talk.Heard.Line> next =
        with.await(ReadingChecks::isItem, delivered.last() > after ? limit : with.session().beat());
    if (next.isPresent() && end(next.get()) <= after) {
      throw new Broken("L-23a", "an acknowledged reading came again: " + next.get().text());
    }
    if (next.isEmpty() && delivered.last() > after) {
      throw new Broken(
          "L-19a",
          "it has number %d, but nothing came after %s".formatted(delivered.last(), ok.text()));
    }
  }

  private static long end(Talk.Heard.Line item) {
    String key = item.message().kind().equals("lost") ? "to" : "seq";
    String value = item.message().fields().getOrDefault(key, "");
    return HeardFields.isWhole(value, 1, Long.MAX_VALUE) ? Long.parseLong(value) : 1;
  }

  private void acknowledge(long seq, int credit) throws LinkException {
    with.say(
        new LineMessage(
            '>',
            "ack",
            LineMessage.fieldsOf(
                "boot",
                with.session().boot(),
                "seq",
                Long.toString(seq),
                "credit",
                Integer.toString(credit))));
  }
}
