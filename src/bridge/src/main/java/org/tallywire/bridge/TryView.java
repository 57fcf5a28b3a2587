package org.tallywire.bridge;

import java.io.Console;
import java.io.IOException;
import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.EnumMap;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.concurrent.TimeUnit;
import java.util.stream.Collectors;
import org.tallywire.api.Command;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Frame;
import org.tallywire.api.FrameException;
import org.tallywire.api.Instrument;
import org.tallywire.api.LinkException;
import org.tallywire.api.Reading;
import org.tallywire.api.TimeSource;
import org.tallywire.link.VisibleBytes;

/**
 * What goes over a line and what a driver makes of it: side by side on a terminal, else a line
 * each. Used by one thread.
 */
final class TryView {

  private static final int USUAL_WIDTH = 100;
  private static final int LEAST_WIDTH = 60;
  private static final int TIME_WIDTH = 10;
  private static final int WORD_WIDTH = 8;

  private final PrintStream out;
  private final TimeSource time;
  private final long begun;
  private final boolean sideBySide;
  private final int left;
  private final int right;
  private final List<String> wire = new ArrayList<>();
  private final List<String> made = new ArrayList<>();
  private final Map<FaultCode, Integer> faults = new EnumMap<>(FaultCode.class);
  private final Map<FaultCode, String> lastOf = new EnumMap<>(FaultCode.class);
  private final Map<String, Integer> unsent = new LinkedHashMap<>();
  private long bytes;
  private long sent;
  private int frames;
  private int readings;

  /**
   * @param width of the terminal; 0 for a line each
   */
  TryView(PrintStream out, TimeSource time, int width) {
    this.out = out;
    this.time = time;
    this.begun = time.nanos();
    this.sideBySide = width > 0;
    int both = Math.max(LEAST_WIDTH, width) - TIME_WIDTH - 3;
    this.left = both * 2 / 5;
    this.right = both - left - 1;
  }

  /** Looks whether there is a terminal, and how wide it is. */
  static TryView of(PrintStream out, TimeSource time) {
    return new TryView(out, time, Terminal.isThere() ? Terminal.width(USUAL_WIDTH) : 0);
  }

  int readings() {
    return readings;
  }

  void heading() {
    if (sideBySide) {
      row("seconds", "on the line (< came, > sent)", "what the driver makes of it");
    }
  }

  /** Bytes that came, {@code <}, or were sent, {@code >}. */
  void bytes(char way, byte[] all) {
    if (way == '<') {
      bytes += all.length;
    } else {
      sent += all.length;
      flush();
    }
    int from = 0;
    for (int i = 1; i <= all.length; i++) {
      if (i == all.length || all[i - 1] == '\n') {
        onWire(way + " " + VisibleBytes.text(all, from, i));
        from = i;
      }
    }
  }

  private void onWire(String text) {
    if (sideBySide) {
      wire.addAll(folded(text, left, "  "));
    } else {
      line(text);
    }
  }

  void frame(Frame frame) {
    if (frame.bytes().length > 0) {
      frames++;
      say("frame", VisibleBytes.text(frame.bytes(), 0, frame.bytes().length));
    }
  }

  void reading(Reading reading) {
    readings++;
    String values =
        reading.values().stream()
            .map(value -> value.quantity() + " " + Telling.inWords(value))
            .collect(Collectors.joining(", "));
    String labels =
        reading.labels().entrySet().stream()
            .map(label -> label.getKey() + "=" + label.getValue())
            .collect(Collectors.joining(" "));
    String number = reading.sequence().map(s -> "number %d ".formatted(s.number())).orElse("");
    String status = reading.status() == Reading.Status.OK ? "" : reading.status().word() + " ";
    String taken = reading.takenAt().map(at -> "taken " + at + " ").orElse("");
    say("value", "%s  %s".formatted(values, status + number + taken + labels).strip());
  }

  void identified(Instrument who) {
    String words = String.join(" ", who.maker(), who.model(), who.serial(), who.firmware()).strip();
    say("meter", words.isEmpty() ? "says nothing of itself" : words.replaceAll(" +", " "));
  }

  void fault(FrameException fault) {
    count(fault.code(), String.valueOf(fault.getMessage()));
    say("FAULT", "%s: %s".formatted(fault.code().word(), fault.getMessage()));
  }

  private void count(FaultCode code, String message) {
    faults.merge(code, 1, Integer::sum);
    lastOf.put(code, message);
  }

  void notSent(Command command) {
    String words =
        "%s (%s)"
            .formatted(
                VisibleBytes.text(command.bytes(), 0, command.bytes().length), command.words());
    unsent.merge(words, 1, Integer::sum);
    say("UNSENT", "it would measure: " + words);
  }

  /** The link is lost, or the recording at its end. */
  void down(LinkException e, boolean atEnd) {
    if (atEnd) {
      flush();
      line("the recording is at its end");
      return;
    }
    count(e.code(), String.valueOf(e.getMessage()));
    say("LINK", "%s: %s; opened again".formatted(e.code().word(), e.getMessage()));
    flush();
  }

  void broken(RuntimeException e) {
    say("BROKEN", "the driver threw %s; `tallywire driver check` may say more".formatted(e));
    flush();
  }

  /** Something that the driver says or does. */
  void say(String word, String sentence) {
    String text = ("%-" + WORD_WIDTH + "s").formatted(word) + Visible.text(sentence);
    if (sideBySide) {
      made.addAll(folded(text, right, " ".repeat(WORD_WIDTH)));
    } else {
      line(text);
    }
  }

  /** Shows what has come together. */
  void flush() {
    for (int i = 0; i < Math.max(wire.size(), made.size()); i++) {
      row(
          i == 0 ? seconds() : "",
          i < wire.size() ? wire.get(i) : "",
          i < made.size() ? made.get(i) : "");
    }
    wire.clear();
    made.clear();
    out.flush();
  }

  private String seconds() {
    return String.format(Locale.ROOT, "%.3f", (time.nanos() - begun) / 1e9);
  }

  private void line(String text) {
    out.printf("%s %s%n", seconds(), text);
  }

  private void row(String at, String onLine, String ofDriver) {
    String text = ("%" + TIME_WIDTH + "s  %-" + left + "s %s").formatted(at, onLine, ofDriver);
    out.println(text.stripTrailing());
  }

  private static List<String> folded(String text, int width, String indent) {
    List<String> rows = new ArrayList<>();
    String rest = text;
    while (rest.length() > width) {
      int blank = rest.lastIndexOf(' ', width);
      int to = blank > width / 2 ? blank : width;
      rows.add(rest.substring(0, to));
      rest = indent + rest.substring(to).stripLeading();
    }
    rows.add(rest);
    return rows;
  }

  /** Says how it went, and what to do about the most frequent fault. */
  void summary() {
    flush();
    int all = faults.values().stream().mapToInt(Integer::intValue).sum();
    out.printf(
        "%n%d bytes came and %d were sent: %d frames, %d readings, %d faults.%n",
        bytes, sent, frames, readings, all);
    unsent.forEach((words, times) -> out.printf("Not sent, %d times: %s%n", times, words));
    if (all == 0) {
      if (readings == 0) {
        out.println(
            bytes == 0
                ? "Nothing came: is the meter on, the cable right, and does it wait to be asked?"
                : "Bytes came and no reading: compare them with what the driver waits for.");
      }
      return;
    }
    FaultCode most =
        faults.entrySet().stream().max(Map.Entry.comparingByValue()).orElseThrow().getKey();
    out.printf(
        "Most frequent fault: %s, %d times; the last one: %s%nWhat to do: %s%n",
        most.word(),
        faults.getOrDefault(most, 0),
        Visible.text(lastOf.getOrDefault(most, "")),
        advice(most));
  }

  static String advice(FaultCode code) {
    return switch (code) {
      case LINK_SILENT ->
          "see that the meter is on and set to this interface; then compare speed, parity and line"
              + " end with its manual, and whether RX and TX are crossed.";
      case LINK_LOST -> "see whether the cable or adapter is loose, or another program took it.";
      case LINK_NOT_FOUND, LINK_FORBIDDEN, LINK_BUSY, LINK_REFUSED ->
          "do what the sentence says; `tallywire ports` lists the ports.";
      case FRAME_TOO_LONG ->
          "compare the line end with what comes: the driver has not seen it for a long time.";
      case FRAME_NOISE ->
          "if it was once at the beginning, nothing; else compare speed, data bits and parity.";
      case FRAME_CHECK ->
          "if every message has it, the check value is computed otherwise than the meter does; if"
              + " some have it, the cable is disturbed.";
      case FRAME_SYNTAX ->
          "compare the line in the fault with the driver's rules: write a rule that knows it, or one"
              + " that ignores it.";
      case OUT_OF_ORDER ->
          "the meter says something that nobody asked for, or in another order: look at its settings"
              + " (print or talk-only), or let the driver listen.";
      case INSTRUMENT_ERROR -> "look the refusal up in the meter's manual.";
      case VERSION_REFUSED, CONTRADICTION ->
          "the meter speaks another version of the language: bring one of the two up to date.";
    };
  }

  /** The terminal that the process may have. */
  static final class Terminal {

    private Terminal() {}

    static boolean isThere() {
      return console().isPresent() && System.getenv("TERM") != null;
    }

    /** Returns the console if there is a terminal at both ends; Java 22 has one without, too. */
    @SuppressWarnings("SystemConsoleNull")
    static Optional<Console> console() {
      Console console = System.console();
      if (console == null) {
        return Optional.empty();
      }
      try {
        Object terminal = Console.class.getMethod("isTerminal").invoke(console);
        return Boolean.FALSE.equals(terminal) ? Optional.empty() : Optional.of(console);
      } catch (ReflectiveOperationException e) {
        return Optional.of(console); // an older Java has none without a terminal
      }
    }

    /** Asks how wide it is; the usual width if nobody says. */
    static int width(int usual) {
      try {
        Process stty =
            new ProcessBuilder("stty", "size")
                .redirectInput(ProcessBuilder.Redirect.INHERIT)
                .redirectError(ProcessBuilder.Redirect.DISCARD)
                .start();
        if (!stty.waitFor(1, TimeUnit.SECONDS)) {
          stty.destroyForcibly();
          return usual;
        }
        String[] size =
            new String(stty.getInputStream().readAllBytes(), StandardCharsets.US_ASCII)
                .strip()
                .split(" ", -1);
        return size.length == 2 && size[1].matches("[1-9][0-9]{1,3}")
            ? Integer.parseInt(size[1])
            : usual;
      } catch (IOException e) {
        return usual; // a system without that program
      } catch (InterruptedException e) {
        Thread.currentThread().interrupt();
        return usual;
      }
    }
  }
}
