package org.tallywire.report;

import java.util.List;

/** Writes XHTML in which whatever is said is text, never markup. Used by one thread. */
final class Markup {

  private final StringBuilder out = new StringBuilder();

  /** Returns text that is text in an element and in a quoted attribute, whatever it holds. */
  static String escaped(String text) {
    return text.replaceAll("[\\p{Cc}\\p{Cf}\\p{Cs}\\p{Co}\\p{Cn}\\p{Zl}\\p{Zp}]", "?")
        .replace("&", "&amp;")
        .replace("<", "&lt;")
        .replace(">", "&gt;")
        .replace("\"", "&quot;")
        .replace("'", "&#39;");
  }

  /** Returns text as a string of CSS, whatever it holds. */
  static String css(String text) {
    StringBuilder string = new StringBuilder("\"");
    text.codePoints()
        .forEach(
            c -> {
              if (Character.isISOControl(c)) {
                string.append('?');
              } else if ("\"\\<>&'".indexOf(c) >= 0) {
                string.append("\\%06x ".formatted(c)); // the blank ends the number
              } else {
                string.appendCodePoint(c);
              }
            });
    return string.append('"').toString();
  }

  /** Adds what is markup already: ours alone. */
  Markup raw(String markup) {
    out.append(markup);
    return this;
  }

  /** Adds text; what no-break spaces join stays on one line, a unit such as °C included. */
  Markup text(String text) {
    out.append(escaped(text).replaceAll("[^ ]*\u00a0[^ ]*", "<span class=\"joined\">$0</span>"));
    return this;
  }

  Markup open(String element) {
    return open(element, "");
  }

  Markup open(String element, String style) {
    out.append('<').append(element);
    if (!style.isEmpty()) {
      out.append(" class=\"").append(style).append('"');
    }
    out.append('>');
    return this;
  }

  Markup close(String element) {
    out.append("</").append(element).append(">\n");
    return this;
  }

  /** Adds an element that holds text. */
  Markup element(String element, String style, String text) {
    return open(element, style).text(text).close(element);
  }

  Markup paragraph(String text) {
    return element("p", "", text);
  }

  /** Adds a list of sentences, unless there is none. */
  Markup list(List<String> sentences) {
    if (!sentences.isEmpty()) {
      open("ul");
      sentences.forEach(sentence -> element("li", "", sentence));
      close("ul");
    }
    return this;
  }

  /** Adds a heading of a table, on the next page unless some rows fit below it. */
  Markup heading(String element, String text) {
    return raw("<div class=\"room\"></div>\n").element(element, "", text);
  }

  /** Begins a table with a head that is repeated on every page. */
  Markup table(String style, String... columns) {
    open("table", style).open("thead").open("tr");
    for (String column : columns) {
      element("th", "", column);
    }
    return close("tr").close("thead").open("tbody");
  }

  Markup row(String... cells) {
    open("tr");
    for (String cell : cells) {
      element("td", "", cell);
    }
    return close("tr");
  }

  Markup endTable() {
    return close("tbody").close("table");
  }

  /** Adds a table of words and what they say. */
  Markup facts(List<java.util.Map.Entry<String, String>> facts) {
    open("table", "facts").open("tbody");
    for (java.util.Map.Entry<String, String> fact : facts) {
      open("tr").element("th", "", fact.getKey()).element("td", "", fact.getValue()).close("tr");
    }
    return endTable();
  }

  @Override
  public String toString() {
    return out.toString();
  }
}
