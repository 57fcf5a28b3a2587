package org.tallywire.simulator.wire;

import java.io.IOException;

/** The system's limit of open files stands in the way, with a sentence that says what to do. */
public final class OpenLimitException extends IOException {

  private static final long serialVersionUID = 1;

  OpenLimitException(String sentence) {
    super(sentence);
  }
}
