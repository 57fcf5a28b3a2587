package org.tallywire.declared;

import java.util.List;

/** A declared driver's file is wrong; carries every problem, not only the first. */
public final class DeclarationException extends Exception {

  private final List<String> problems;

  DeclarationException(List<String> problems) {
    super(String.join(System.lineSeparator(), problems));
    this.problems = List.copyOf(problems);
  }

  /** Returns one sentence a problem: {@code file:line:column: what is wrong; what to write}. */
  public List<String> problems() {
    return problems;
  }
}
