package org.tallywire.acceptance.uncertainty;

import java.math.BigDecimal;

/** On which side of its limit a figure has to be. */
public enum Bound {
  /** Not further from zero than the limit, on either side. */
  WITHIN,
  /** Not below the limit. */
  AT_LEAST,
  /** Not above the limit. */
  AT_MOST;

  /** Returns by how much a figure keeps its limit, negative if it does not, exactly. */
  BigDecimal margin(BigDecimal figure, BigDecimal limit) {
    return switch (this) {
      case WITHIN -> limit.subtract(figure.abs());
      case AT_LEAST -> figure.subtract(limit);
      case AT_MOST -> limit.subtract(figure);
    };
  }
}
