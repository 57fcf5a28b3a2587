package org.tallywire.declared;

import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.regex.Pattern;

/** How a rule knows its lines and what it takes out of them. */
sealed interface Form {

  /** Returns the names of the fields that a line gives. */
  List<String> fields();

  /** Returns the fields of a line, or nothing if it is not one of these. */
  Optional<Map<String, String>> match(String line);

  /** By a regular expression over the whole line; its named groups are the fields. */
  record Matched(Regex regex) implements Form {

    @Override
    public List<String> fields() {
      return regex.names();
    }

    @Override
    public Optional<Map<String, String>> match(String line) {
      return regex.match(line);
    }
  }

  /**
   * By fixed columns; blanks around a field are left away, and what is beyond the line is empty.
   *
   * @param begins what the line begins with; may be nothing
   */
  record Columns(String begins, Map<String, Span> columns) implements Form {

    @Override
    public List<String> fields() {
      return List.copyOf(columns.keySet());
    }

    @Override
    public Optional<Map<String, String>> match(String line) {
      if (!line.startsWith(begins)) {
        return Optional.empty();
      }
      Map<String, String> fields = new LinkedHashMap<>();
      columns.forEach(
          (name, span) -> {
            int from = Math.min(span.first() - 1, line.length());
            int to = Math.min(span.last(), line.length());
            fields.put(name, line.substring(from, to).strip());
          });
      return Optional.of(fields);
    }
  }

  /** Columns from the first to the last, counted from 1. */
  record Span(int first, int last) {}

  /**
   * By what stands between fields; blanks around a field are left away.
   *
   * @param by the separator; one blank stands for any number of blanks
   * @param names of all fields in their order; {@code _} for one that nobody needs
   */
  record Separated(String begins, String by, List<String> names) implements Form {

    /** A field that nobody needs. */
    static final String SKIPPED = "_";

    @Override
    public List<String> fields() {
      return names.stream().filter(name -> !name.equals(SKIPPED)).toList();
    }

    @Override
    public Optional<Map<String, String>> match(String line) {
      if (!line.startsWith(begins)) {
        return Optional.empty();
      }
      String[] parts =
          by.equals(" ") ? line.strip().split(" +", -1) : line.split(Pattern.quote(by), -1);
      if (parts.length != names.size()) {
        return Optional.empty();
      }
      Map<String, String> fields = new LinkedHashMap<>();
      for (int i = 0; i < parts.length; i++) {
        if (!names.get(i).equals(SKIPPED)) {
          fields.put(names.get(i), parts[i].strip());
        }
      }
      return Optional.of(fields);
    }
  }
}
