package org.tallywire.bridge;

import java.math.BigDecimal;
import java.time.Instant;
import java.time.ZoneOffset;
import java.time.format.DateTimeFormatter;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.stream.Collectors;
import org.tallywire.api.Unit;
import org.tallywire.testset.AssetHistory;
import org.tallywire.testset.StepHistory;

/** The history of an asset as text: its test sets, then of each step its values in a row each. */
final class AssetText {

  private static final DateTimeFormatter DAY =
      DateTimeFormatter.ofPattern("uuuu-MM-dd").withZone(ZoneOffset.UTC);
  private static final String ROW = "  %-10s  %-28s %14s %12s  %-16s %11s %11s  %s%n";

  private AssetText() {}

  static String of(AssetHistory history) {
    StringBuilder out = new StringBuilder();
    out.append("%s%n".formatted(Visible.text(history.asset())));
    for (AssetHistory.Campaign campaign : history.campaigns()) {
      out.append(
          "  %s  %s: %s%n"
              .formatted(
                  day(campaign.opened()), Visible.text(campaign.testSet()), result(campaign)));
    }
    List<StepHistory> series = history.series();
    if (series.isEmpty()) {
      out.append("  nothing is known of it here%n".formatted());
    }
    for (StepHistory step : series) {
      out.append("%n%s%n".formatted(title(Visible.text(step.step()), step.unit())));
      out.append(
          ROW.formatted(
                  "date", "from", "value", "deviation", "verdict", "since first", "since last", "")
              .stripTrailing());
      out.append(System.lineSeparator());
      for (StepHistory.Point point : step.points()) {
        out.append(row(point).stripTrailing()).append(System.lineSeparator());
      }
    }
    return out.toString();
  }

  private static String row(StepHistory.Point point) {
    return ROW.formatted(
        day(point.at()),
        Visible.text(point.from()),
        value(point),
        deviation(point),
        point.state(),
        percent(point.sinceFirst()),
        percent(point.sinceLast()),
        point.remark());
  }

  /** Returns a step with its unit, if it has one. */
  static String title(String step, Unit unit) {
    return unit.equals(Unit.ONE) ? step : step + " in " + unit;
  }

  static String day(Instant at) {
    return DAY.format(at);
  }

  static String value(StepHistory.Point point) {
    return point.value().toPlainString();
  }

  static String deviation(StepHistory.Point point) {
    return point
        .deviation()
        .map(deviation -> signed(deviation) + " " + point.deviationUnit())
        .orElse("");
  }

  static String percent(Optional<BigDecimal> change) {
    return change.map(figure -> signed(figure) + " %").orElse("");
  }

  private static String signed(BigDecimal figure) {
    BigDecimal shown = figure.signum() == 0 ? BigDecimal.ZERO : figure.stripTrailingZeros();
    return (shown.signum() > 0 ? "+" : "") + shown.toPlainString();
  }

  /** Returns how a test set ended, in words. */
  static String result(AssetHistory.Campaign campaign) {
    if (campaign.closed().isEmpty()) {
      return "open";
    }
    Map<String, Integer> result = campaign.result();
    String words =
        result.entrySet().stream()
            .map(one -> one.getValue() + " " + one.getKey())
            .collect(Collectors.joining(", "));
    return words.isEmpty() ? "closed without a verdict" : words;
  }
}
