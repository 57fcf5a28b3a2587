package org.tallywire.conform;

import java.util.HashMap;
import java.util.HashSet;
import java.util.Map;
import java.util.Set;
import org.jspecify.annotations.Nullable;
import org.tallywire.api.FaultCode;
import org.tallywire.line.LineMessage;

/**
 * Looks at every line of the whole run, whatever is being checked at the time: its form, its
 * fields, that it answers something that was asked. Used by one thread.
 */
final class Witness {

  private static final String FORM = "every line heard is of the grammar, with its check value";
  private static final String MARK = "every line has the mark of an instrument";
  private static final String UPPER = "every check value is in upper case";
  private static final String LENGTH = "no line is longer than 240 bytes";
  private static final String ANSWERS = "every answer repeats the number of a request";
  private static final String BOOT = "every line has the boot id of the hello";

  private final Notes notes = new Notes();
  private final HeardRules rules = new HeardRules(notes);
  private final Set<String> asked = new HashSet<>();
  private final Map<String, Broken> notToBeAnswered = new HashMap<>();
  private @Nullable Delivered delivered;
  private String boot = "";
  private final boolean serial;
  private String inPlace = "";
  private int rank = -1;
  private int starts;
  private boolean first = true;

  /**
   * Has heard nothing yet.
   *
   * @param serial whether the line has a speed, which may be wrong
   */
  Witness(boolean serial) {
    this.serial = serial;
  }

  /** The link was opened, or the instrument switched on: we may have come in mid-line. */
  void opened() {
    first = true;
  }

  /** We say a right line. */
  void said(LineMessage said, long at) {
    said.text("req").ifPresent(asked::add);
    Delivered now = delivered;
    if (now != null && said.kind().equals("send")) {
      now.asked(said);
    } else if (now != null && said.kind().equals("ack")) {
      now.acknowledged(said, at);
    }
  }

  /** An answer to this request is looked at by the check that provokes it. */
  void mayBeAnswered(String request) {
    asked.add(request);
  }

  /** From now on an answer to this request is a broken rule, however late it comes. */
  void mustNotBeAnswered(String request, Broken why) {
    notToBeAnswered.put(request, why);
  }

  /** The hello of a new session was answered; the boot id is the one to expect. */
  void greeted(String bootId, long store) {
    if (delivered == null || !bootId.equals(boot)) {
      delivered = new Delivered(notes, store);
    }
    delivered.greeted();
    boot = bootId;
  }

  /** Returns what came in place of the first answer, in words. */
  String heardSoFar() {
    return rank < 0 ? "nothing at all was heard" : "in its place came " + inPlace;
  }

  /** Returns how often {@code !start} was heard. */
  int starts() {
    return starts;
  }

  void heard(Talk.Heard heard) {
    if (delivered == null) {
      inPlace(heard);
    }
    if (heard instanceof Talk.Heard.Line whole) {
      starts += whole.message().mark() == '!' && whole.message().kind().equals("start") ? 1 : 0;
      line(whole.message(), whole.text(), whole.at());
      first = false;
    } else if (heard instanceof Talk.Heard.Fault fault) {
      if (!first) {
        fault(fault);
      }
      first = false;
    }
  }

  /** Keeps the first of what is most like an answer, and why it is none. */
  private void inPlace(Talk.Heard heard) {
    if (heard instanceof Talk.Heard.Line line) {
      String req = line.message().text("req").orElse("");
      switch (line.message().mark()) {
        case '<' ->
            inPlace(
                3,
                line.text(),
                asked.contains(req)
                    ? "an answer of another kind"
                    : req.isEmpty()
                        ? "it does not repeat the req that was asked with"
                        : "it repeats req=%s, which was not asked".formatted(req));
        case '!' -> inPlace(0, line.text(), "no answer, it begins with !, not with <");
        default -> inPlace(1, line.text(), "our own line: is it echoed?");
      }
    } else if (heard instanceof Talk.Heard.Fault fault) {
      String bytes = Lines.shown(fault.fault().bytes());
      int like = bytes.startsWith("<") ? 3 : bytes.contains("<") ? 2 : 1;
      inPlace(like, bytes, fault.fault().getMessage() + hint(fault));
    }
  }

  private void inPlace(int like, String what, String why) {
    if (like > rank) {
      rank = like;
      inPlace = "%s (%s)".formatted(what, why);
    }
  }

  private String hint(Talk.Heard.Fault fault) {
    String cause = WrongCheck.cause(fault.fault().bytes());
    boolean strange = cause.isEmpty() && serial && fault.fault().code() != FaultCode.FRAME_SYNTAX;
    return strange ? "; is the speed right?" : cause;
  }

  Delivered delivered() {
    if (delivered == null) {
      throw new IllegalStateException("no hello yet");
    }
    return delivered;
  }

  void tell(Report report) {
    notes.tell(report);
  }

  private void line(LineMessage message, String text, long at) {
    if (message.mark() == '>') {
      notes.broken(
          MARK, "L-3a", "an instrument's line begins with < or !; is our line echoed? " + text);
      return;
    }
    notes.held(FORM, "L-1a", "L-2a", "L-4a", "L-5a", "L-9a", "L-10a");
    notes.held(MARK, "L-3a");
    String digits = text.substring(text.length() - 4);
    if (digits.matches(".*[a-f].*")) {
      notes.broken(UPPER, "L-5b", "the check value has lower-case digits: " + text);
    }
    notes.held(UPPER, "L-5b");
    notes.held(LENGTH, "L-6a");
    rules.heard(message, text);
    if (message.mark() == '<') {
      answer(message, text);
    }
    boot(message, text);
    deliver(message, text, at);
  }

  private void answer(LineMessage message, String text) {
    String request = message.text("req").orElse("");
    Broken late = notToBeAnswered.get(request);
    if (late != null) {
      notes.broken("late answers", late.citation(), late.getMessage() + "; late came " + text);
    } else if (!asked.contains(request)) {
      notes.broken(
          ANSWERS, "L-16a", "an answer without the number of any request of ours: " + text);
    } else {
      notes.held(ANSWERS, "L-16a");
    }
  }

  private void boot(LineMessage message, String text) {
    String theirs = message.text("boot").orElse(boot);
    if (!boot.isEmpty() && message.mark() == '!' && !theirs.equals(boot)) {
      if (!message.kind().equals("start")) {
        notes.broken(BOOT, "L-14a", "the hello said boot=%s: %s".formatted(boot, text));
      }
    }
  }

  private void deliver(LineMessage message, String text, long at) {
    Delivered now = delivered;
    if (now == null) {
      return; // of a session before ours
    }
    switch (message.mark() + message.kind()) {
      case "<ok" -> now.ok(message, text, at);
      case "!reading", "!lost" -> now.came(message, text, at);
      case "!beat" -> {
        String last = message.fields().getOrDefault("last", "");
        if (HeardFields.isWhole(last, 0, Long.MAX_VALUE)) {
          now.toldLast(Long.parseLong(last));
        }
      }
      default -> {}
    }
  }

  private void fault(Talk.Heard.Fault heard) {
    FaultCode code = heard.fault().code();
    String bytes = Lines.shown(heard.fault().bytes());
    String cause = code == FaultCode.FRAME_CHECK ? WrongCheck.cause(heard.fault().bytes()) : "";
    String what = "%s%s: %s".formatted(heard.fault().getMessage(), cause, bytes);
    switch (code) {
      case FRAME_TOO_LONG -> notes.broken(LENGTH, "L-6a", what);
      case FRAME_SYNTAX ->
          notes.broken(
              FORM,
              what.contains("stands twice") ? "L-10a" : isEscape(what) ? "L-9a" : "L-1a",
              what);
      case FRAME_CHECK -> notes.broken(FORM, isPrintable(heard) ? "L-5a" : "L-4a", what);
      default -> notes.broken(FORM, "L-1a", what);
    }
  }

  private static boolean isEscape(String what) {
    return what.contains("hexadecimal digits") || what.contains("not UTF-8");
  }

  private static boolean isPrintable(Talk.Heard.Fault heard) {
    for (byte b : heard.fault().bytes()) {
      if (b < 0x20 || b > 0x7E) {
        return false;
      }
    }
    return true;
  }
}
