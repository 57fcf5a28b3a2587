package org.tallywire.bridge;

import java.util.List;
import java.util.Set;

/** Date and time of day in lines of one shape, the first of each. */
final class GuessedTime {

  private String date = "";
  private String clock = "";

  /** Takes a date; returns its regular expression. */
  String date(Set<String> texts, List<String> remarks) {
    if (!date.isEmpty()) {
      return "[0-9./-]+";
    }
    String text = texts.iterator().next();
    char between = text.replaceAll("[0-9]", "").charAt(0);
    String year = text.substring(text.lastIndexOf(between) + 1).length() == 4 ? "yyyy" : "yy";
    date = between == '-' ? "yyyy-MM-dd" : "dd%1$cMM%1$c%2$s".formatted(between, year);
    remarks.add(
        "\"%s\" looks like a date, %s%s"
            .formatted(text, date, between == '-' ? "" : "; not sure: day or month first?"));
    return "(?<date>[0-9./-]+)";
  }

  /** Takes a time of day; returns its regular expression. */
  String clock(Set<String> texts, List<String> remarks) {
    if (!clock.isEmpty()) {
      return "[0-9:]+";
    }
    String text = texts.iterator().next();
    clock = text.length() > 5 ? "HH:mm:ss" : "HH:mm";
    remarks.add("\"%s\" looks like a time of day; not sure: in which zone?".formatted(text));
    return "(?<clock>[0-9:]+)";
  }

  /** Returns the line of a rule that says so; none without a time of day. */
  List<String> yaml() {
    if (clock.isEmpty()) {
      return List.of();
    }
    return List.of(
        "    time: {from: [%s], pattern: %s, zone: UTC, clock: free}"
            .formatted(
                date.isEmpty() ? "clock" : "date, clock",
                GuessText.quoted(date.isEmpty() ? clock : date + " " + clock)));
  }
}
