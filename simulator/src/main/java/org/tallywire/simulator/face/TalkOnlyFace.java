package org.tallywire.simulator.face;

import java.time.Instant;
import java.time.ZoneOffset;
import java.time.format.DateTimeFormatter;
import java.util.ArrayDeque;
import java.util.Deque;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.regex.Pattern;
import org.tallywire.simulator.tester.Measurement;
import org.tallywire.simulator.tester.Measurement.Channel;
import org.tallywire.simulator.tester.Measurement.Status;

/**
 * A bench meter with a printer port: it prints each reading once, hears nothing and repeats
 * nothing. The layout is this meter's own.
 *
 * <p>Every line is ASCII and ends with CR LF. A reading begins with {@code TR} (turns ratio) or
 * {@code WR} (winding resistance); columns count from 1, one blank stands between them:
 *
 * <table>
 *   <caption>A line of readings</caption>
 *   <tr><th>columns</th><th>TR</th><th>WR</th><th>set</th></tr>
 *   <tr><td>1-2</td><td colspan="2">kind</td><td></td></tr>
 *   <tr><td>4-7</td><td colspan="2">number, 1 to 9999, then 0 again; 1 at power-up</td><td>right</td></tr>
 *   <tr><td>9-16</td><td colspan="2">time of day, UTC, hh:mm:ss</td><td></td></tr>
 *   <tr><td>18-25</td><td colspan="2">windings, cut to 8 characters</td><td>left</td></tr>
 *   <tr><td>27</td><td colspan="2">phase</td><td></td></tr>
 *   <tr><td>29-31</td><td colspan="2">tap</td><td>right</td></tr>
 *   <tr><td>33-42</td><td>turns ratio</td><td>winding resistance</td><td>right</td></tr>
 *   <tr><td>44-51</td><td>excitation current, mA</td><td>its unit, Ohm or mOhm</td><td>right</td></tr>
 *   <tr><td>53-60</td><td>phase displacement, degrees</td><td>test current, A</td><td>right</td></tr>
 *   <tr><td>62-68</td><td>test voltage, V</td><td>winding temperature, degrees Celsius</td><td>right</td></tr>
 *   <tr><td>70-80</td><td colspan="2">{@code OK}, {@code NOT-SETTLED}, {@code SUSPECT}, {@code
 *       ABORTED}</td><td>left</td></tr>
 * </table>
 *
 * <p>What does not apply is {@code -}; instead of a value that is none stand {@code OVER}, {@code
 * UNDER}, {@code OPEN}, {@code INVALID} or {@code ABORTED}. Blanks at the end are left away, and
 * there is no check value.
 *
 * <p>A title {@code # METER <serial>} is printed before the first reading, and a heading that
 * begins with {@code #} before the first of each kind in a row and again after {@value #ROWS}
 * readings. While nobody is there, and while {@value #BUFFER} readings wait to be printed, a
 * reading is lost; only the numbers show it.
 */
public final class TalkOnlyFace implements InstrumentFace {

  /** Readings under one heading at most. */
  static final int ROWS = 20;

  /** Readings that wait to be printed at most. */
  static final int BUFFER = 200;

  private static final String RATIO_HEADING =
      "#   No Time     Windings P Tap      Ratio  I exc mA Phas deg  Volt V Status";
  private static final String RESISTANCE_HEADING =
      "#   No Time     Windings P Tap Resistance     Unit   Test A Wdg Cel Status";

  private static final Pattern SERIAL = Pattern.compile("[ -~]{1,60}");
  private static final int NUMBERS = 10_000;
  private static final DateTimeFormatter TIME =
      DateTimeFormatter.ofPattern("HH:mm:ss", Locale.ROOT).withZone(ZoneOffset.UTC);

  private final String serial;
  private final Deque<Row> waiting = new ArrayDeque<>();
  private boolean titled;
  private boolean absent;
  private long number;
  private String heading = "";
  private int rows;

  private record Row(long seq, String heading, String text) {}

  /**
   * A meter that has not been switched on yet.
   *
   * @param serial printable ASCII, at most 60 characters
   */
  public TalkOnlyFace(String serial) {
    if (!SERIAL.matcher(serial).matches()) {
      throw new IllegalArgumentException("does not fit the title: " + serial);
    }
    this.serial = serial;
  }

  @Override
  public void powerUp(long now) {}

  /** Nothing is heard. */
  @Override
  public void received(byte[] bytes, int length, long now) {}

  @Override
  public void linkLost() {
    absent = true;
    waiting.clear();
  }

  @Override
  public void measured(Measurement measurement, Instant at, long now) {
    number++;
    if (!absent && waiting.size() < BUFFER) {
      waiting.add(row(measurement, at));
    }
  }

  /** It measures whether or not somebody listens. */
  @Override
  public boolean asked() {
    return true;
  }

  @Override
  public Optional<Outgoing> next(long now) {
    absent = false;
    if (!titled) {
      titled = true;
      return Optional.of(new Outgoing(ended("# METER " + serial), 0));
    }
    Row row = waiting.peek();
    if (row == null) {
      return Optional.empty();
    }
    if (!row.heading().equals(heading) || rows == ROWS) {
      heading = row.heading();
      rows = 0;
      return Optional.of(new Outgoing(ended(heading), 0));
    }
    rows++;
    waiting.remove();
    return Optional.of(new Outgoing(ended(row.text()), row.seq()));
  }

  @Override
  public long untilNext(long now) {
    return waiting.isEmpty() && titled ? Long.MAX_VALUE : 0;
  }

  private Row row(Measurement measurement, Instant at) {
    boolean ratio = !measurement.test().equals("winding-resistance");
    List<String> four = ratio ? ratioColumns(measurement) : resistanceColumns(measurement);
    String windings = measurement.windings();
    String tap = measurement.tap().isPresent() ? "" + measurement.tap().getAsInt() : "-";
    String text =
        String.format(
            Locale.ROOT,
            "%s %4d %s %-8.8s %1.1s %3s %10s %8s %8s %7s %s",
            ratio ? "TR" : "WR",
            number % NUMBERS,
            TIME.format(at),
            windings,
            measurement.phase(),
            tap,
            four.get(0),
            four.get(1),
            four.get(2),
            four.get(3),
            word(measurement.status()));
    return new Row(number, ratio ? RATIO_HEADING : RESISTANCE_HEADING, text);
  }

  private static List<String> ratioColumns(Measurement measurement) {
    return List.of(
            Channel.RATIO,
            Channel.EXCITATION_CURRENT,
            Channel.PHASE_DISPLACEMENT,
            Channel.TEST_VOLTAGE)
        .stream()
        .map(channel -> value(measurement, channel))
        .toList();
  }

  private static List<String> resistanceColumns(Measurement measurement) {
    Channel channel =
        measurement.values().containsKey(Channel.OHMS) ? Channel.OHMS : Channel.MILLIOHMS;
    return List.of(
        value(measurement, channel),
        channel.unit(),
        value(measurement, Channel.TEST_CURRENT),
        value(measurement, Channel.TEMPERATURE));
  }

  private static String value(Measurement measurement, Channel channel) {
    String value = measurement.values().getOrDefault(channel, "-");
    return value.replace("-range", "").toUpperCase(Locale.ROOT);
  }

  private static String word(Status status) {
    return status.toString().toUpperCase(Locale.ROOT);
  }

  private static String ended(String text) {
    return text.stripTrailing() + "\r\n";
  }
}
