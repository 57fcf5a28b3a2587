package org.tallywire.format;

import java.io.IOException;
import java.io.OutputStream;
import java.util.List;
import java.util.stream.IntStream;
import org.dhatim.fastexcel.Workbook;
import org.dhatim.fastexcel.Worksheet;
import org.tallywire.api.Decimals;

/**
 * Writes a spreadsheet (Office Open XML). A column of numbers is there twice: as numbers, which a
 * spreadsheet keeps with some 15 digits, and, behind all other columns, as text with every digit.
 * All else is text; there is never a formula. What XML cannot hold, a control character say, is
 * written as a backslash, an x and two hexadecimal digits (or a u and four). A sheet that is full
 * is followed by another.
 */
public final class XlsxTable implements Table {

  private static final int FLUSH_EVERY = 500;
  private static final int MOST_ROWS = 1_048_576;
  private static final int LONGEST_CELL = 32_767;
  private static final int LONGEST_NUMBER = 128;

  private final OutputStream out;
  private final Workbook book;
  private final String name;
  private final List<Column> columns;
  private final int[] exact;
  private final int mostRows;
  private Worksheet sheet;
  private int sheets = 1;
  private int row;

  /**
   * Writes the head.
   *
   * @param name of the sheet
   */
  public XlsxTable(OutputStream out, String name, List<Column> columns) {
    this(out, name, columns, MOST_ROWS);
  }

  XlsxTable(OutputStream out, String name, List<Column> columns, int mostRows) {
    this.out = out;
    this.book = new Workbook(out, "Tallywire", "1.0");
    this.name = name;
    this.columns = List.copyOf(columns);
    this.exact = IntStream.range(0, columns.size()).filter(i -> columns.get(i).number()).toArray();
    this.mostRows = mostRows;
    this.sheet = book.newWorksheet(name);
    head();
  }

  private void head() {
    row = 0;
    for (int i = 0; i < columns.size(); i++) {
      text(i, columns.get(i).name());
    }
    for (int i = 0; i < exact.length; i++) {
      text(columns.size() + i, columns.get(exact[i]).name() + " (every digit)");
    }
    sheet.freezePane(0, 1);
    row = 1;
  }

  @Override
  public void row(List<String> cells) throws IOException {
    if (cells.size() != columns.size()) {
      throw new IllegalArgumentException(
          "a row of %d cells in a table of %d columns".formatted(cells.size(), columns.size()));
    }
    if (row >= mostRows) {
      sheet.finish();
      sheets++;
      sheet = book.newWorksheet(name + " " + sheets);
      head();
    }
    for (int i = 0; i < cells.size(); i++) {
      if (!columns.get(i).number()) {
        text(i, cells.get(i));
      } else if (Decimals.parse(cells.get(i), LONGEST_NUMBER).isPresent()) {
        sheet.value(row, i, Double.valueOf(cells.get(i)));
      }
    }
    for (int i = 0; i < exact.length; i++) {
      text(columns.size() + i, cells.get(exact[i]));
    }
    row++;
    if (row % FLUSH_EVERY == 0) {
      sheet.flush();
    }
  }

  private void text(int column, String text) {
    if (!text.isEmpty()) {
      String safe = visible(text);
      sheet.inlineString(
          row, column, safe.length() > LONGEST_CELL ? safe.substring(0, LONGEST_CELL) : safe);
    }
  }

  private static String visible(String text) {
    StringBuilder out = new StringBuilder(text.length());
    text.codePoints()
        .forEach(
            c -> {
              boolean kept =
                  c == '\t'
                      || c == '\n'
                      || (c >= 0x20 && c != 0x7F && c < 0xD800)
                      || (c > 0xDFFF && c < 0xFFFE)
                      || c > 0xFFFF;
              if (kept) {
                out.appendCodePoint(c);
              } else {
                out.append(c < 0x100 ? "\\x%02X".formatted(c) : "\\u%04X".formatted(c));
              }
            });
    return out.toString();
  }

  @Override
  public void close() throws IOException {
    try (OutputStream stream = out) {
      book.finish();
      stream.flush();
    }
  }
}
