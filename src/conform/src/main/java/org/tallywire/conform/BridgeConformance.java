package org.tallywire.conform;

import java.time.Duration;
import java.util.HashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.concurrent.atomic.AtomicInteger;
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
  private static final int TRIES = 3;
  private static final String UNSEEN_DISK =
      "that an acknowledgement comes after the disk is not seen on the line";
  private static final String UNSEEN_RECORD =
      "that a reading against it was declared, and not recorded, is not seen on the line";
  private static final String LOST = "the link was lost";

  private final BridgeLinks links;
  private final BridgeTranscript transcript;
  private final BridgeWatch watch = new BridgeWatch();
  private final Report report = new Report(Rule.Side.BRIDGE);
  private final Options options;
  private final LineRate rate;
  private final Consumer<String> progress;
  private final String run;

  private int boots;
  private final Map<String, Integer> told = new HashMap<>();

  /** Why no more is played, or empty. */
  private String over = "";

  private boolean watchTold;
  private final AtomicInteger begun = new AtomicInteger();
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
    this.transcript = new BridgeTranscript(transcript, time);
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
   * Plays: the conversation without any fault first, and the others if that is kept.
   *
   * @throws LinkException if the bridge never came
   */
  public Report run() throws LinkException {
    try (links) {
      links.renew(options.firstWait);
      Scenario plain = all().get(0);
      boolean kept = play(plain, true);
      for (int tries = 1; !kept && over.isEmpty() && tries < TRIES; tries++) {
        kept = play(plain, false);
      }
      if (!kept && over.isEmpty()) {
        over = "not played: stopped after the first conversation";
        progress.accept(
            "stopped: %s is to be kept first, and failed %d times".formatted(plain.name(), TRIES));
      }
      for (Scenario scenario : all().subList(1, all().size())) {
        begun.incrementAndGet();
        if (!isWanted(scenario, options.only)) {
          report.open("", scenario.rules(), "not played: left out by --only");
        } else if (over.isEmpty()) {
          play(scenario, false);
        } else {
          report.open("", scenario.rules(), over);
        }
      }
    }
    return soFar();
  }

  /** Returns what was found so far; may be called by another thread, to tell it at the end. */
  public Report soFar() {
    synchronized (report) {
      if (!watchTold) {
        watchTold = true;
        watch.tell(report);
        all().stream()
            .skip(begun.get() + 1L)
            .forEach(s -> report.open("", s.rules(), "not played: the run was stopped"));
        report.limit(List.of("L-23b"), UNSEEN_DISK);
        report.limit(List.of("L-20d", "L-22a"), UNSEEN_RECORD);
      }
    }
    return report;
  }

  /**
   * Returns the scenarios with their rules.
   *
   * @param only words as in {@link Options}
   */
  public static List<String> names(List<String> only) {
    return all().stream()
        .filter(scenario -> isWanted(scenario, only))
        .map(s -> "%s  [%s]".formatted(s.name(), String.join(" ", s.rules())))
        .toList();
  }

  private static List<Scenario> all() {
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
        .toList();
  }

  private static boolean isWanted(Scenario scenario, List<String> only) {
    return only.isEmpty()
        || only.stream()
            .map(word -> word.toLowerCase(Locale.ROOT))
            .anyMatch(
                word ->
                    scenario.name().toLowerCase(Locale.ROOT).contains(word)
                        || scenario.rules().stream().anyMatch(rule -> isOf(rule, word)));
  }

  private static boolean isOf(String rule, String word) {
    String small = rule.toLowerCase(Locale.ROOT);
    return small.equals(word) || Rule.idOf(small).equals(word);
  }

  /** Plays a scenario; tells whether all that it asks for was kept. */
  private boolean play(Scenario scenario, boolean first) {
    String name = scenario.name();
    watch.scenario(name);
    transcript.heading(name);
    try {
      PlayedInstrument instrument = meet(name, first);
      scenario.play().play(instrument);
      report.held(name, scenario.rules());
      progress.accept("kept      " + name);
      return true;
    } catch (Broken e) {
      broken(name, e.citation(), String.valueOf(e.getMessage()));
    } catch (NotSeen e) {
      report.open(name, scenario.rules(), String.valueOf(e.getMessage()));
      progress.accept("not seen  %s: %s".formatted(name, e.getMessage()));
    } catch (LinkException e) {
      lost(name, scenario.rules().get(0), String.valueOf(e.getMessage()));
    }
    return false;
  }

  /** A link that is lost where nothing calls for closing it breaks each rule, and is told once. */
  private void lost(String name, String citation, String why) {
    boolean before = told.containsKey(LOST);
    report.broken(name, citation, before ? LOST + ", as before" : LOST + ": " + why);
    tell(name, LOST, "%s: %s: %s".formatted(citation, LOST, why));
  }

  private void broken(String name, String citation, String sentence) {
    report.broken(name, citation, sentence);
    String told = "%s: %s".formatted(citation, sentence);
    tell(name, Faults.masked(told), told);
  }

  private void tell(String name, String fault, String sentence) {
    int times = told.merge(fault, 1, Integer::sum);
    if (times == 1) {
      progress.accept("BROKEN    %s: %s".formatted(name, sentence));
      transcript.excerpt().forEach(line -> progress.accept("            " + line));
    } else if (times == 2) {
      progress.accept("BROKEN    %s: as before; from here on only counted".formatted(name));
    }
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
      over = "not played: the bridge did not come again";
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
