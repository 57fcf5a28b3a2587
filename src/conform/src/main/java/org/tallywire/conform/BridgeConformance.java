package org.tallywire.conform;

import java.time.Duration;
import java.util.List;
import java.util.Locale;
import java.util.function.Consumer;
import java.util.stream.Stream;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Link;
import org.tallywire.api.LinkException;
import org.tallywire.api.TimeSource;

/**
 * Tells whether a bridge keeps the rules of the line protocol: plays an instrument to it that is
 * slow, damaged, restarted and wrong, one scenario after the other, and judges what the bridge
 * says. Sees the line alone, so not what the bridge puts on its disk.
 */
public final class BridgeConformance {

  private static final Duration NEW_LINK = Duration.ofSeconds(15);
  private static final int ATTEMPTS = 3;
  private static final String UNSEEN_DISK =
      "that an acknowledgement comes after the disk is not seen on the line";

  private final BridgeLinks links;
  private final BridgeTranscript transcript;
  private final BridgeWatch watch = new BridgeWatch();
  private final Report report = new Report(Rule.Side.BRIDGE);
  private final Options options;
  private final LineRate rate;
  private final Consumer<String> progress;
  private final String run;

  private int boots;
  private boolean gone;
  private boolean usual = true;

  /**
   * Makes one; nothing is opened yet.
   *
   * @param source gives the links to the bridge
   * @param progress takes a line for each scenario
   * @param transcript takes every line said and heard
   */
  public BridgeConformance(
      Source source,
      TimeSource time,
      Options options,
      Consumer<String> progress,
      Consumer<String> transcript) {
    this.transcript = new BridgeTranscript(transcript);
    this.links = new BridgeLinks(source, time, this.transcript);
    this.options = options;
    this.rate = new LineRate(options.baud);
    this.progress = progress;
    this.run = Long.toString(time.now().toEpochMilli(), Character.MAX_RADIX);
  }

  /** Gives links to the bridge under test. */
  public interface Source {

    /**
     * Waits for the next link, which the bridge opens; the one before is closed.
     *
     * @throws LinkException if none came in the time
     */
    Link next(Duration within) throws LinkException;

    /** Tells whether it is seen here when the bridge closes its end; on a serial line it is not. */
    boolean showsClosing();
  }

  /**
   * How to play.
   *
   * @param baud the speed of a serial line; 0 over TCP
   * @param only words of which one stands in the name of a scenario to play, or is a rule of it;
   *     none: all
   * @param firstWait how long to wait for the bridge to come for the first time
   */
  public record Options(int baud, List<String> only, Duration firstWait) {

    /** Keeps a copy. */
    public Options {
      only = List.copyOf(only);
    }
  }

  /**
   * Plays.
   *
   * @throws LinkException if the bridge never came
   */
  public Report run() throws LinkException {
    try (links) {
      links.renew(options.firstWait);
      boolean first = true;
      for (Scenario scenario : scenarios()) {
        watch.scenario(scenario.name());
        transcript.heading(scenario.name());
        play(scenario, first);
        first = false;
      }
    }
    watch.tell(report);
    report.open(BridgeWatch.NAME, List.of("L-23b"), UNSEEN_DISK);
    return report;
  }

  /** Returns the names of the scenarios that would be played. */
  public List<String> names() {
    return scenarios().stream().map(Scenario::name).toList();
  }

  private List<Scenario> scenarios() {
    return Stream.of(
            OpeningScenarios.all(),
            RequestScenarios.all(),
            ErrorScenarios.all(),
            ChannelScenarios.all(),
            ReadingScenarios.all(),
            UnreadableScenarios.all(),
            GapScenarios.all(),
            DamageScenarios.all(),
            LivenessScenarios.all())
        .flatMap(List::stream)
        .filter(this::isWanted)
        .toList();
  }

  private boolean isWanted(Scenario scenario) {
    return options.only.isEmpty()
        || options.only.stream()
            .anyMatch(
                word ->
                    scenario.name().toLowerCase(Locale.ROOT).contains(word.toLowerCase(Locale.ROOT))
                        || scenario.rules().stream()
                            .anyMatch(r -> r.equals(word) || r.matches(word + "[a-z]")));
  }

  private void play(Scenario scenario, boolean first) {
    String name = scenario.name();
    if (gone) {
      report.open(name, scenario.rules(), "not played, the bridge did not come again");
      return;
    }
    try {
      PlayedInstrument instrument = meet(name, first);
      scenario.play().play(instrument);
      report.held(name, scenario.rules());
      progress.accept("kept      " + name);
    } catch (Broken e) {
      broken(name, e.citation(), String.valueOf(e.getMessage()));
    } catch (NotSeen e) {
      report.open(name, scenario.rules(), String.valueOf(e.getMessage()));
      progress.accept("not seen  %s: %s".formatted(name, e.getMessage()));
    } catch (LinkException e) {
      broken(name, scenario.rules().get(0), "the bridge need not have closed the link");
    }
  }

  private void broken(String name, String citation, String sentence) {
    report.broken(name, citation, sentence);
    progress.accept("BROKEN    %s: %s: %s".formatted(name, citation, sentence));
    transcript.last().forEach(line -> progress.accept("            " + line));
    if (links.showClosing()) {
      links.close();
    }
  }

  /** Begins a scenario: by {@code !start} on an open link, or on a new one. */
  private PlayedInstrument meet(String name, boolean first) throws Broken {
    boolean startIsHeard = true;
    for (int attempt = 0; attempt < ATTEMPTS; attempt++) {
      try {
        boolean byStart = links.isOpen() && !(first && links.showClosing());
        if (!links.isOpen()) {
          renew();
          byStart = startIsHeard && (!links.showClosing() || (usual && goesAsUsual()));
        }
        PlayedInstrument instrument = new PlayedInstrument(links, watch, rate, boot());
        try {
          instrument.meet(byStart);
          return instrument;
        } catch (Broken e) {
          if (!byStart) {
            throw e;
          }
          startIsHeard = false;
          broken(name, e.citation(), String.valueOf(e.getMessage()));
        }
      } catch (LinkException e) {
        links.close(); // it was closed behind our back; the next one is waited for
      }
    }
    throw new Broken("L-12a", "the bridge opened the link and closed it before its >hello");
  }

  /**
   * Lets a new link begin with a reading that is recorded, so that the bridge's pause before the
   * next link starts anew; tells whether it was.
   */
  private boolean goesAsUsual() throws LinkException {
    PlayedInstrument instrument = new PlayedInstrument(links, watch, rate, boot());
    try {
      instrument.meet(false);
      instrument.first("L-23a");
      return true;
    } catch (Broken e) {
      usual = false; // the scenarios tell of it
      throw new LinkException(FaultCode.LINK_LOST, "not as usual", e);
    }
  }

  private void renew() throws Broken {
    try {
      links.renew(NEW_LINK);
    } catch (LinkException e) {
      gone = true;
      throw new Broken(
          "L-29d",
          "the bridge did not open the link again within %d s".formatted(NEW_LINK.toSeconds()));
    }
  }

  private String boot() {
    boots++;
    return "%s-%d".formatted(run, boots);
  }
}
