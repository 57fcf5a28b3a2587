package org.tallywire.publish;

/** A password that does not show itself in a log, a message or a debugger's list. */
public final class Secret {

  private final char[] characters;

  /** Copies the characters; the caller may wipe its own. */
  public Secret(char[] characters) {
    this.characters = characters.clone();
  }

  /** Returns a copy of the characters. */
  char[] reveal() {
    return characters.clone();
  }

  @Override
  public String toString() {
    return "***";
  }
}
