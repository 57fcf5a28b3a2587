package org.tallywire.publish;

import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.ArrayList;
import java.util.HexFormat;
import java.util.List;
import java.util.Optional;
import java.util.Set;
import java.util.stream.Collectors;
import org.tallywire.api.TimeSource;
import org.tallywire.journal.Draft;
import org.tallywire.journal.Journal;
import org.tallywire.journal.JournalException;

/** Invented records, addresses and a quick pace for the tests. */
final class Bench {

  static final byte[] DOWN = bytes("{\"record\":\"state\",\"state\":\"down\"}");
  static final byte[] UP = bytes("{\"record\":\"state\",\"state\":\"up\"}");

  static final Pace QUICK =
      new Pace(
          Duration.ofMillis(50),
          Duration.ofMillis(200),
          Duration.ofMillis(300),
          Duration.ofMillis(1500),
          Duration.ofSeconds(10),
          Duration.ofSeconds(1),
          Duration.ofMillis(100));

  /** A tally as the format module writes it, without its time. */
  static final TallyFormat TALLY =
      (journal, from, to, ids, shelved, digest) ->
          bytes(
              "{\"record\":\"tally\",\"journal\":\"%s\",\"from\":%d,\"to\":%d,\"ids\":[%s],\"shelved\":%s,\"digest\":\"%s\"}"
                  .formatted(
                      journal,
                      from,
                      to,
                      ids.stream().map(id -> '"' + id + '"').collect(Collectors.joining(",")),
                      shelved.toString().replace(" ", ""),
                      HexFormat.of().formatHex(digest)));

  /** Hardly any pauses, for tests that go through many connections. */
  static final Pace HASTY =
      new Pace(
          Duration.ofMillis(2),
          Duration.ofMillis(10),
          Duration.ofMillis(100),
          Duration.ofMillis(2000),
          Duration.ofSeconds(10),
          Duration.ofSeconds(1),
          Duration.ofMillis(60));

  private Bench() {}

  static byte[] bytes(String text) {
    return text.getBytes(StandardCharsets.UTF_8);
  }

  static BrokerAddress address(int port) {
    return address(port, Optional.empty(), Optional.empty());
  }

  static BrokerAddress address(int port, Optional<String> user, Optional<Secret> password) {
    return new BrokerAddress(
        "tcp://127.0.0.1:" + port, "test-" + port, user, password, "shop", "invented site");
  }

  static BrokerAddress address(int port, String clientId) {
    return new BrokerAddress(
        "tcp://127.0.0.1:" + port,
        clientId,
        Optional.empty(),
        Optional.empty(),
        "shop",
        "invented site");
  }

  static BrokerAddress address(int port, Set<String> consumers) {
    return new BrokerAddress(
        "tcp://127.0.0.1:" + port,
        "test-" + port,
        Optional.empty(),
        Optional.empty(),
        "shop",
        "invented site",
        Optional.empty(),
        consumers);
  }

  static Publisher publisher(Journal journal, BrokerAddress broker, Heard heard, Pace pace) {
    return new Publisher(journal, broker, DOWN, TALLY, TimeSource.system(), heard, pace);
  }

  static Publisher publisher(Journal journal, BrokerAddress broker, Heard heard) {
    return publisher(journal, broker, heard, QUICK);
  }

  /** Appends entries with ids {@code <name>-1} to {@code <name>-<count>} for two stations. */
  static void append(Journal journal, String name, int count) throws JournalException {
    List<Draft> drafts = new ArrayList<>();
    for (int i = 1; i <= count; i++) {
      String id = name + "-" + i;
      String padding = "äµ✓\\u0000".repeat(i % 7);
      drafts.add(
          new Draft(
              id,
              i % 3 == 0 ? "verdict" : "reading",
              "bay-" + i % 2,
              bytes("{\"id\":\"" + id + "\",\"note\":\"" + padding + "\"}")));
    }
    journal.append(drafts, List.of());
  }
}
