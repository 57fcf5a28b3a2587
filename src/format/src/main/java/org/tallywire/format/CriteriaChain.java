package org.tallywire.format;

import java.math.BigDecimal;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.TreeMap;
import java.util.function.Function;
import org.tallywire.acceptance.CriteriaTable;
import org.tallywire.acceptance.Criterion;
import org.tallywire.acceptance.Criterion.Kind;
import org.tallywire.acceptance.Repeatability;
import org.tallywire.acceptance.Rule;
import org.tallywire.acceptance.resistance.ConductorConstants;
import org.tallywire.acceptance.uncertainty.Accuracy;
import org.tallywire.acceptance.uncertainty.Decision;
import org.tallywire.acceptance.uncertainty.Decision.Rounding;

/**
 * The files of criteria of which each extends the next, made into one table: what the first of them
 * gives holds. Of a criterion every setting is looked for by itself, and so are guard and rounding
 * of the decision; the pair of conductors' constants, an accuracy and a rule are taken whole.
 *
 * @param layers the file that was named first, the last one extends none
 */
record CriteriaChain(List<CriteriaLayer> layers) {

  CriteriaChain {
    layers = List.copyOf(layers);
  }

  /** Returns the table; what cannot be becomes a problem, and then the table is of no use. */
  Optional<CriteriaTable> table(String name, String version, String digest, Problems problems) {
    Map<String, Accuracy> accuracies = taken("accuracies", CriteriaLayer::accuracies);
    Map<String, Repeatability> repeatability = taken("repeatability", CriteriaLayer::repeatability);
    List<Criterion> criteria = new ArrayList<>();
    for (Kind kind : Kind.values()) {
      criterion(kind, accuracies).ifPresent(criteria::add);
    }
    return problems.count() > 0
        ? Optional.empty()
        : Optional.of(
            new CriteriaTable(
                name,
                version,
                digest,
                Decision.guarded(first(CriteriaLayer::guard).orElse(BigDecimal.ONE))
                    .rounding(first(CriteriaLayer::rounding).orElse(Rounding.ABSOLUTE)),
                first(CriteriaLayer::conductors).orElse(ConductorConstants.IEEE),
                accuracies,
                repeatability,
                criteria));
  }

  private <T> Optional<T> first(Function<CriteriaLayer, Optional<T>> member) {
    return layers.stream().flatMap(layer -> member.apply(layer).stream()).findFirst();
  }

  private <T> Map<String, T> taken(
      String member, Function<CriteriaLayer, Map<String, Optional<T>>> of) {
    Map<String, T> taken = new TreeMap<>();
    for (int i = layers.size() - 1; i >= 0; i--) {
      for (Map.Entry<String, Optional<T>> one : of.apply(layers.get(i)).entrySet()) {
        if (one.getValue().isPresent()) {
          taken.put(one.getKey(), one.getValue().get());
        } else if (taken.remove(one.getKey()) == null) {
          nothingTaken(layers.get(i), member, one.getKey());
        }
      }
    }
    return taken;
  }

  private static void nothingTaken(CriteriaLayer layer, String member, String key) {
    layer.place().problem(member, "takes away %s, which is not there without it".formatted(key));
  }

  private Optional<Criterion> criterion(Kind kind, Map<String, Accuracy> accuracies) {
    List<CriteriaLayer.Part> parts = new ArrayList<>();
    Optional<CriteriaLayer> place = Optional.empty();
    for (int i = layers.size() - 1; i >= 0; i--) {
      CriteriaLayer layer = layers.get(i);
      Optional<CriteriaLayer.Part> part = layer.criteria().getOrDefault(kind, Optional.empty());
      if (part.isPresent()) {
        parts.add(0, part.get());
        place = Optional.of(layer);
      } else if (layer.criteria().containsKey(kind)) {
        if (parts.isEmpty()) {
          nothingTaken(layer, "criteria", kind.word());
        }
        parts.clear();
      }
    }
    return parts.isEmpty()
        ? Optional.empty()
        : criterion(kind, parts, accuracies, place.orElseThrow().place());
  }

  private static Optional<Criterion> criterion(
      Kind kind,
      List<CriteriaLayer.Part> parts,
      Map<String, Accuracy> accuracies,
      YamlSection place) {
    Map<String, String> settings = new LinkedHashMap<>();
    for (CriteriaLayer.Part part : parts) {
      part.settings().forEach(settings::putIfAbsent);
    }
    Optional<Rule> rule = parts.stream().flatMap(part -> part.rule().stream()).findFirst();
    Optional<BigDecimal> uncertainty =
        parts.stream()
            .filter(part -> part.uncertainty().isPresent() || part.fromAccuracies())
            .findFirst()
            .flatMap(CriteriaLayer.Part::uncertainty);
    if (rule.isEmpty()) {
      place.problem("criteria", "%s names no rule".formatted(kind.word()));
    }
    try {
      Criterion criterion =
          new Criterion(kind, settings, uncertainty, rule.orElse(CriteriaLayer.NO_RULE));
      List<String> missing = CriteriaTable.missing(criterion, accuracies);
      if (!missing.isEmpty()) {
        place.problem(
            "criteria",
            "%s states no uncertainty, and the table no accuracy of %s to compute it from: write one of them"
                .formatted(kind.word(), String.join(" and ", missing)));
      }
      return Optional.of(criterion);
    } catch (IllegalArgumentException e) {
      place.problem("criteria", String.valueOf(e.getMessage()).replaceFirst("^criterion ", ""));
      return Optional.empty();
    }
  }
}
