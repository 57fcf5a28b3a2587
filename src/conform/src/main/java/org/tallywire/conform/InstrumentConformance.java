package org.tallywire.conform;

import java.util.ArrayList;
import java.util.List;
import java.util.function.Consumer;
import java.util.function.Supplier;
import org.tallywire.api.LinkException;
import org.tallywire.api.TimeSource;

/**
 * Holds an instrument against the rules of the line protocol: plays a strict bridge, first with
 * requests alone, then with readings that a person takes. Used once, by one thread.
 */
public final class InstrumentConformance {

  private final InstrumentOptions options;
  private final Consumer<String> words;
  private final Witness witness = new Witness();
  private final Dialogue with;
  private final Report report = new Report(Rule.Side.INSTRUMENT);
  private String gone = "";

  /**
   * Makes one; nothing is opened yet.
   *
   * @param opener opens the link, also again after it was closed
   * @param words takes sentences for the person: how far it is, and what to do at the instrument
   */
  public InstrumentConformance(
      Opener opener, TimeSource time, InstrumentOptions options, Consumer<String> words) {
    this.options = options;
    this.words = words;
    this.with = new Dialogue(opener, time, new LineRate(options.baud()), witness, options.seed());
  }

  /**
   * Makes all checks; takes a minute and more, most of it spent waiting for what must not come.
   *
   * @throws LinkException if the link cannot be opened at all
   */
  public Report run() throws LinkException {
    with.open();
    try (with) {
      greet();
      ReadingChecks readings = new ReadingChecks(with, options, words);
      section("Hellos", () -> new HelloChecks(with, options.seed()).all());
      section("Lines", () -> new LineChecks(with).all());
      section("Requests", () -> new RequestChecks(with).all());
      section("Beats and silence", () -> new SilenceChecks(with).all());
      section("Readings", readings::all);
      section(
          "Acknowledgements",
          () -> new AcknowledgementChecks(with, readings, options, words).all());
      section("Restart", () -> new RestartChecks(with, options, words).all());
      notHeard(readings);
      if (readings.count() == 0 && gone.isEmpty()) {
        report.remark("No reading came: the rules about readings are not tested.");
      }
    }
    witness.tell(report);
    return report;
  }

  /** Returns all lines said and heard. */
  public List<String> transcript() {
    return new ArrayList<>(with.transcript());
  }

  /** What is looked at in passing has no check of its own to say why it was not seen. */
  private void notHeard(ReadingChecks readings) {
    String why = gone.isEmpty() ? readings.none() : gone;
    if (!why.isEmpty()) {
      report.open("every reading heard", List.of("L-20b", "L-21a", "L-22a", "L-33a"), why);
    }
    if (!gone.isEmpty()) {
      report.open("every text heard", List.of("L-31a"), gone);
    }
  }

  private void greet() {
    make(Check.of("the first hello is answered", "L-12b L-13a", () -> Reopening.greet(with)));
    if (!report.isConforming() && !with.hasSession()) {
      gone = "no hello was answered";
    }
  }

  private void section(String title, Supplier<List<Check>> checks) {
    if (gone.isEmpty()) {
      words.accept(title);
    }
    checks.get().forEach(this::make);
  }

  private void make(Check check) {
    if (!gone.isEmpty()) {
      report.open(check.name(), check.citations(), gone);
      return;
    }
    try {
      check.body().run();
      report.held(check.name(), check.citations());
    } catch (NotSeen e) {
      report.open(check.name(), check.citations(), String.valueOf(e.getMessage()));
    } catch (Broken e) {
      broken(check, e.citation(), String.valueOf(e.getMessage()));
    } catch (LinkException e) {
      broken(check, check.citations().get(0), "the link was lost meanwhile: " + e.getMessage());
      openAgain();
    }
  }

  private void broken(Check check, String citation, String sentence) {
    words.accept("  broken, %s: %s".formatted(check.name(), sentence));
    report.broken(check.name(), citation, sentence);
  }

  private void openAgain() {
    try {
      Reopening.of(with);
    } catch (Broken | LinkException e) {
      gone = "the link was lost: " + e.getMessage();
    }
  }
}
