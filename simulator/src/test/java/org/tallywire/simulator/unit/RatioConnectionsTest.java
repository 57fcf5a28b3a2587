package org.tallywire.simulator.unit;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.TreeMap;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import java.util.stream.Collectors;
import org.apache.commons.math3.complex.Complex;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.tallywire.simulator.scenario.Group;

/** The windings of every group against readings from outside: shared/vectors/ratio/README.md. */
class RatioConnectionsTest {

  private static final Path FILE = Path.of("../shared/vectors/ratio/connections.csv");
  private static final Pattern LINE =
      Pattern.compile(
          "([YD])([ydz])(\\d+),(\\d+),([UVWN])-(?:([UVWN])|\\((.)(.)\\)),(.)-(.),([0-9.]+)");

  /** One line of the file. */
  private record Row(
      String text,
      Group group,
      String from,
      List<String> to,
      String measuredFrom,
      String measuredTo,
      double readingOverK) {

    static Row of(String line) {
      Matcher matcher = LINE.matcher(line);
      if (!matcher.matches()) {
        throw new IllegalArgumentException(line);
      }
      String hv = matcher.group(1);
      String lv = matcher.group(2);
      String one = matcher.group(6);
      return new Row(
          line,
          Group.of(
              hv
                  + (hv.equals("Y") ? "N" : "")
                  + lv
                  + (lv.equals("d") ? "" : "n")
                  + matcher.group(3)),
          "1" + matcher.group(5),
          one == null
              ? List.of("1" + matcher.group(7), "1" + matcher.group(8))
              : List.of("1" + one),
          "2" + matcher.group(9).toUpperCase(Locale.ROOT),
          "2" + matcher.group(10).toUpperCase(Locale.ROOT),
          Double.parseDouble(matcher.group(11)));
    }
  }

  private static List<Row> rows() throws IOException {
    List<String> lines = Files.readAllLines(FILE);
    return lines.subList(1, lines.size()).stream().map(Row::of).toList();
  }

  @Test
  @DisplayName("594 readings of the Modelica Standard Library's netlists")
  void theNetworkOfEveryGroupReadsWhatTheFileSays() throws IOException {
    List<Row> rows = rows();
    assertEquals(594, rows.size());
    for (Row row : rows) {
      Complex ratio =
          IdealUnit.ratio(
              IdealUnit.network(row.group), row.from, row.to, row.measuredFrom, row.measuredTo);
      assertEquals(row.readingOverK, ratio.getReal(), 1e-4 * row.readingOverK, row.text);
      assertEquals(0, ratio.getImaginary(), 1e-4, row.text);
    }
  }

  @Test
  @DisplayName("every hookup of those groups is one of the 594 readings")
  void everyHookupIsInTheFile() throws IOException {
    Map<String, List<Row>> groups =
        rows().stream()
            .collect(
                Collectors.groupingBy(
                    row -> row.group.toString(), TreeMap::new, Collectors.toList()));
    assertEquals(36, groups.size());
    groups.forEach(
        (name, rows) -> {
          for (Hookup hookup : Hookup.ratio(Group.of(name))) {
            Optional<Row> found = rows.stream().filter(row -> same(row, hookup)).findFirst();
            assertEquals(
                found.orElseThrow(() -> new AssertionError(name + " " + hookup)).readingOverK,
                hookup.readingOverK(),
                1e-9,
                name + " " + hookup);
          }
        });
  }

  /** The file names each pair of lines in one direction only. */
  private static boolean same(Row row, Hookup hookup) {
    boolean straight =
        row.from.equals(hookup.from())
            && row.to.equals(hookup.to())
            && row.measuredFrom.equals(hookup.measuredFrom())
            && row.measuredTo.equals(hookup.measuredTo());
    boolean turned =
        row.to.size() == 1
            && row.from.equals(hookup.to().get(0))
            && hookup.to().size() == 1
            && row.to.get(0).equals(hookup.from())
            && row.measuredFrom.equals(hookup.measuredTo())
            && row.measuredTo.equals(hookup.measuredFrom());
    return straight || turned;
  }
}
