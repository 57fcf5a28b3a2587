package org.tallywire.conform;

import java.util.ArrayList;
import java.util.List;
import java.util.function.Consumer;
import org.tallywire.api.LinkException;
import org.tallywire.api.TimeSource;

/**
 * Holds an instrument against the rules of the line protocol: plays a strict bridge, first with
 * requests alone, then with readings that a person takes. Used once, by one thread; another may
 * stop it.
 */
public final class InstrumentConformance {

  private static final String LEFT_OUT = "not played: left out by --only";

  private final InstrumentOptions options;
  private final Consumer<String> words;
  private final Witness witness;
  private final Dialogue with;
  private final Report report = new Report(Rule.Side.INSTRUMENT);
  private final ReadingChecks readings;
  private final List<Section> sections;
  private String gone = "";
  private boolean stopped;

  /** Checks that belong together. */
  private record Section(String title, List<Check> checks) {

    boolean isAboutReadings() {
      return title.equals("Readings") || title.equals("Acknowledgements");
    }
  }

  /**
   * Makes one; nothing is opened yet.
   *
   * @param opener opens the link, also again after it was closed
   * @param words takes sentences for the person: how far it is, and what to do at the instrument
   * @param said takes each line as it is said or heard, with the seconds since the start
   */
  public InstrumentConformance(
      Opener opener,
      TimeSource time,
      InstrumentOptions options,
      Consumer<String> words,
      Consumer<String> said) {
    this.options = options;
    this.words = words;
    this.witness = new Witness(options.baud() > 0);
    LineRate rate = new LineRate(options.baud());
    this.with = new Dialogue(opener, time, rate, witness, options.seed(), said);
    this.readings = new ReadingChecks(with, options, words);
    this.sections =
        List.of(
            new Section("Hellos", new HelloChecks(with, options.seed()).all()),
            new Section("Lines", new LineChecks(with).all()),
            new Section("Requests", new RequestChecks(with).all()),
            new Section("Beats and silence", new SilenceChecks(with).all()),
            new Section("Readings", readings.all()),
            new Section(
                "Acknowledgements",
                new AcknowledgementChecks(with, readings, options, words).all()),
            new Section("Restart", new RestartChecks(with, options, words).all()));
  }

  /** Returns the checks that the options let be played, one a line, with the rules they cite. */
  public List<String> names() {
    return sections.stream()
        .flatMap(section -> section.checks().stream())
        .filter(this::isMeant)
        .map(check -> "%s (%s)".formatted(check.name(), String.join(", ", check.citations())))
        .toList();
  }

  /**
   * Makes all checks; takes a minute and more, most of it spent waiting for what must not come.
   *
   * @throws LinkException if the link cannot be opened at all
   */
  public Report run() throws LinkException {
    with.open();
    try (with) {
      make(Check.of("the first hello is answered", "L-12b L-13a", () -> Reopening.greet(with)));
      if (gone.isEmpty() && !report.isConforming() && !with.hasSession()) {
        gone = "not reached: no hello was answered";
      }
      sections.forEach(this::make);
      notHeard();
    }
    witness.tell(report);
    return report;
  }

  /** Lets {@link #run} end soon and report what was found until then; for any thread. */
  public void stop() {
    with.stop();
  }

  /** Tells whether it was stopped before all was looked at. */
  public boolean isStopped() {
    return stopped;
  }

  /** Tells whether readings were waited for in vain, so that most rules about them are untested. */
  public boolean isTooLittle() {
    return gone.isEmpty() && needsReadings() && readings.count() == 0;
  }

  /** Returns all lines said and heard. */
  public List<String> transcript() {
    return new ArrayList<>(with.transcript());
  }

  private boolean isMeant(Check check) {
    return options.only().isEmpty() || check.isMeant(options.only());
  }

  private boolean needsReadings() {
    return sections.stream()
        .filter(Section::isAboutReadings)
        .anyMatch(section -> section.checks().stream().anyMatch(this::isMeant));
  }

  /** What another check that is meant rests on is played as well. */
  private boolean isPlayed(Section section, Check check) {
    return isMeant(check)
        || (check.name().equals(ReadingChecks.COLLECT) && needsReadings())
        || (check.name().equals(RequestChecks.CHANNELS) && needsReadings())
        || (check.name().equals(RestartChecks.RESTART)
            && section.checks().stream().anyMatch(this::isMeant));
  }

  /** What is looked at in passing has no check of its own to say why it was not seen. */
  private void notHeard() {
    String why = !gone.isEmpty() ? gone : needsReadings() ? readings.none() : LEFT_OUT;
    if (!why.isEmpty()) {
      report.open("every reading heard", List.of("L-20b", "L-21a", "L-22a", "L-33a"), why);
    }
    if (!gone.isEmpty()) {
      report.open("every text heard", List.of("L-31a"), gone);
    }
    if (isTooLittle()) {
      report.remark(
          "No reading came, so too little was tested: the rules about readings are not tested.");
    }
    if (stopped) {
      report.remark("It was stopped before all was looked at.");
    }
  }

  private void make(Section section) {
    if (gone.isEmpty() && section.checks().stream().anyMatch(c -> isPlayed(section, c))) {
      words.accept(section.title());
    }
    for (Check check : section.checks()) {
      if (isPlayed(section, check)) {
        make(check);
      } else {
        report.open(check.name(), check.citations(), LEFT_OUT);
      }
    }
  }

  private void make(Check check) {
    if (!gone.isEmpty()) {
      report.open(check.name(), check.citations(), gone);
      return;
    }
    try {
      play(check);
    } catch (Dialogue.Stopped e) {
      stopped = true;
      gone = "not reached: it was stopped before";
      report.open(check.name(), check.citations(), gone);
    }
  }

  private void play(Check check) {
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
      gone = "not reached: the link was lost: " + e.getMessage();
    }
  }
}
