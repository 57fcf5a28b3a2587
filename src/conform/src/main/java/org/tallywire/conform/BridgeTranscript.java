package org.tallywire.conform;

import java.util.ArrayDeque;
import java.util.ArrayList;
import java.util.Deque;
import java.util.List;
import java.util.function.Consumer;
import java.util.regex.Pattern;
import org.tallywire.api.TimeSource;

/**
 * Hands on what was said and heard, with the seconds since the start, under the names of the
 * scenarios; keeps what a fault is shown with. Used by one thread.
 */
final class BridgeTranscript {

  private static final int LAST = 6;
  private static final int KEPT = 200;
  private static final Pattern BEAT = Pattern.compile("^(kit {4}!beat|other {2}>beat)\\b");

  private final Consumer<String> lines;
  private final TimeSource time;
  private final long begun;
  private final Deque<String> recent = new ArrayDeque<>();

  private String issue = "";
  private int beats;

  BridgeTranscript(Consumer<String> lines, TimeSource time) {
    this.lines = lines;
    this.time = time;
    this.begun = time.nanos();
  }

  void heading(String name) {
    lines.accept("== " + name);
    recent.clear();
    issue = "";
    beats = 0;
  }

  void opened() {
    line("(a link was opened)");
  }

  /** Takes a line as it is said or heard. */
  void line(String line) {
    lines.accept(Lines.timed(time.nanos() - begun, line));
    if (BEAT.matcher(line).find()) {
      beats++;
      return;
    }
    recent.add(line);
    if (recent.size() > KEPT) {
      recent.remove();
    }
  }

  /** Takes note that the last line is the one that the scenario is about. */
  void atIssue() {
    issue = recent.isEmpty() ? "" : recent.getLast();
  }

  /** Returns the line at issue, and the last ones but beats. */
  List<String> excerpt() {
    List<String> shown = new ArrayList<>();
    List<String> last = new ArrayList<>(recent);
    if (!issue.isEmpty()) {
      shown.add("at issue  " + issue);
      if (!last.isEmpty() && last.get(last.size() - 1).equals(issue)) {
        last.remove(last.size() - 1);
      }
    }
    last.subList(Math.max(0, last.size() - LAST), last.size())
        .forEach(line -> shown.add("          " + line));
    if (beats > 0) {
      shown.add("          (and %d beats, not shown)".formatted(beats));
    }
    return shown;
  }
}
