package org.tallywire.web;

import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.net.InetAddress;
import java.net.Socket;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import org.tallywire.api.TimeSource;
import org.tallywire.journal.Journal;
import org.tallywire.journal.JournalException;

/** Who is answered, and with which headers; asked over plain sockets, as any program may. */
@Timeout(value = 30, threadMode = Timeout.ThreadMode.SEPARATE_THREAD)
final class GateTest {

  @TempDir static Path folder;
  private static Journal journal;
  private static LivePage page;
  private static int port;

  @BeforeAll
  static void open() throws IOException, JournalException {
    journal = Journal.open(folder.resolve("journal"), TimeSource.system());
    page = new LivePage(journal, "localhost", 0, TimeSource.system());
    port = page.start().getPort();
  }

  @AfterAll
  static void close() {
    page.close();
    journal.close();
  }

  @ParameterizedTest
  @ValueSource(strings = {"localhost", "LOCALHOST:1", "127.0.0.1", "127.0.0.1:8080", "[::1]:80"})
  void aHostOfThisMachineIsAnswered(String host) throws IOException {
    assertStatus(200, get("/", "Host: " + host));
  }

  // DNS rebinding: a foreign name that leads to 127.0.0.1 stands in Host
  @ParameterizedTest
  @ValueSource(
      strings = {
        "example.org",
        "localhost.example.org",
        "127.0.0.1.example.org:80",
        "127.0.0.2",
        "0.0.0.0",
        "localhost:",
        "localhost:80:80"
      })
  void anyOtherHostIsNot(String host) throws IOException {
    String answer = get("/events", "Host: " + host);
    assertTrue(answer.matches("(?s)HTTP/1.1 (421|400) .*"), answer);
    assertTrue(answer.startsWith("HTTP/1.1 421") || host.startsWith("localhost:"), answer);
  }

  @Test
  void aMisdirectedRequestIsToldWhatToDo() throws IOException {
    String answer = get("/", "Host: example.org");
    assertTrue(
        answer.contains(
            "The request names the host \"example.org\"; this page answers only to localhost,"
                + " 127.0.0.1 and [::1]. Open it by one of these names."),
        answer);
  }

  @Test
  void aRequestWithoutHostIsNot() throws IOException {
    assertStatus(421, ask("GET / HTTP/1.0\r\n\r\n"));
  }

  @ParameterizedTest
  @ValueSource(strings = {"http://example.org", "null", "http://localhost:1", "https://localhost"})
  void aForeignOriginIsRefused(String origin) throws IOException {
    assertStatus(403, get("/", "Host: localhost\r\nOrigin: " + origin));
  }

  @Test
  void itsOwnOriginIsAnswered() throws IOException {
    assertStatus(200, get("/", "Host: localhost:" + port + "\r\nOrigin: http://localhost:" + port));
  }

  @Test
  void aForeignSiteCannotHoldAStreamOpenThoughABrowserSendsNoOrigin() throws IOException {
    assertStatus(403, get("/events", "Host: localhost\r\nSec-Fetch-Site: cross-site"));
  }

  @ParameterizedTest
  @ValueSource(strings = {"POST", "PUT", "DELETE", "PATCH", "OPTIONS", "TRACE", "FROB"})
  void nothingButGetAndHeadIsAnswered(String method) throws IOException {
    for (String path : new String[] {"/", "/events", "/nowhere"}) {
      String answer =
          ask(method + " " + path + " HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n");
      assertStatus(405, answer);
      assertTrue(answer.contains("Allow: GET, HEAD"), answer);
    }
  }

  @Test
  void headHasHeadersAndNoBody() throws IOException {
    for (String path : new String[] {"/", "/page.css", "/page.js", "/events"}) {
      String answer =
          ask("HEAD " + path + " HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n");
      assertStatus(200, answer);
      assertTrue(answer.endsWith("\r\n\r\n"), answer);
    }
  }

  @ParameterizedTest
  @ValueSource(
      strings = {
        "/index.html",
        "/events/",
        "/page.html",
        "/../page.html",
        "/%2e%2e/x",
        "/day.jsonl"
      })
  void nothingElseIsServed(String path) throws IOException {
    String answer = get(path, "Host: localhost");
    assertTrue(answer.matches("(?s)HTTP/1.1 40[04] .*"), answer);
  }

  @ParameterizedTest
  @ValueSource(strings = {"/", "/page.js", "/nowhere"})
  void everyAnswerCarriesThePolicy(String path) throws IOException {
    String answer = get(path, "Host: localhost");
    assertTrue(
        answer.contains(
            "Content-Security-Policy: default-src 'none'; script-src 'self'; style-src 'self';"
                + " connect-src 'self'; img-src 'self' data:; frame-ancestors 'none';"
                + " base-uri 'none'; form-action 'none'\r\n"),
        answer);
    assertTrue(answer.contains("X-Content-Type-Options: nosniff\r\n"), answer);
    assertTrue(answer.contains("Referrer-Policy: no-referrer\r\n"), answer);
    assertTrue(!answer.contains("\nServer:") && !answer.contains("Set-Cookie"), answer);
  }

  @Test
  void eventsAreNeverStored() throws IOException {
    try (Socket socket = new Socket(InetAddress.getLoopbackAddress(), port)) {
      socket.setSoTimeout(5000);
      send(socket, "GET /events HTTP/1.1\r\nHost: localhost\r\n\r\n");
      String start = new String(socket.getInputStream().readNBytes(200), StandardCharsets.UTF_8);
      StringBuilder headers = new StringBuilder(start);
      while (headers.indexOf("\r\n\r\n") < 0) {
        headers.append((char) socket.getInputStream().read());
      }
      assertStatus(200, headers.toString());
      assertTrue(headers.indexOf("Cache-Control: no-store\r\n") > 0, headers.toString());
      assertTrue(headers.indexOf("Content-Type: text/event-stream") > 0, headers.toString());
    }
  }

  private static void assertStatus(int status, String answer) {
    assertTrue(answer.startsWith("HTTP/1.1 " + status + " "), answer);
  }

  private static String get(String path, String headers) throws IOException {
    return ask("GET " + path + " HTTP/1.1\r\n" + headers + "\r\nConnection: close\r\n\r\n");
  }

  private static String ask(String request) throws IOException {
    try (Socket socket = new Socket(InetAddress.getLoopbackAddress(), port)) {
      socket.setSoTimeout(5000);
      send(socket, request);
      return new String(socket.getInputStream().readAllBytes(), StandardCharsets.UTF_8);
    }
  }

  private static void send(Socket socket, String request) throws IOException {
    socket.getOutputStream().write(request.getBytes(StandardCharsets.US_ASCII));
    socket.getOutputStream().flush();
  }
}
