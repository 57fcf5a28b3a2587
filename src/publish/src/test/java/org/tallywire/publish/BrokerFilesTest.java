package org.tallywire.publish;

import static org.awaitility.Awaitility.await;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.TimeUnit;
import java.util.stream.IntStream;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.api.io.TempDir;
import org.tallywire.api.TimeSource;
import org.tallywire.journal.Journal;

/** What shared/broker says of mosquitto, its access list and its settings, against a real one. */
@Timeout(120)
class BrokerFilesTest {

  private static final Duration SOON = Duration.ofSeconds(20);
  private static final String SITE = "tallywire/hollow-lane/";

  /** More than the 1000 that mosquitto 2 keeps by default for a subscriber who is away. */
  private static final int MANY = 1500;

  @TempDir private static Path shared;
  private static Authority authority;

  @TempDir private Path folder;
  private final Heard heard = new Heard();

  @BeforeAll
  static void make() throws Exception {
    Mosquitto.require();
    Programs.require("openssl", "sh", "stdbuf");
    authority = Authority.make(shared.resolve("authority"));
  }

  /**
   * A denied message is acknowledged like any other (MQTT 3.1.1, MQTT-3.3.5-2), so an observer of
   * everything tells: whatever is allowed and comes behind it on the same topic tree has arrived.
   */
  @Test
  void theAccessListLetsEachDoItsOwnAndNothingElse() throws Exception {
    try (SharedBroker broker = SharedBroker.start(folder, authority);
        Subscriber observer = Subscriber.start(with(broker, "observer", "-q", "1", "-t", "#"));
        Journal journal = Journal.open(folder.resolve("journal"), TimeSource.system());
        Publisher publisher =
            broker.publisher(journal, authority.tls("bridge-hollow-lane"), heard)) {
      publisher.start();
      publisher.publishState(Publisher.BRIDGE, Bench.UP);
      Bench.append(journal, "a", 20);
      assertTrue(publisher.awaitDelivered(20, SOON), heard.toString());
      // the state, twenty records, and at least one tally of them
      await().atMost(SOON).until(() -> observer.messages().size() > 21);
      String bridge = "bridge-hollow-lane";
      denied(
          broker, observer, bridge, "tallywire/other-site/bay-1/reading", SITE + "bay-1/reading");
      denied(broker, observer, bridge, SITE + "bridge/confirm/archive", SITE + "bridge/tally");
      denied(broker, observer, bridge, "$SYS/broker/x", SITE + "bay-1/gap");
      String own = SITE + "bridge/confirm/archive";
      denied(broker, observer, "archive", SITE + "bay-1/reading", own);
      denied(broker, observer, "archive", SITE + "bridge/tally", own);
      denied(broker, observer, "archive", SITE + "bridge/confirm/other", own);
    }
  }

  /** What one may read: the bridge its confirmations, a consumer the site. */
  @Test
  void theAccessListLetsEachReadItsOwnAndNothingElse() throws Exception {
    try (SharedBroker broker = SharedBroker.start(folder, authority);
        Subscriber bridge =
            Subscriber.start(with(broker, "bridge-hollow-lane", "-q", "1", "-t", "#"));
        Subscriber archive = Subscriber.start(with(broker, "archive", "-q", "1", "-t", "#"))) {
      publish(broker, "bridge-hollow-lane", SITE + "bay-1/reading", "record");
      publish(broker, "archive", SITE + "bridge/confirm/archive", "confirmed");
      await().atMost(SOON).until(() -> archive.messages().size() == 2);
      await().atMost(SOON).until(() -> !bridge.messages().isEmpty());
      assertEquals(List.of("confirmed"), texts(bridge));
      assertEquals(List.of("record", "confirmed"), texts(archive));
    }
  }

  @Test
  void withMosquittosOwnSettingsASubscriberThatWasAwayLosesRecords() throws Exception {
    try (Mosquitto broker = Mosquitto.startWithItsOwnSettings(folder, Mosquitto.freePort())) {
      List<String> options = List.of("-h", "127.0.0.1", "-p", "" + broker.port());
      subscribe(options);
      publishMany(options);
      int kept = comeBack(options).size();
      // the queue of 1000 and the 20 that may be under way
      assertTrue(kept >= 1000 && kept <= 1020, kept + " of " + MANY);
    }
    try (Mosquitto broker = Mosquitto.startWithItsOwnSettings(folder, Mosquitto.freePort())) {
      List<String> options = List.of("-h", "127.0.0.1", "-p", "" + broker.port());
      subscribe(options);
      publishMany(options);
      broker.terminate();
      try (Mosquitto again = Mosquitto.startWithItsOwnSettings(folder, broker.port())) {
        assertEquals(broker.port(), again.port());
        subscribe(options);
        assertEquals(List.of(), comeBack(options), "an orderly restart lost all of them");
      }
    }
  }

  @Test
  void withOurSettingsASubscriberThatWasAwayGetsAllInOrderAfterARestartToo() throws Exception {
    try (SharedBroker broker = SharedBroker.start(folder, authority)) {
      subscribe(broker.arguments("archive"));
      publishMany(broker.arguments("bridge-hollow-lane"));
      broker.restart();
      List<String> all = IntStream.rangeClosed(1, MANY).mapToObj(i -> "record " + i).toList();
      assertEquals(all, comeBack(broker.arguments("archive")));
    }
  }

  private void denied(
      SharedBroker broker, Subscriber observer, String client, String topic, String allowed)
      throws Exception {
    publish(broker, client, topic, "denied to " + client);
    String mark = "allowed behind " + topic;
    publish(broker, client, allowed, mark);
    await().atMost(SOON).until(() -> texts(observer).contains(mark));
    assertTrue(
        observer.messages().stream().noneMatch(one -> one.text().startsWith("denied")),
        observer.messages()::toString);
  }

  private void publish(SharedBroker broker, String client, String topic, String text)
      throws Exception {
    List<String> command = new ArrayList<>(List.of("mosquitto_pub"));
    command.addAll(with(broker, client, "-q", "1", "-t", topic, "-m", text));
    Programs.run(folder, command.toArray(new String[0]));
  }

  /** Makes a session that stays, and goes. */
  private void subscribe(List<String> options) throws Exception {
    List<String> command = new ArrayList<>(List.of("mosquitto_sub"));
    command.addAll(options);
    command.addAll(List.of("-i", "keeper", "-c", "-q", "1", "-t", SITE + "#", "-E"));
    Programs.run(folder, command.toArray(new String[0]));
  }

  private void publishMany(List<String> options) throws Exception {
    Path lines = Files.createTempFile(folder, "lines", ".txt");
    Files.write(lines, IntStream.rangeClosed(1, MANY).mapToObj(i -> "record " + i).toList());
    List<String> command = new ArrayList<>(List.of("mosquitto_pub"));
    command.addAll(options);
    command.addAll(List.of("-q", "1", "-t", SITE + "bay-1/reading", "-l"));
    Process process = new ProcessBuilder(command).redirectInput(lines.toFile()).start();
    assertTrue(process.waitFor(30, TimeUnit.SECONDS));
    assertEquals(0, process.exitValue());
  }

  /** Returns what waited: all that comes before a mark published now, which cannot overtake. */
  private List<String> comeBack(List<String> options) throws Exception {
    List<String> back = new ArrayList<>(options);
    back.addAll(List.of("-i", "keeper", "-c", "-q", "1", "-t", SITE + "#"));
    try (Subscriber subscriber = Subscriber.start(back)) {
      List<String> command = new ArrayList<>(List.of("mosquitto_pub"));
      command.addAll(options);
      String own = SITE + "bridge/confirm/archive";
      command.addAll(List.of("-q", "1", "-t", own, "-m", "mark"));
      Programs.run(folder, command.toArray(new String[0]));
      await().atMost(SOON).until(() -> texts(subscriber).contains("mark"));
      List<String> all = texts(subscriber);
      return all.subList(0, all.indexOf("mark"));
    }
  }

  private static List<String> with(SharedBroker broker, String client, String... more) {
    List<String> all = new ArrayList<>(broker.arguments(client));
    all.addAll(List.of(more));
    return all;
  }

  private static List<String> texts(Subscriber subscriber) {
    return subscriber.messages().stream().map(Subscriber.Message::text).toList();
  }
}
