package org.tallywire.conform;

import java.time.Duration;
import java.util.List;
import java.util.Optional;
import java.util.function.Consumer;
import org.tallywire.api.LinkException;
import org.tallywire.line.LineMessage;

/** What the instrument says after it was switched off and on by a person. */
final class RestartChecks {

  private static final Duration LOOK = Duration.ofSeconds(1);

  private final Dialogue with;
  private final InstrumentOptions options;
  private final Consumer<String> words;
  private boolean started;
  private String before = "";

  RestartChecks(Dialogue with, InstrumentOptions options, Consumer<String> words) {
    this.with = with;
    this.options = options;
    this.words = words;
  }

  List<Check> all() {
    return List.of(
        Check.of("a restart brings another boot id", "L-14a", this::restart),
        Check.of("a restart is announced by !start", "L-15a", this::announced),
        Check.of("the boot id of before is refused with 302", "L-19c", this::old));
  }

  private void asked() throws NotSeen {
    if (!options.restart()) {
      throw new NotSeen("nobody was asked to switch it off and on; add --restart");
    }
  }

  private void restart() throws Broken, NotSeen, LinkException {
    asked();
    before = with.hello().boot();
    words.accept(
        "Restart: switch the instrument off and on again now; waiting up to %d s."
            .formatted(options.patience().toSeconds()));
    with.forget();
    long end = with.now() + options.patience().toNanos();
    String now = before;
    while (now.equals(before) && with.now() < end) {
      now = look().orElse(before);
    }
    if (now.equals(before)) {
      sameCounter();
      throw new NotSeen(
          "for %d s after the person was asked, it kept the boot id %s: was it switched off, and is"
                  .formatted(options.patience().toSeconds(), before)
              + " its store still there?");
    }
  }

  /** L-14: the same boot id promises the same counter and store. */
  private void sameCounter() throws Broken, LinkException {
    with.hello();
    long told = with.witness().delivered().last();
    LineMessage send =
        with.request("send", "boot", with.session().boot(), "after", "0", "credit", "1");
    Talk.Heard.Line ok = with.ask(send, "ok", "L-19b");
    String last = ok.message().fields().getOrDefault("last", "");
    if (HeardFields.isWhole(last, 0, told - 1)) {
      throw new Broken(
          "L-14a",
          "the boot id is %s as before, but its counter went back from %d to %s"
              .formatted(before, told, last));
    }
  }

  private Optional<String> look() throws Broken, LinkException {
    try {
      Optional<Talk.Heard.Line> start =
          with.await(line -> line.mark() == '!' && line.kind().equals("start"), LOOK);
      started |= start.isPresent();
      LineMessage hello = with.helloLine();
      with.say(hello);
      Optional<Talk.Heard.Line> answer =
          with.await(
              line -> Dialogue.answers(line, hello) || line.kind().equals("start"),
              with.rate().late(with.rate().limit(hello.bytes().length, 0)));
      if (answer.isPresent() && answer.get().message().kind().equals("hello")) {
        with.forget();
        with.take(answer.get());
        return answer.get().message().text("boot");
      }
      started |= answer.isPresent();
    } catch (LinkException e) {
      with.forget();
      Reopening.of(with);
      return Optional.of(with.session().boot());
    }
    return Optional.empty();
  }

  private void announced() throws NotSeen {
    asked();
    if (!started) {
      throw new NotSeen(
          "no !start was heard after the restart; it should be sent once, unless the link was down");
    }
  }

  private void old() throws Broken, NotSeen, LinkException {
    asked();
    if (before.isEmpty() || with.hello().boot().equals(before)) {
      throw new NotSeen("it was not restarted");
    }
    with.refused(with.request("send", "boot", before, "after", "0", "credit", "1"), 302, "L-19c");
  }
}
