package org.tallywire.journal;

import java.nio.charset.StandardCharsets;

/** Invented records for the tests. */
final class Drafts {

  private Drafts() {}

  static Draft of(String id) {
    return of(id, "{\"record\":\"reading\",\"id\":\"" + id + "\"}");
  }

  static Draft of(String id, String payload) {
    return new Draft(id, "reading", "bay-1", payload.getBytes(StandardCharsets.UTF_8));
  }
}
