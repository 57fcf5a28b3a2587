package org.tallywire.bridge;

import java.math.BigDecimal;
import java.math.MathContext;
import java.time.Instant;
import java.util.List;
import java.util.Locale;
import org.tallywire.acceptance.control.ControlChart;
import org.tallywire.api.Instrument;
import org.tallywire.api.Unit;
import org.tallywire.testset.InstrumentEvent;
import org.tallywire.testset.InstrumentHistory;
import org.tallywire.testset.InstrumentStanding;
import org.tallywire.testset.VerificationSeries;

/** Instruments as text: how they stand, what was done, and control charts of characters. */
final class InstrumentText {

  private static final String ROW = "%-20s %-32s %-15s %-24s%s%n";
  private static final String MADE = "  %3s  %-10s  %14s %14s %12s %11s %13s  %-9s  %s%n";
  private static final int WIDTH = 49;
  private static final MathContext SHOWN = new MathContext(4);

  private final StringBuilder out = new StringBuilder();
  private final Instant now;

  private InstrumentText(Instant now) {
    this.now = now;
  }

  /** Returns a line for each. */
  static String list(List<InstrumentHistory> histories, Instant now) {
    InstrumentText text = new InstrumentText(now);
    text.line(ROW, "serial", "instrument", "calibration due", "last verification", "");
    for (InstrumentHistory history : histories) {
      InstrumentStanding standing = history.standing();
      Instrument instrument = standing.instrument();
      text.line(
          ROW,
          instrument.serial(),
          instrument.maker() + " " + instrument.model(),
          standing.due().map(Object::toString).orElse("not known"),
          text.last(standing),
          text.remark(standing));
    }
    return text.out.toString();
  }

  /** Returns everything about them. */
  static String of(List<InstrumentHistory> histories, Instant now) {
    InstrumentText text = new InstrumentText(now);
    histories.forEach(text::instrument);
    return text.out.toString();
  }

  private void line(String format, Object... parts) {
    String line = String.format(Locale.ROOT, format, parts);
    out.append(Visible.text(line.stripTrailing())).append(System.lineSeparator());
  }

  private String last(InstrumentStanding standing) {
    return standing
        .verified()
        .map(at -> AssetText.day(at) + ", " + standing.state().orElseThrow().word())
        .orElse("not verified");
  }

  private String remark(InstrumentStanding standing) {
    String failed = standing.failure().isPresent() ? "failed" : "";
    String overdue = standing.overdue(now) ? "overdue" : "";
    return "  " + failed + (failed.isEmpty() || overdue.isEmpty() ? "" : ", ") + overdue;
  }

  private void instrument(InstrumentHistory history) {
    InstrumentStanding standing = history.standing();
    Instrument instrument = standing.instrument();
    line("%s %s, serial %s", instrument.maker(), instrument.model(), instrument.serial());
    line(
        "  calibration due: %s%s",
        standing
            .due()
            .map(day -> "%s (certificate %s)".formatted(day, standing.certificate()))
            .orElse("not known"),
        standing.overdue(now) ? ": overdue" : "");
    line("  last verification: %s", last(standing));
    standing.failure().ifPresent(sentence -> line("  %s", sentence));
    for (InstrumentEvent event : history.events()) {
      if (event instanceof InstrumentEvent.Calibrated made) {
        line(
            "  %s  calibrated by %s, certificate %s, due %s (written by %s)",
            made.calibratedOn(), made.issuer(), made.certificate(), made.due(), made.by());
      }
    }
    history.series().forEach(this::series);
  }

  private void series(VerificationSeries series) {
    out.append(System.lineSeparator());
    Unit unit = series.verifications().get(0).unit();
    Unit limitUnit = series.verifications().get(0).limitUnit();
    line(
        "%s against %s, serial %s",
        AssetText.title(series.quantity().name(), unit), series.standard(), series.serial());
    line(
        MADE,
        "no.",
        "date",
        "expected",
        "measured",
        "deviation/" + limitUnit,
        "limit/" + limitUnit,
        "uncertainty/" + limitUnit,
        "state",
        "by");
    int number = 0;
    for (InstrumentEvent.Verified made : series.verifications()) {
      line(
          MADE,
          made.deviation().isPresent() ? ++number : "-",
          AssetText.day(made.at()),
          made.expected().toPlainString(),
          made.measured().map(BigDecimal::toPlainString).orElse("no number"),
          made.deviation().map(InstrumentText::plain).orElse(""),
          plain(made.limit()),
          plain(made.uncertainty()),
          made.state().word(),
          made.by());
    }
    series.charts().forEach(this::chart);
    series.sentences().forEach(sentence -> line("  %s", sentence));
  }

  /**
   * Time goes down; each row has its limits |, the centre :, and the point * or, beyond them, X.
   */
  private void chart(ControlChart chart) {
    double lowest = Double.POSITIVE_INFINITY;
    double highest = Double.NEGATIVE_INFINITY;
    for (ControlChart.Point point : chart.points()) {
      lowest = Math.min(lowest, Math.min(number(point.lower()), number(point.value())));
      highest = Math.max(highest, Math.max(number(point.upper()), number(point.value())));
    }
    line("  %s: limits |, centre :, a point * or, beyond the limits, X", chart.name());
    for (ControlChart.Point point : chart.points()) {
      char[] row = " ".repeat(WIDTH).toCharArray();
      row[place(point.lower(), lowest, highest)] = '|';
      row[place(point.upper(), lowest, highest)] = '|';
      row[place(chart.centre(), lowest, highest)] = ':';
      row[place(point.value(), lowest, highest)] = point.out() ? 'X' : '*';
      line(
          "  %3d %12s  %s%s",
          point.number(),
          plain(point.value()),
          new String(row),
          point.out() ? " beyond the limit" : "");
    }
  }

  private static int place(BigDecimal figure, double lowest, double highest) {
    double part = (number(figure) - lowest) / (highest - lowest);
    return (int) Math.round(part * (WIDTH - 1));
  }

  private static double number(BigDecimal figure) {
    return figure.doubleValue();
  }

  /** Returns a figure with four digits, as it stands in tables and drawings. */
  static String plain(BigDecimal figure) {
    BigDecimal shown = figure.round(SHOWN);
    return (shown.signum() == 0 ? BigDecimal.ZERO : shown.stripTrailingZeros()).toPlainString();
  }
}
