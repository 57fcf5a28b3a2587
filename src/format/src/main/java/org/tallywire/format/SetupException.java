package org.tallywire.format;

import java.util.List;

/** Files or arguments that people wrote are wrong; carries every problem, not only the first. */
public final class SetupException extends Exception {

  private final List<String> problems;

  public SetupException(List<String> problems) {
    super(String.join(System.lineSeparator(), problems));
    this.problems = List.copyOf(problems);
  }

  public SetupException(String problem) {
    this(List.of(problem));
  }

  /** Returns one sentence a problem, each with its place and what to write instead. */
  public List<String> problems() {
    return problems;
  }
}
