package org.tallywire.web;

import io.javalin.http.Context;
import java.util.Optional;

/** Where in the journal a client wants to go on: the {@code Last-Event-ID} header, or the start. */
final class EventPosition {

  private EventPosition() {}

  /** Returns the position after which to send; empty if the request was refused. */
  static Optional<Long> read(Context context, long head) {
    String id = context.req().getHeader("Last-Event-ID");
    if (id == null || id.isEmpty()) {
      return Optional.of(0L);
    }
    if (!id.matches("[0-9]{1,18}")) {
      Gate.refuse(
          context,
          400,
          "The header Last-Event-ID is not an entry's number of at most 18 digits, as the id lines"
              + " of this stream give it. Send such a number, or leave the header out");
      return Optional.empty();
    }
    long position = Long.parseLong(id);
    if (position > head) {
      Gate.refuse(
          context,
          409,
          "Last-Event-ID is "
              + position
              + ", but this journal ends at entry "
              + head
              + ": the number comes from another journal. Forget what was shown and connect without"
              + " the header");
      return Optional.empty();
    }
    return Optional.of(position);
  }
}
