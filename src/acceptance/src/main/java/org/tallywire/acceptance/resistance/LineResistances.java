package org.tallywire.acceptance.resistance;

import java.math.BigDecimal;
import java.math.MathContext;
import java.util.List;
import org.tallywire.acceptance.winding.WindingGroup.Connection;

/**
 * Resistances read between the three pairs of line terminals of one side, and the phases behind
 * them. What the terminals read is found from the phases by circuit theory, and the phases from the
 * lines by its exact inversion, so unbalance is not lost (derived: Kirchhoff, Kennelly).
 */
public record LineResistances(BigDecimal uv, BigDecimal vw, BigDecimal wu) {

  /**
   * @throws IllegalArgumentException if one is not greater than zero
   */
  public LineResistances {
    Figure.positive("the resistance U-V", uv);
    Figure.positive("the resistance V-W", vw);
    Figure.positive("the resistance W-U", wu);
  }

  public List<BigDecimal> values() {
    return List.of(uv, vw, wu);
  }

  /**
   * Returns the sentence that says why no winding can have these resistances between its lines, or
   * an empty text if one can: each has to be less than the sum of the other two, for any connection
   * (derived).
   */
  public String impossible() {
    for (Pair pair :
        List.of(
            new Pair("U-V", uv, vw, wu),
            new Pair("V-W", vw, wu, uv),
            new Pair("W-U", wu, uv, vw))) {
      BigDecimal others = pair.second.add(pair.third);
      if (pair.first.compareTo(others) >= 0) {
        return ("the resistance %s is %s Ω, not less than the sum %s Ω of the other two, which no"
                + " winding can have: check the leads of all three readings")
            .formatted(pair.name, Figure.plain(pair.first), Figure.plain(others));
      }
    }
    return "";
  }

  /**
   * Returns the phases by exact inversion. A zigzag phase is two halves in series between line and
   * neutral, so it converts as a star does.
   *
   * @throws IllegalArgumentException with the sentence of {@link #impossible}, if there is one
   */
  public PhaseResistances phases(Connection connection) {
    String impossible = impossible();
    if (!impossible.isEmpty()) {
      throw new IllegalArgumentException(impossible);
    }
    BigDecimal u = uv.add(wu).subtract(vw);
    BigDecimal v = uv.add(vw).subtract(wu);
    BigDecimal w = vw.add(wu).subtract(uv);
    return switch (connection) {
      case STAR, ZIGZAG -> new PhaseResistances(connection, half(u), half(v), half(w));
      case DELTA -> {
        // D = 2(ab + bc + ca) − (a² + b² + c²) = uv + vw + wu of the star's doubled legs
        BigDecimal d = u.multiply(v).add(v.multiply(w)).add(w.multiply(u));
        yield new PhaseResistances(connection, over(d, w), over(d, u), over(d, v));
      }
      case SINGLE ->
          throw new IllegalArgumentException("a single-phase winding has no resistances of lines");
    };
  }

  private static BigDecimal half(BigDecimal doubled) {
    return doubled.divide(Figure.TWO);
  }

  private static BigDecimal over(BigDecimal d, BigDecimal leg) {
    return d.divide(leg.multiply(Figure.TWO), MathContext.DECIMAL128);
  }

  private record Pair(String name, BigDecimal first, BigDecimal second, BigDecimal third) {}
}
