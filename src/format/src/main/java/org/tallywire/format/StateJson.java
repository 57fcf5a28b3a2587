package org.tallywire.format;

import com.fasterxml.jackson.databind.node.ArrayNode;
import com.fasterxml.jackson.databind.node.ObjectNode;
import java.util.TreeMap;

/** Writes states; nothing here reads them. */
final class StateJson {

  private static final int LONGEST_TEXT = 2_000;

  private StateJson() {}

  static ObjectNode write(StateRecord state) {
    boolean bridge = state.station().equals(StateRecord.BRIDGE);
    ObjectNode node =
        Json.record(
                RecordFormat.STATE,
                "state:" + state.station() + ":" + state.epoch(),
                state.station())
            .put("of", bridge ? "bridge" : "station")
            .put("state", state.word().word())
            .put("since", Json.time(state.since()))
            .put("at", Json.time(state.at()))
            .put("epoch", state.epoch())
            .put("detail", bounded(state.detail()));
    state.instrument().ifPresent(i -> node.set("instrument", ReadingJson.instrument(i)));
    if (!bridge) {
      node.put("readings", state.counts().readings())
          .put("faults", state.counts().faults())
          .put("gaps", state.counts().gaps())
          .put("gapsSeen", state.counts().gapsSeen())
          .put("repeats", state.counts().repeats());
    }
    state.whole().ifPresent(whole -> add(node, whole));
    return node;
  }

  private static void add(ObjectNode node, StateRecord.Whole whole) {
    whole.broker().ifPresent(word -> node.put("broker", word));
    node.put("storage", whole.storage().word());
    whole.standing().ifPresent(standing -> add(node, standing));
    ArrayNode notices = node.putArray("notices");
    for (StateRecord.Notice notice : whole.notices()) {
      notices
          .addObject()
          .put("concern", notice.concern().word())
          .put("sentence", bounded(notice.sentence()));
    }
  }

  private static void add(ObjectNode node, StateRecord.Standing standing) {
    node.put("journalled", standing.journalled()).put("accepted", standing.accepted());
    ObjectNode confirmed = node.putObject("confirmed");
    new TreeMap<>(standing.confirmed()).forEach(confirmed::put);
    node.put("shelved", standing.shelved());
  }

  /** A sentence may carry what a library or another machine said, of any length. */
  private static String bounded(String text) {
    int count = text.codePointCount(0, text.length());
    return count <= LONGEST_TEXT
        ? text
        : text.substring(0, text.offsetByCodePoints(0, LONGEST_TEXT - 1)) + "…";
  }
}
