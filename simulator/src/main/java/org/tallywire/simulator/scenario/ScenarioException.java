package org.tallywire.simulator.scenario;

import java.util.List;

/** A scenario cannot be used; every problem is told, with its line and column. */
public final class ScenarioException extends Exception {

  private static final long serialVersionUID = 1;

  /** Says what is wrong, one sentence a problem. */
  public ScenarioException(List<String> problems) {
    super(String.join(System.lineSeparator(), problems));
  }
}
