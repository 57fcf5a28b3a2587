package org.tallywire.publish;

import static org.awaitility.Awaitility.await;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.net.InetAddress;
import java.net.Socket;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardCopyOption;
import java.nio.file.StandardOpenOption;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.Set;
import java.util.concurrent.TimeUnit;
import org.tallywire.api.TimeSource;
import org.tallywire.journal.Journal;

/**
 * A real mosquitto with the files of shared/broker, other paths, port and user apart; and an
 * observer in its access list who may read everything.
 */
final class SharedBroker implements AutoCloseable {

  /** Quick to try again; a first handshake on a busy machine takes its time. */
  static final Pace PATIENT =
      new Pace(
          Duration.ofMillis(50),
          Duration.ofMillis(200),
          Duration.ofMillis(300),
          Duration.ofSeconds(15),
          Duration.ofSeconds(20),
          Duration.ofSeconds(1),
          Duration.ofSeconds(1));

  private static final String ETC = "/etc/mosquitto/tallywire/";
  private static final String STORE = "/var/lib/mosquitto/";

  private final Path folder;
  private final Authority authority;
  private final int port;
  private Process process;

  private SharedBroker(Path folder, Authority authority, int port, Process process) {
    this.folder = folder;
    this.authority = authority;
    this.port = port;
    this.process = process;
  }

  static SharedBroker start(Path folder, Authority authority) throws Exception {
    return start(folder, authority, authority.file("broker.pem"));
  }

  static SharedBroker start(Path folder, Authority authority, Path certificate) throws Exception {
    Path etc = Files.createDirectories(folder.resolve("etc"));
    Path store = Files.createDirectories(folder.resolve("store"));
    for (String name : List.of("ca.pem", "broker.key", "revoked.pem")) {
      Files.copy(authority.file(name), etc.resolve(name), StandardCopyOption.REPLACE_EXISTING);
    }
    Files.copy(certificate, etc.resolve("broker.pem"), StandardCopyOption.REPLACE_EXISTING);
    Path list = etc.resolve("access-list");
    Files.copy(Authority.SHARED.resolve("access-list"), list, StandardCopyOption.REPLACE_EXISTING);
    Files.writeString(list, "\nuser observer\ntopic read #\n", StandardOpenOption.APPEND);
    int port = Mosquitto.freePort();
    String config = Files.readString(Authority.SHARED.resolve("mosquitto.conf"));
    for (String expected : List.of("listener 8883\n", ETC, STORE)) {
      assertTrue(config.contains(expected), expected);
    }
    Files.writeString(
        folder.resolve("mosquitto.conf"),
        config
                .replace("listener 8883\n", "listener " + port + " 127.0.0.1\n")
                .replace(ETC, etc + "/")
                .replace(STORE, store + "/")
            // started by root it would become another user, who may not read our folder
            + "user "
            + System.getProperty("user.name")
            + "\n");
    return new SharedBroker(folder, authority, port, process(folder, port));
  }

  private static Process process(Path folder, int port) throws IOException {
    Process process =
        new ProcessBuilder("/usr/sbin/mosquitto", "-c", folder.resolve("mosquitto.conf").toString())
            .redirectErrorStream(true)
            .redirectOutput(
                ProcessBuilder.Redirect.appendTo(folder.resolve("mosquitto.log").toFile()))
            .start();
    try {
      await()
          .pollInterval(Duration.ofMillis(20))
          .atMost(Duration.ofSeconds(10))
          .until(() -> listens(port));
    } catch (RuntimeException e) {
      process.destroyForcibly();
      throw new IOException(Files.readString(folder.resolve("mosquitto.log")), e);
    }
    return process;
  }

  /** Ends it as the system does at a shutdown, and starts it again. */
  void restart() throws Exception {
    process.destroy();
    assertTrue(process.waitFor(60, TimeUnit.SECONDS));
    process = process(folder, port);
  }

  int port() {
    return port;
  }

  String uri() {
    return "mqtts://localhost:" + port;
  }

  /** Options of mosquitto's clients to be one of this broker's. */
  List<String> arguments(String client) {
    List<String> arguments = new ArrayList<>(List.of("-h", "localhost", "-p", "" + port));
    arguments.addAll(authority.arguments(client));
    return arguments;
  }

  Publisher publisher(Journal journal, Tls tls, Heard heard) {
    return publisher(journal, uri(), "hollow-lane", tls, heard);
  }

  Publisher publisher(Journal journal, String uri, String site, Tls tls, Heard heard) {
    BrokerAddress address =
        new BrokerAddress(
            uri,
            "test-" + port,
            Optional.empty(),
            Optional.empty(),
            "tallywire",
            site,
            Optional.of(tls),
            Set.of());
    return new Publisher(
        journal, address, Bench.DOWN, Bench.TALLY, TimeSource.system(), heard, PATIENT);
  }

  @Override
  public void close() {
    process.destroyForcibly();
    await().atMost(Duration.ofSeconds(5)).until(() -> !process.isAlive());
  }

  private static boolean listens(int port) {
    try (Socket socket = new Socket(InetAddress.getLoopbackAddress(), port)) {
      return socket.isConnected();
    } catch (IOException e) {
      return false;
    }
  }
}
