package org.tallywire.conform;

import java.time.Duration;
import java.util.List;
import java.util.Optional;
import java.util.concurrent.locks.LockSupport;
import java.util.function.Consumer;
import org.tallywire.api.LinkException;
import org.tallywire.line.LineMessage;

/** What the instrument says after it was switched off and on by a person. */
final class RestartChecks {

  private static final Duration LOOK = Duration.ofSeconds(1);
  private static final Duration PAUSE = Duration.ofMillis(200);

  private final Dialogue with;
  private final InstrumentOptions options;
  private final Consumer<String> words;
  private String before = "";
  private String away = "";
  private int startsBefore;
  private boolean isOpen = true;
  private boolean isBack = true;

  RestartChecks(Dialogue with, InstrumentOptions options, Consumer<String> words) {
    this.with = with;
    this.options = options;
    this.words = words;
  }

  List<Check> all() {
    return List.of(
        Check.of(RESTART, "L-14a", this::restart),
        Check.of("a restart is announced by !start", "L-15a", this::announced),
        Check.of("the boot id of before is refused with 302", "L-19c", this::old));
  }

  /** The check on which the others rest. */
  static final String RESTART = "a restart brings another boot id";

  private void asked() throws NotSeen {
    if (!options.restart()) {
      throw new NotSeen("nobody was asked to switch it off and on; add --restart");
    }
    if (!away.isEmpty()) {
      throw new NotSeen(away);
    }
  }

  private void restart() throws Broken, NotSeen, LinkException {
    asked();
    before = with.hello().boot();
    startsBefore = with.witness().starts();
    words.accept(
        "Restart: switch the instrument off and on again now; waiting up to %d s."
            .formatted(options.patience().toSeconds()));
    with.forget();
    long end = with.now() + options.patience().toNanos();
    String now = before;
    while (now.equals(before) && with.now() < end) {
      now = look().orElse(before);
    }
    if (!isBack) {
      away =
          "it did not come back within %d s after the person was asked to switch it off and on"
              .formatted(options.patience().toSeconds());
      throw new NotSeen(away);
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

  /** Greets, on a link that is opened as often as it is lost; returns the boot id if answered. */
  private Optional<String> look() throws Broken {
    try {
      if (!isOpen) {
        with.open();
        isOpen = true;
      }
      with.await(line -> line.mark() == '!' && line.kind().equals("start"), LOOK);
      Optional<String> boot = greet();
      isBack = boot.isPresent();
      if (!isBack && with.rate().isTcp()) {
        lost(); // a connection from before a loss of power looks open
      }
      return boot;
    } catch (LinkException e) {
      isBack = false;
      lost();
      LockSupport.parkNanos(PAUSE.toNanos());
      return Optional.empty();
    }
  }

  private void lost() {
    with.close();
    isOpen = false;
  }

  private Optional<String> greet() throws Broken, LinkException {
    LineMessage hello = with.helloLine();
    with.say(hello);
    Optional<Talk.Heard.Line> answer =
        with.await(
            line -> Dialogue.answers(line, hello) && line.kind().equals("hello"),
            with.rate().late(with.rate().limit(hello.bytes().length, 0)));
    if (answer.isEmpty()) {
      return Optional.empty();
    }
    with.forget();
    with.take(answer.get());
    return Optional.of(with.session().boot());
  }

  private void announced() throws NotSeen, LinkException {
    asked();
    need();
    if (with.witness().starts() == startsBefore) {
      with.await(line -> line.mark() == '!' && line.kind().equals("start"), LOOK);
    }
    if (with.witness().starts() == startsBefore) {
      throw new NotSeen(
          "no !start was heard after the restart; it should be sent once, unless the link was down");
    }
  }

  private void need() throws NotSeen {
    if (before.isEmpty() || with.session().boot().equals(before)) {
      throw new NotSeen("it was not restarted");
    }
  }

  private void old() throws Broken, NotSeen, LinkException {
    asked();
    need();
    with.hello();
    with.refused(with.request("send", "boot", before, "after", "0", "credit", "1"), 302, "L-19c");
  }
}
