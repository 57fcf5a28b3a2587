package org.tallywire.publish;

import static org.awaitility.Awaitility.await;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardCopyOption;
import java.time.Duration;
import java.util.Optional;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.api.io.TempDir;
import org.tallywire.api.TimeSource;
import org.tallywire.journal.Journal;

/** TLS with a private authority against a real mosquitto set up by shared/broker. */
@Timeout(60)
class TlsTest {

  private static final Duration SOON = Duration.ofSeconds(20);

  @TempDir private static Path shared;
  private static Authority authority;
  private static Authority stranger;
  private static SharedBroker broker;

  @TempDir private Path folder;
  private Journal journal;
  private final Heard heard = new Heard();

  @BeforeAll
  static void start() throws Exception {
    Mosquitto.require();
    Programs.require("openssl", "sh");
    authority = Authority.make(shared.resolve("authority"));
    stranger = Authority.make(shared.resolve("stranger"));
    authority.revokeArchive();
    broker = SharedBroker.start(shared, authority);
  }

  @AfterAll
  static void stop() {
    if (broker != null) {
      broker.close();
    }
  }

  @BeforeEach
  void open() throws Exception {
    journal = Journal.open(folder.resolve("journal"), TimeSource.system());
  }

  @AfterEach
  void close() {
    journal.close();
  }

  @Test
  void withACertificateOfTheSameAuthorityEverythingArrives() throws Exception {
    Bench.append(journal, "a", 200);
    try (Publisher publisher = broker.publisher(journal, ours(), heard)) {
      publisher.start();
      assertTrue(publisher.awaitDelivered(200, SOON), heard.toString());
      assertFalse(heard.sentence(BrokerState.CONNECTED).contains("expires"));
    }
  }

  @Test
  void aBrokerOfAnotherAuthorityIsNotSpokenTo() throws Exception {
    Tls wrong =
        new Tls(
            Optional.of(stranger.file("ca.pem")),
            ours().certificate(),
            ours().key(),
            Optional.empty());
    refused(
        wrong,
        "\"CN=localhost\" comes from \"CN=Hollow Lane authority\"",
        "no authority in " + stranger.file("ca.pem"),
        "tls: authority");
    heard.clear();
    // nor do the authorities of the Java installation know it
    refused(
        new Tls(Optional.empty(), ours().certificate(), ours().key(), Optional.empty()),
        "those of the Java installation");
  }

  /** RFC 2818, 3.1: an address must be among the certificate's addresses; a name will not do. */
  @Test
  void aBrokerWhoseCertificateIsForAnotherHostIsNotSpokenTo() throws Exception {
    refused(
        "mqtts://127.0.0.1:" + broker.port(),
        ours(),
        "is for \"localhost\" and not for \"127.0.0.1\"",
        "write a name there that the certificate has");
  }

  @Test
  void aBrokerWhoseCertificateHasExpiredIsNotSpokenTo() throws Exception {
    Path expired = authority.renewed("broker", -1);
    try (SharedBroker late = SharedBroker.start(folder, authority, expired)) {
      refused(late.uri(), ours(), "\"CN=localhost\" expired on", "renewed at the broker");
    }
  }

  @Test
  void withoutACertificateTheBrokerWillNotHaveUs() throws Exception {
    refused(
        new Tls(Optional.of(authority.file("ca.pem")), none(), none(), Optional.empty()),
        "wants a certificate from us",
        "tls: certificate and key",
        "alert");
  }

  @Test
  void withACertificateOfAnotherAuthorityTheBrokerWillNotHaveUs() throws Exception {
    refused(
        new Tls(
            Optional.of(authority.file("ca.pem")),
            Optional.of(stranger.file("bridge-hollow-lane.pem")),
            Optional.of(stranger.file("bridge-hollow-lane.key")),
            Optional.empty()),
        "CN=bridge-hollow-lane",
        "(mosquitto: cafile)",
        "alert");
  }

  @Test
  void withARevokedCertificateTheBrokerWillNotHaveUs() throws Exception {
    refused(authority.tls("archive"), "\"CN=archive\"", "is revoked at the broker");
  }

  @Test
  void anExpiredCertificateIsNotSentAtAll() throws Exception {
    Tls expired = withCertificate(authority.renewed("bridge-hollow-lane", -1));
    refused(expired, "our certificate \"CN=bridge-hollow-lane\" expired on", "have a new one made");
  }

  @Test
  void aPortThatDoesNotSpeakTlsIsSaidToBeOne() throws Exception {
    try (TalkingPort plain = new TalkingPort()) {
      refused("mqtts://localhost:" + plain.port(), ours(), "does not speak TLS", "usually 8883");
    }
  }

  @Test
  void aCertificateThatEndsSoonIsSaidInTheStateAndARenewedOneIsTakenWithoutARestart()
      throws Exception {
    Path file = folder.resolve("ours.pem");
    Files.copy(authority.renewed("bridge-hollow-lane", 12), file);
    try (Publisher publisher = broker.publisher(journal, withCertificate(file), heard)) {
      publisher.start();
      await().atMost(SOON).until(() -> heard.heard(BrokerState.CONNECTED));
      String sentence = heard.sentence(BrokerState.CONNECTED);
      assertTrue(sentence.contains("expires on"), sentence);
      assertTrue(sentence.contains("in 11 days") || sentence.contains("in 12 days"), sentence);
    }
    heard.clear();
    Files.writeString(file, "");
    try (Publisher publisher = broker.publisher(journal, withCertificate(file), heard)) {
      publisher.start();
      await().atMost(SOON).until(() -> heard.heard(BrokerState.REFUSED));
      assertTrue(heard.sentence(BrokerState.REFUSED).contains(file + " is not PEM: it is empty"));
      Files.copy(authority.file("bridge-hollow-lane.pem"), folder.resolve("new.pem"));
      Files.move(folder.resolve("new.pem"), file, StandardCopyOption.REPLACE_EXISTING);
      await().atMost(SOON).until(() -> heard.heard(BrokerState.CONNECTED));
    }
  }

  /** The gate that keeps the library from leaving threads behind holds under TLS too. */
  @Test
  void refusedAndSilentHandshakesLeaveNoThreads() throws Exception {
    try (FakeBroker mute = FakeBroker.start(n -> FakeBroker.Manner.silent())) {
      Publisher publisher =
          broker.publisher(journal, "mqtts://localhost:" + mute.port(), "x", ours(), heard);
      publisher.start();
      await().atMost(SOON).until(() -> mute.connections() > 0);
      long start = System.nanoTime();
      publisher.close();
      assertTrue(Duration.ofNanos(System.nanoTime() - start).toSeconds() < 8);
      await().atMost(SOON).until(() -> publisher.leftBehind() == 0);
    }
    Publisher revoked = broker.publisher(journal, authority.tls("archive"), heard);
    revoked.start();
    await().atMost(SOON).until(() -> heard.count(BrokerState.REFUSED) >= 2);
    revoked.close();
    await().atMost(SOON).until(() -> revoked.leftBehind() == 0);
  }

  private void refused(Tls tls, String... words) throws Exception {
    refused(broker.uri(), tls, words);
  }

  private void refused(String uri, Tls tls, String... words) throws Exception {
    try (Publisher publisher = broker.publisher(journal, uri, "hollow-lane", tls, heard)) {
      publisher.start();
      await()
          .atMost(SOON)
          .until(
              () -> heard.heard(BrokerState.REFUSED) || heard.count(BrokerState.UNREACHABLE) > 2);
      assertTrue(heard.heard(BrokerState.REFUSED), heard.toString());
      String sentence = heard.sentence(BrokerState.REFUSED);
      for (String word : words) {
        assertTrue(sentence.contains(word), word + "\n" + sentence);
      }
      // the pause of a refusal, not the growing one of a line that may come back
      assertTrue(sentence.contains("trying again in " + Bench.QUICK.refusedPause().toMillis()));
      assertFalse(heard.heard(BrokerState.CONNECTED), heard.toString());
      assertFalse(heard.heard(BrokerState.UNREACHABLE), heard.toString());
    }
  }

  private static Tls ours() {
    return authority.tls("bridge-hollow-lane");
  }

  private static Tls withCertificate(Path certificate) {
    return new Tls(ours().authority(), Optional.of(certificate), ours().key(), Optional.empty());
  }

  private static Optional<Path> none() {
    return Optional.empty();
  }
}
