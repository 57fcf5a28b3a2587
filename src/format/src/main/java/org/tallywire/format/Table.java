package org.tallywire.format;

import java.io.IOException;
import java.util.List;

/** A table that is written row by row; its head is written by itself. Used by one thread. */
public interface Table extends AutoCloseable {

  /**
   * A column.
   *
   * @param number whether its cells are decimals where they are not empty or a word
   */
  record Column(String name, boolean number) {}

  /**
   * Writes a row.
   *
   * @param cells one a column, in their order; empty where there is nothing
   */
  void row(List<String> cells) throws IOException;

  /** Writes what is left, and closes the stream. */
  @Override
  void close() throws IOException;
}
