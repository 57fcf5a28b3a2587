package org.tallywire.publish;

import static org.awaitility.Awaitility.await;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;
import static org.junit.jupiter.api.Assertions.fail;

import java.io.IOException;
import java.net.InetAddress;
import java.net.ServerSocket;
import java.net.Socket;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.time.Duration;
import java.util.List;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.Assumptions;

/** A real mosquitto broker on a loopback port, without persistence, ended by its process id. */
public final class Mosquitto implements AutoCloseable {

  private static final Path PROGRAM = Path.of("/usr/sbin/mosquitto");
  private static final Path SUBSCRIBER = Path.of("/usr/bin/mosquitto_sub");

  private final Process process;
  private final int port;

  private Mosquitto(Process process, int port) {
    this.process = process;
    this.port = port;
  }

  /** Skips the test where mosquitto is not installed; on a build server (CI=true) fails it. */
  public static void require() {
    boolean there = Files.isExecutable(PROGRAM) && Files.isExecutable(SUBSCRIBER);
    if (!there && "true".equals(System.getenv("CI"))) {
      fail("mosquitto and mosquitto_sub are needed on the build server: " + PROGRAM);
    }
    Assumptions.assumeTrue(there, "mosquitto is not installed");
  }

  /** Returns a port that was free a moment ago. */
  public static int freePort() throws IOException {
    try (ServerSocket socket = new ServerSocket(0, 1, InetAddress.getLoopbackAddress())) {
      return socket.getLocalPort();
    }
  }

  /** Starts a broker that lets everybody in. */
  public static Mosquitto start(Path folder, int port) throws Exception {
    return start(folder, port, List.of("allow_anonymous true"));
  }

  /** Starts a broker that lets in one user with one password. */
  public static Mosquitto start(Path folder, int port, String user, String password)
      throws Exception {
    Path file = folder.resolve("passwords");
    Process made =
        new ProcessBuilder("mosquitto_passwd", "-b", "-c", file.toString(), user, password)
            .inheritIO()
            .start();
    assertTrue(made.waitFor(5, TimeUnit.SECONDS));
    assertEquals(0, made.exitValue());
    return start(folder, port, List.of("allow_anonymous false", "password_file " + file));
  }

  private static Mosquitto start(Path folder, int port, List<String> lines) throws Exception {
    Path config = Files.createTempFile(folder, "mosquitto", ".conf");
    Files.write(
        config,
        List.of(
            "listener " + port + " 127.0.0.1",
            "persistence false",
            "max_queued_messages 100000",
            // started by root it would become another user, who may not read our folder
            "user " + System.getProperty("user.name")));
    Files.write(config, lines, StandardOpenOption.APPEND);
    Process process =
        new ProcessBuilder(PROGRAM.toString(), "-c", config.toString())
            .redirectErrorStream(true)
            .redirectOutput(config.resolveSibling(config.getFileName() + ".log").toFile())
            .start();
    Mosquitto broker = new Mosquitto(process, port);
    try {
      await().atMost(Duration.ofSeconds(10)).until(() -> listens(port));
    } catch (RuntimeException e) {
      broker.kill();
      throw e;
    }
    return broker;
  }

  public int port() {
    return port;
  }

  /** Stops it in its tracks: its connections stay open and nothing is answered. */
  public void freeze() throws Exception {
    signal("-STOP");
  }

  /** Lets it go on after {@link #freeze}. */
  public void thaw() throws Exception {
    signal("-CONT");
  }

  private void signal(String which) throws Exception {
    Process kill = new ProcessBuilder("kill", which, Long.toString(process.pid())).start();
    assertTrue(kill.waitFor(5, TimeUnit.SECONDS));
    assertEquals(0, kill.exitValue());
  }

  /** Kills it, also when frozen; what it held in memory is gone. */
  public void kill() {
    process.destroyForcibly();
    await().atMost(Duration.ofSeconds(5)).until(() -> !process.isAlive());
  }

  @Override
  public void close() {
    kill();
  }

  private static boolean listens(int port) {
    try (Socket socket = new Socket(InetAddress.getLoopbackAddress(), port)) {
      return socket.isConnected();
    } catch (IOException e) {
      return false;
    }
  }
}
