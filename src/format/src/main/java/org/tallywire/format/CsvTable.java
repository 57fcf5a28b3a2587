package org.tallywire.format;

import java.io.BufferedWriter;
import java.io.IOException;
import java.io.OutputStream;
import java.io.OutputStreamWriter;
import java.io.Writer;
import java.nio.charset.StandardCharsets;
import java.util.List;
import org.tallywire.api.Decimals;

/**
 * Writes CSV by RFC 4180: UTF-8 without a mark, CRLF behind every row, a head, quotes where they
 * are needed. No cell is a formula to a spreadsheet: one that begins with {@code = + - @}, a tab, a
 * carriage return, a line feed or a NUL gets an apostrophe in front, and so does one that begins
 * with an apostrophe, so that taking away one leading apostrophe gives back every cell. A decimal
 * number by {@link Decimals} is a number and stays as it is, a negative one too; its decimal mark
 * is the point.
 */
public final class CsvTable implements Table {

  private static final String DANGEROUS = "=+-@\t\r\n\0'";
  private static final String SEPARATORS = ",;\t|";
  private static final int LONGEST_NUMBER = 128;

  private final Writer out;
  private final char separator;
  private final int columns;

  /**
   * Writes the head.
   *
   * @param separator comma, semicolon or tab
   */
  public CsvTable(OutputStream out, char separator, List<Column> columns) throws IOException {
    if (",;\t".indexOf(separator) < 0) {
      throw new IllegalArgumentException(
          "the separator is a comma, a semicolon or a tab, not code %d".formatted((int) separator));
    }
    this.out = new BufferedWriter(new OutputStreamWriter(out, StandardCharsets.UTF_8), 64 * 1024);
    this.separator = separator;
    this.columns = columns.size();
    row(columns.stream().map(Column::name).toList());
  }

  @Override
  public void row(List<String> cells) throws IOException {
    if (cells.size() != columns) {
      throw new IllegalArgumentException(
          "a row of %d cells in a table of %d columns".formatted(cells.size(), columns));
    }
    for (int i = 0; i < columns; i++) {
      if (i > 0) {
        out.write(separator);
      }
      out.write(quoted(safe(cells.get(i))));
    }
    out.write("\r\n");
  }

  /** Returns a text that no spreadsheet takes for a formula. */
  static String safe(String text) {
    boolean dangerous = !text.isEmpty() && DANGEROUS.indexOf(text.charAt(0)) >= 0;
    return dangerous && Decimals.parse(text, LONGEST_NUMBER).isEmpty() ? "'" + text : text;
  }

  /** A text with any of the usual separators is quoted, whichever is in use. */
  private static String quoted(String text) {
    for (int i = 0; i < text.length(); i++) {
      char c = text.charAt(i);
      if (c == '"' || c == '\r' || c == '\n' || SEPARATORS.indexOf(c) >= 0) {
        return '"' + text.replace("\"", "\"\"") + '"';
      }
    }
    return text;
  }

  @Override
  public void close() throws IOException {
    out.close();
  }
}
