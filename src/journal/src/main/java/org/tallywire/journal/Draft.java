package org.tallywire.journal;

/**
 * A record on its way into the journal, which does not look inside it.
 *
 * @param id the record's identity, unique in the journal; a second draft with it is a repeat
 * @param kind the kind of record, for example {@code reading}
 * @param station the station it belongs to
 * @param payload the record as UTF-8 JSON; kept and handed out byte for byte, not copied here, so
 *     the caller leaves it unchanged
 */
@SuppressWarnings("ArrayRecordComponent") // bytes are what it is about; drafts are not compared
public record Draft(String id, String kind, String station, byte[] payload) {

  public Draft {
    if (id.isEmpty() || kind.isEmpty() || station.isEmpty()) {
      throw new IllegalArgumentException(
          "a draft needs an id, a kind and a station, not \"%s\", \"%s\", \"%s\""
              .formatted(id, kind, station));
    }
    if (payload.length == 0) {
      throw new IllegalArgumentException("draft \"%s\" has no payload".formatted(id));
    }
  }
}
