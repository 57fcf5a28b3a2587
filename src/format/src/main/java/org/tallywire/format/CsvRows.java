package org.tallywire.format;

import java.util.ArrayList;
import java.util.List;

/**
 * Reads CSV by RFC 4180, its line ends CRLF, LF or CR. Places are told by the line of the text and
 * the column of the table.
 */
final class CsvRows {

  /**
   * A row.
   *
   * @param line on which it begins, from 1
   */
  record Row(int line, List<String> cells) {

    boolean blank() {
      return cells.stream().allMatch(String::isBlank);
    }
  }

  private final String name;
  private final String text;
  private final char separator;
  private final List<Row> rows = new ArrayList<>();
  private List<String> cells = new ArrayList<>();
  private int at;
  private int line = 1;
  private int rowLine = 1;

  private CsvRows(String name, String text, char separator) {
    this.name = name;
    this.text = text.startsWith("\uFEFF") ? text.substring(1) : text;
    this.separator = separator;
  }

  /**
   * Reads all rows of a text.
   *
   * @param name of the file, for messages
   * @throws SetupException at the first place where the quotes are wrong
   */
  static List<Row> read(String name, String text, char separator) throws SetupException {
    CsvRows reader = new CsvRows(name, text, separator);
    while (reader.at < reader.text.length()) {
      reader.cell();
    }
    if (!reader.cells.isEmpty()) {
      reader.endRow();
    }
    return reader.rows;
  }

  private void cell() throws SetupException {
    cells.add(text.charAt(at) == '"' ? quoted() : bare());
    if (at == text.length()) {
      endRow();
    } else if (text.charAt(at) == separator) {
      at++;
      if (at == text.length()) {
        cells.add("");
        endRow();
      }
    } else {
      endOfLine();
      endRow();
    }
  }

  private void endRow() {
    rows.add(new Row(rowLine, List.copyOf(cells)));
    cells = new ArrayList<>();
    rowLine = line;
  }

  private void endOfLine() {
    if (text.charAt(at) == '\r' && at + 1 < text.length() && text.charAt(at + 1) == '\n') {
      at++;
    }
    at++;
    line++;
  }

  private boolean atEndOfLine() {
    return text.charAt(at) == '\r' || text.charAt(at) == '\n';
  }

  private String bare() throws SetupException {
    int from = at;
    while (at < text.length() && text.charAt(at) != separator && !atEndOfLine()) {
      if (text.charAt(at) == '"') {
        throw wrong("a quote inside a cell that does not begin with one; put quotes around it");
      }
      at++;
    }
    return text.substring(from, at);
  }

  private String quoted() throws SetupException {
    StringBuilder cell = new StringBuilder();
    int begun = line;
    at++;
    while (at < text.length()) {
      char c = text.charAt(at);
      if (c == '"' && at + 1 < text.length() && text.charAt(at + 1) == '"') {
        cell.append('"');
        at += 2;
      } else if (c == '"') {
        at++;
        if (at < text.length() && text.charAt(at) != separator && !atEndOfLine()) {
          throw wrong("text behind a closing quote; double a quote that belongs to the cell");
        }
        return cell.toString();
      } else if (atEndOfLine()) {
        int from = at;
        endOfLine();
        cell.append(text, from, at);
      } else {
        cell.append(c);
        at++;
      }
    }
    line = begun;
    throw wrong("a quote is opened and never closed");
  }

  private SetupException wrong(String what) {
    return new SetupException(
        "%s line %d column %d: %s".formatted(name, line, cells.size() + 1, what));
  }
}
