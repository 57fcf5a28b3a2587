package org.tallywire.format;

import java.util.ArrayList;
import java.util.List;

/** Collects what is wrong with what people wrote, so that all of it is told at once. */
public final class Problems {

  private final List<String> sentences = new ArrayList<>();

  /** Adds a problem: place, what is wrong, what to write. The same one twice is one. */
  public void add(String sentence) {
    if (!sentences.contains(sentence)) {
      sentences.add(sentence);
    }
  }

  /** Takes over the problems of another attempt. */
  public void addAll(SetupException other) {
    sentences.addAll(other.problems());
  }

  /** Returns how many there are so far. */
  public int count() {
    return sentences.size();
  }

  /** Throws if there are any. */
  public void throwIfAny() throws SetupException {
    if (!sentences.isEmpty()) {
      throw new SetupException(sentences);
    }
  }
}
