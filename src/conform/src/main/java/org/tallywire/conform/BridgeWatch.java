package org.tallywire.conform;

import java.util.HashMap;
import java.util.HashSet;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.regex.Pattern;
import org.tallywire.api.FrameException;
import org.tallywire.line.LineFramer;
import org.tallywire.line.LineMessage;

/**
 * Looks at every line the bridge sends, in whatever scenario: form, kind, request numbers, and that
 * nothing is acknowledged that was not sent. Used by one thread; what it found may be told by
 * another.
 */
final class BridgeWatch {

  /** The name of this check in a report. */
  static final String NAME = "the whole run";

  private static final List<String> RULES =
      List.of(
          "L-1a", "L-3a", "L-4a", "L-5a", "L-5b", "L-6a", "L-9a", "L-10a", "L-12a", "L-16a",
          "L-16c", "L-16e", "L-19a", "L-23a", "L-23c", "L-34a", "L-35c", "L-36a", "L-38");
  private static final Set<String> OTHERS = Set.of("ack", "beat");
  private static final Pattern REQUEST = Pattern.compile("[0-9]{1,9}");
  private static final Pattern CREDIT = Pattern.compile("[1-9]|[1-5][0-9]|6[0-4]");
  private static final int TOLD = 3;

  private final Map<String, Map<String, Finding>> found = new LinkedHashMap<>();
  private final Map<String, String> notes = new LinkedHashMap<>();
  private final Map<String, Long> said = new HashMap<>();
  private final Set<String> replaced = new HashSet<>();

  /** What was found, in which scenario first, and how often again. */
  private record Finding(String sentence, String scenario, int again) {

    String told() {
      String more = again == 0 ? "" : ", and %d times more".formatted(again);
      return "%s, in \"%s\"%s".formatted(sentence, scenario, more);
    }
  }

  private String scenario = "";
  private String boot = "";
  private boolean clock;
  private boolean opened;
  private boolean linesCame;
  private String openRequest = "";
  private String lastRequest = "";
  private String lastNumber = "";

  /** Takes note that another scenario begins. */
  void scenario(String name) {
    scenario = name;
  }

  /** Takes note of a new connection: its first line is {@code >hello}. */
  void connected() {
    opened = false;
    linesCame = false;
    lastRequest = "";
    anew();
  }

  /** Takes note of an answered hello. */
  void session(String newBoot, boolean canClock) {
    boot = newBoot;
    clock = canClock;
    said.putIfAbsent(newBoot, 0L);
  }

  /** Takes note that the readings up to a number were sent, undamaged. */
  void said(String ofBoot, long number) {
    said.merge(ofBoot, number, Math::max);
  }

  /** Takes note that the open request was answered. */
  void answered() {
    openRequest = "";
  }

  void heard(Talk.Heard heard) {
    if (heard instanceof Talk.Heard.Line line) {
      line(line.message(), line.text());
      linesCame = true;
    } else if (heard instanceof Talk.Heard.Fault fault && linesCame) {
      fault(fault.fault());
    }
  }

  /** Tells a report what was found, and which rules were kept all the time. */
  synchronized void tell(Report report) {
    found.forEach(
        (rule, findings) ->
            findings.values().stream()
                .limit(TOLD)
                .forEach(finding -> report.broken(NAME, rule, finding.told())));
    notes.forEach((sentence, rule) -> report.note(rule, sentence));
    report.held(NAME, RULES.stream().filter(rule -> !found.containsKey(rule)).toList());
  }

  /** Notes what should be otherwise and breaks no rule. */
  synchronized void note(String rule, String sentence) {
    notes.put(sentence, rule);
  }

  private void anew() {
    openRequest = "";
    replaced.clear();
  }

  private void fault(FrameException fault) {
    String rule =
        switch (fault.code()) {
          case FRAME_TOO_LONG -> "L-6a";
          case FRAME_CHECK -> "L-5a";
          case FRAME_SYNTAX -> "L-10a";
          default -> "L-1a";
        };
    found(rule, "the bridge sent what is no right line: " + fault.getMessage());
  }

  private void line(LineMessage message, String text) {
    if (message.mark() != '>') {
      found("L-3a", "the bridge sent a line with the start mark of an instrument: " + text);
      return;
    }
    String check = text.substring(text.length() - 4);
    if (check.chars().anyMatch(c -> c >= 'a' && c <= 'f')) {
      found("L-5b", "the check value is to be sent in upper case: " + text);
    }
    if (text.length() > LineFramer.LIMIT) {
      found("L-6a", "a line of %d bytes: %s".formatted(text.length(), text));
    }
    boolean request = Repeats.isRequest(message);
    if (!request && !OTHERS.contains(message.kind())) {
      found("L-36a", "a line of a kind that this protocol does not have: " + text);
    }
    if (!opened && !message.kind().equals("hello")) {
      found("L-12a", "the first line is to be >hello, and was " + text);
    }
    opened = true;
    if (request) {
      request(message, text);
    }
    switch (message.kind()) {
      case "send" -> send(message, text);
      case "ack" -> acknowledgement(message, text);
      case "clock" -> clock(text);
      default -> {
        // hello, channels and beat have nothing more to look at
      }
    }
  }

  private void request(LineMessage message, String text) {
    String number = message.fields().getOrDefault("req", "");
    if (!REQUEST.matcher(number).matches()) {
      found("L-16a", "a request needs req, 1 to 9 digits: " + text);
    }
    if (!text.equals(lastRequest) && number.equals(lastNumber)) {
      found(
          "L-16e",
          "the request before had req=%s too%s: %s"
              .formatted(number, lastRequest.isEmpty() ? ", on the link before" : "", text));
    }
    lastRequest = text;
    lastNumber = number;
    if (message.kind().equals("hello") && !text.equals(openRequest)) {
      anew();
    }
    if (replaced.contains(text)) {
      found(
          "L-16c", "two requests were open at once; this one was replaced, and repeated: " + text);
    }
    if (!openRequest.isEmpty() && !text.equals(openRequest)) {
      replaced.add(openRequest);
    }
    openRequest = text;
  }

  private void send(LineMessage message, String text) {
    if (!message.fields().getOrDefault("boot", "").equals(boot)) {
      found("L-19a", "the hello stated boot=%s: %s".formatted(boot, text));
    }
    if (!HeardFields.isWhole(message.fields().getOrDefault("after", ""), 0, Long.MAX_VALUE)) {
      found(
          isNumber(message, "after") ? "L-38" : "L-19a", "after is to be a whole number: " + text);
    }
    if (!CREDIT.matcher(message.fields().getOrDefault("credit", "")).matches()) {
      found("L-19a", "credit is to be 1 to 64: " + text);
    }
  }

  private void acknowledgement(LineMessage message, String text) {
    String number = message.fields().getOrDefault("seq", "");
    if (!message.fields().getOrDefault("boot", "").equals(boot)) {
      found(
          "L-23a", "acknowledged another boot id than the session's, %s: %s".formatted(boot, text));
    } else if (!HeardFields.isWhole(number, 0, Long.MAX_VALUE)) {
      found(isNumber(message, "seq") ? "L-38" : "L-23a", "seq is to be a whole number: " + text);
    } else if (Long.parseLong(number) > said.getOrDefault(boot, 0L)) {
      found(
          "L-23b",
          "acknowledged up to %s, and %d was the last that was sent undamaged: %s"
              .formatted(number, said.getOrDefault(boot, 0L), text));
    }
    if (!CREDIT.matcher(message.fields().getOrDefault("credit", "")).matches()) {
      found("L-35c", "credit is to be 1 to 64: " + text);
    }
  }

  private static boolean isNumber(LineMessage message, String key) {
    return message.fields().getOrDefault(key, "").matches("[+-]?[0-9]+");
  }

  private void clock(String text) {
    if (!clock) {
      found("L-34a", "asked for the clock of an instrument that does not say can=clock: " + text);
    }
  }

  private synchronized void found(String rule, String sentence) {
    found
        .computeIfAbsent(rule, r -> new LinkedHashMap<>())
        .merge(
            Faults.masked(sentence),
            new Finding(sentence, scenario, 0),
            (old, more) -> new Finding(old.sentence, old.scenario, old.again + 1));
  }
}
