package org.tallywire.bridge;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.io.PrintWriter;
import java.io.StringWriter;
import java.net.InetAddress;
import java.net.ServerSocket;
import java.net.Socket;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** {@code tallywire capture} before a real socket. */
class CaptureCommandTest {

  @TempDir private Path folder;

  private ServerSocket server;
  private Path file;

  @BeforeEach
  void listen() throws Exception {
    server = new ServerSocket(0, 4, InetAddress.getLoopbackAddress());
    file = folder.resolve("bench.capture");
  }

  @AfterEach
  void stop() throws Exception {
    server.close();
  }

  @Test
  @DisplayName("What is sent and what came is in the file, until the other side ends it: exit 3")
  void records() throws Exception {
    CompletableFuture<String> asked = meter();
    assertEquals(Tallywire.NOT_AS_IT_SHOULD_BE, capture("--send", "*IDN?\\n"));
    assertEquals("*IDN?\n", asked.get(5, TimeUnit.SECONDS));
    List<String> lines = Files.readAllLines(file);
    assertEquals("# tallywire capture 1", lines.get(0));
    assertTrue(lines.get(1).contains("tcp://127.0.0.1:" + server.getLocalPort()), lines.get(1));
    assertEquals(
        List.of("> *IDN?\\n", "< \\x02+1.234\\x03\\r\\n", "ended"),
        lines.subList(4, lines.size()).stream()
            .map(line -> line.replaceFirst("^(# )?[0-9]+\\.[0-9]{6} ", ""))
            .toList());
  }

  /** Answers one question and ends. */
  private CompletableFuture<String> meter() {
    return CompletableFuture.supplyAsync(
        () -> {
          try (Socket peer = server.accept()) {
            byte[] asked = peer.getInputStream().readNBytes(6);
            peer.getOutputStream()
                .write("\u0002+1.234\u0003\r\n".getBytes(StandardCharsets.US_ASCII));
            return new String(asked, StandardCharsets.US_ASCII);
          } catch (IOException e) {
            throw new IllegalStateException(e);
          }
        });
  }

  @Test
  @DisplayName("It only listens where it is not told to send, and ends by itself after --for")
  void listens() throws Exception {
    assertEquals(Tallywire.OK, capture("--for", "300 ms"));
    try (Socket peer = server.accept()) {
      assertEquals(0, peer.getInputStream().readAllBytes().length);
    }
    assertTrue(Files.readString(file).contains(" ended"));
  }

  @Test
  @DisplayName("A file that is there stays as it is, and no connection is made")
  void refusesToOverwrite() throws Exception {
    Files.writeString(file, "precious");
    assertEquals(Tallywire.SETUP, capture("--for", "0.3"));
    assertEquals("precious", Files.readString(file));
    server.setSoTimeout(1);
    assertThrows(IOException.class, server::accept);
  }

  @ParameterizedTest
  @ValueSource(
      strings = {
        "--send=\\q",
        "--every=1",
        "--stop-bits=3",
        "--flow=maybe",
        "--baud=1",
        "--for=ten",
        "--for=0",
        "--settle=61 s",
        "--dtr=raised"
      })
  @DisplayName("What is wrong on the command line gives exit 2, and no file")
  void wrong(String argument) {
    StringWriter told = new StringWriter();
    int exit =
        Tallywire.commandLine()
            .setErr(new PrintWriter(told, true))
            .execute("capture", "--port", "COM5", argument, file.toString());
    assertEquals(Tallywire.SETUP, exit);
    String wrong = argument.contains("baud") ? "baud" : argument.replaceFirst("=.*", ":");
    assertTrue(told.toString().contains(wrong), told.toString());
    assertFalse(Files.exists(file));
  }

  @Test
  @DisplayName("A port that cannot be opened leaves no empty file")
  void cannotBeOpened() throws Exception {
    server.close();
    assertEquals(Tallywire.SETUP, capture("--for", "0.3"));
    assertEquals(Tallywire.SETUP, run("--port", "/dev/nothing-of-that-name", file.toString()));
    assertEquals(Tallywire.SETUP, run(file.toString()));
    assertFalse(Files.exists(file));
  }

  @Test
  @DisplayName("A program is split into words at blanks outside quotes, by no shell")
  void words() {
    assertEquals(
        List.of("python3", "a b", "", "$HOME", "c'd"),
        CommandWords.split(" python3 'a b' ''  $HOME \"c'd\" "));
    assertThrows(IllegalArgumentException.class, () -> CommandWords.split("python3 'a"));
    assertThrows(IllegalArgumentException.class, () -> CommandWords.split("  "));
  }

  private int capture(String... options) {
    String[] all = new String[options.length + 3];
    all[0] = "--port";
    all[1] = "tcp://127.0.0.1:" + server.getLocalPort();
    System.arraycopy(options, 0, all, 2, options.length);
    all[all.length - 1] = file.toString();
    return run(all);
  }

  private static int run(String... arguments) {
    String[] all = new String[arguments.length + 1];
    all[0] = "capture";
    System.arraycopy(arguments, 0, all, 1, arguments.length);
    return Tallywire.commandLine().execute(all);
  }
}
