package org.tallywire.conform;

import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.function.Consumer;
import org.tallywire.api.LinkException;
import org.tallywire.line.LineMessage;

/** Waits for readings and asks for them in every way, acknowledging none. */
final class ReadingChecks {

  /** The check on which those about readings rest. */
  static final String COLLECT = "readings are sent when asked for";

  private static final Duration LOOK = Duration.ofSeconds(1);

  private final Dialogue with;
  private final InstrumentOptions options;
  private final Consumer<String> words;
  private String none = "";
  private long base = -1;
  private int count;

  ReadingChecks(Dialogue with, InstrumentOptions options, Consumer<String> words) {
    this.with = with;
    this.options = options;
    this.words = words;
  }

  List<Check> all() {
    return List.of(
        Check.of(COLLECT, "L-19a L-19b", this::collect),
        Check.of("as many readings come as are granted", "L-19a L-20a", () -> granted(count)),
        Check.of("with a credit of 1 one reading comes", "L-19a", this::one),
        Check.of("the same send again acts once, and sends again", "L-16d", this::again),
        Check.of("after= acknowledges nothing", "L-19a L-24a", this::afterKeeps),
        Check.of("unacknowledged readings come again after 3 beats", "L-24b L-24c", this::repeated),
        Check.of("a wrong acknowledgement is ignored", "L-23d L-24a", this::wrongAcknowledgements),
        Check.of("an acknowledgement with a key twice is ignored", "L-10c", this::ackWithKeyTwice),
        Check.of("a refused hello ends the sending of readings", "L-37a", this::refused),
        Check.of("after a hello no reading until the next send", "L-18 L-37a", this::anew),
        Check.of(
            "with readings waiting, our silence ends the session", "L-28c L-19c", this::silence),
        Check.of("readings outlive the link", "L-24a", this::reopened));
  }

  /** Returns why there are no readings; empty if there are. */
  String none() {
    return none;
  }

  /** Returns the number before the first of the readings. */
  long base() {
    return base;
  }

  int count() {
    return count;
  }

  void need(int readings) throws NotSeen {
    if (count < readings) {
      throw new NotSeen(
          count == 0
              ? none.isEmpty() ? "no reading came" : none
              : "it needs %d readings, %d came".formatted(readings, count));
    }
  }

  LineMessage send(long after, int credit) {
    return with.request(
        "send",
        "boot",
        with.session().boot(),
        "after",
        Long.toString(after),
        "credit",
        Integer.toString(credit));
  }

  /** Asks anew and waits for so many lines, one up, the first after the one given. */
  List<Talk.Heard.Line> ask(long after, int credit, int wanted) throws Broken, LinkException {
    LineMessage send = send(after, credit);
    with.ask(send, "ok", "L-19b");
    return hear(credit, wanted);
  }

  List<Talk.Heard.Line> hear(int credit, int wanted) throws Broken, LinkException {
    List<Talk.Heard.Line> heard = new ArrayList<>();
    Duration limit = with.rate().late(with.rate().limit(0, credit));
    while (heard.size() < wanted) {
      Optional<Talk.Heard.Line> line = with.await(ReadingChecks::isItem, limit);
      if (line.isEmpty()) {
        throw new Broken(
            "L-19a",
            "asked for readings after %d with a credit of %d: only %d came, it has %d"
                .formatted(base, credit, heard.size(), count));
      }
      heard.add(line.get());
    }
    return heard;
  }

  static boolean isItem(LineMessage line) {
    return line.mark() == '!' && (line.kind().equals("reading") || line.kind().equals("lost"));
  }

  private void collect() throws Broken, NotSeen, LinkException {
    with.hello();
    words.accept(
        "Readings: waiting up to %d s for %d of them. Take them at the instrument now."
            .formatted(options.patience().toSeconds(), options.readings()));
    long end = with.now() + options.patience().toNanos();
    Duration look = with.session().beat().compareTo(LOOK) < 0 ? with.session().beat() : LOOK;
    long after = 0;
    while (count < options.readings() && with.now() < end) {
      LineMessage send = send(after, 1);
      Talk.Heard.Line ok = with.ask(send, "ok", "L-19b");
      Optional<Talk.Heard.Line> item = with.await(ReadingChecks::isItem, look);
      if (base < 0 && item.isPresent()) {
        base = first(ok, item.get()) - 1;
        after = base;
      }
      look(item.isPresent());
      if (count < options.readings()) {
        with.listen(look);
        look(item.isPresent());
      }
    }
    if (count == 0) {
      none = "no reading came within %d s".formatted(options.patience().toSeconds());
      throw new NotSeen(none);
    }
  }

  private static long first(Talk.Heard.Line ok, Talk.Heard.Line item) {
    String first = ok.message().fields().getOrDefault("first", "");
    return HeardFields.isWhole(first, 1, Long.MAX_VALUE) ? Long.parseLong(first) : begin(item);
  }

  private static long begin(Talk.Heard.Line item) {
    String key = item.message().kind().equals("lost") ? "from" : "seq";
    String stated = item.message().fields().getOrDefault(key, "");
    return HeardFields.isWhole(stated, 1, Long.MAX_VALUE) ? Long.parseLong(stated) : 1;
  }

  private void look(boolean anyCame) {
    if (base < 0 || !anyCame) {
      return;
    }
    int now = (int) Math.min(options.readings(), with.witness().delivered().last() - base);
    if (now > count) {
      count = now;
      words.accept("  %d of %d readings".formatted(count, options.readings()));
    }
  }

  private void granted(int readings) throws Broken, NotSeen, LinkException {
    need(1);
    with.hello();
    ask(base, readings, items());
  }

  /** How many lines the readings take: fewer, if some are lost. */
  private int items() {
    return with.witness().delivered().hasLost() ? 1 : count;
  }

  private void one() throws Broken, NotSeen, LinkException {
    need(2);
    with.hello();
    ask(base, 1, 1);
    Optional<Talk.Heard.Line> another = second();
    if (another.isPresent()) {
      throw new Broken("L-19a", "the credit is 1, and a second came: " + another.get().text());
    }
  }

  private Optional<Talk.Heard.Line> second() throws LinkException {
    Duration beats = with.session().beat().multipliedBy(2);
    Duration limit = with.rate().limit(0, 2);
    return with.await(ReadingChecks::isItem, limit.compareTo(beats) < 0 ? limit : beats);
  }

  private void again() throws Broken, NotSeen, LinkException {
    need(2);
    with.hello();
    LineMessage send = send(base, 1);
    Talk.Heard.Line ok = with.ask(send, "ok", "L-19b");
    Talk.Heard.Line oldest = hear(1, 1).get(0);
    Talk.Heard.Line again = with.ask(send, "ok", "L-16d");
    if (!again.message().text("first").equals(ok.message().text("first"))) {
      throw new Broken(
          "L-16d",
          "the same >send was answered by %s, before by %s".formatted(again.text(), ok.text()));
    }
    Optional<Talk.Heard.Line> next =
        with.await(ReadingChecks::isItem, with.rate().late(with.rate().limit(0, 1)));
    if (next.isEmpty() || begin(next.get()) != begin(oldest)) {
      throw new Broken(
          "L-16d",
          "after the same >send the oldest unacknowledged reading, %d, is to come again; %s"
              .formatted(
                  begin(oldest),
                  next.map(line -> "this came: " + line.text()).orElse("nothing came")));
    }
    // the next one would be credit granted twice
    Optional<Talk.Heard.Line> another = second();
    if (another.isPresent() && begin(another.get()) > begin(oldest)) {
      throw new Broken(
          "L-16d",
          "the same >send, credit=1, came twice and was acted upon twice: " + another.get().text());
    }
  }

  private void afterKeeps() throws Broken, NotSeen, LinkException {
    need(2);
    with.hello();
    ask(base, 1, 1);
    long beyond = base + 2;
    with.ask(send(beyond, 1), "ok", "L-19b");
    Talk.Heard.Line ok = with.ask(send(base, 1), "ok", "L-19b");
    String first = ok.message().fields().getOrDefault("first", "");
    if (HeardFields.isWhole(first, base + 2, Long.MAX_VALUE)) {
      throw new Broken(
          "L-19a",
          "it was asked with after=%d, which acknowledges nothing, then with after=%d: first is to"
                  .formatted(beyond, base)
              + " be %d still, heard %s".formatted(base + 1, ok.text()));
    }
    hear(1, 1);
  }

  private void repeated() throws Broken, NotSeen, LinkException {
    need(1);
    Duration beat = with.hello().beat();
    SilenceChecks.bearable(beat);
    int items = items();
    ask(base, count, items);
    // what else it has within the credit comes first
    Duration limit = with.rate().late(beat.multipliedBy(3)).plus(with.rate().limit(0, count));
    for (int i = 0; i < items; i++) {
      if (with.await(ReadingChecks::isItem, limit).isEmpty()) {
        throw new Broken(
            "L-24b",
            "%d readings unacknowledged; within 3 beats and the allowance (%d ms) %d came again"
                .formatted(items, limit.toMillis(), i));
      }
    }
  }

  private void wrongAcknowledgements() throws Broken, NotSeen, LinkException {
    need(1);
    String boot = with.hello().boot();
    String last = Long.toString(base + count);
    wrong("another boot id", "boot", with.session().otherBoot(), "seq", last, "credit", "64");
    wrong("seq beyond the last sent", "boot", boot, "seq", "999999999999", "credit", "64");
    wrong("credit missing", "boot", boot, "seq", last);
    wrong("credit 0", "boot", boot, "seq", last, "credit", "0");
    wrong("credit 65", "boot", boot, "seq", last, "credit", "65");
    wrong("boot missing", "seq", last, "credit", "64");
  }

  private void wrong(String what, String... fields) throws Broken, LinkException {
    ignored("L-23d", what, new LineMessage('>', "ack", LineMessage.fieldsOf(fields)).bytes());
  }

  private void ackWithKeyTwice() throws Broken, NotSeen, LinkException {
    need(1);
    String boot = with.hello().boot();
    String body = ">ack boot=%s seq=%d credit=64".formatted(boot, base + count);
    ignored("L-10c", "seq twice", Wire.line("%s seq=%d".formatted(body, base + count)));
    ignored("L-10c", "an unknown key twice", Wire.line(body + " note=1 note=2"));
  }

  private void ignored(String citation, String what, byte[] ack) throws Broken, LinkException {
    ask(base, count, items());
    with.sayBytes(ack);
    LineMessage send = send(base, 1);
    with.say(send);
    Talk.Heard.Line ok = with.answer(send, send.bytes().length, "L-19b");
    boolean forgot =
        !ok.message().kind().equals("ok")
            || Optional.of(ok.message().fields().getOrDefault("first", ""))
                .filter(first -> HeardFields.isWhole(first, base + 2, Long.MAX_VALUE))
                .isPresent();
    if (forgot || with.await(ReadingChecks::isItem, with.rate().late(LOOK)).isEmpty()) {
      throw new Broken(
          citation,
          "an acknowledgement with %s was honoured: asked again after %d, it answers %s"
              .formatted(what, base, ok.text()));
    }
  }

  /** L-37a: what is asked for just before a hello that is refused does not come after it. */
  private void refused() throws Broken, NotSeen, LinkException {
    need(1);
    with.hello();
    ask(base, 1, 1);
    LineMessage send = send(base, count);
    LineMessage hello = with.request("hello", "version", "2.0");
    with.witness().said(send, with.now());
    with.witness().said(hello, with.now());
    with.sayBytes(Wire.joined(send.bytes(), hello.bytes()));
    with.refusal(hello, Lines.text(hello), 301, "L-12c");
    SilenceChecks.quiet(with);
    with.hello();
  }

  private void anew() throws Broken, NotSeen, LinkException {
    need(1);
    with.hello();
    ask(base, count, items());
    with.hello();
    // longer than three beats, after which it would repeat
    SilenceChecks.inEveryInterval(with, 3);
  }

  private void silence() throws Broken, NotSeen, LinkException {
    need(1);
    with.hello();
    ask(base, count, items());
    SilenceChecks.fallsSilent(with, 3);
  }

  private void reopened() throws Broken, NotSeen, LinkException {
    need(1);
    Reopening.of(with);
    ask(base, count, items());
  }
}
