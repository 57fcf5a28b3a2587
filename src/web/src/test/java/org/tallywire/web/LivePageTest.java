package org.tallywire.web;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTimeoutPreemptively;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.BufferedReader;
import java.io.IOException;
import java.io.InputStreamReader;
import java.io.StringReader;
import java.net.InetAddress;
import java.net.InetSocketAddress;
import java.net.ServerSocket;
import java.net.Socket;
import java.net.URI;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.stream.LongStream;
import org.awaitility.Awaitility;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.api.io.TempDir;
import org.tallywire.api.TimeSource;
import org.tallywire.journal.Journal;
import org.tallywire.journal.JournalException;

/** The event stream, over real connections and a real journal. */
@Timeout(value = 30, threadMode = Timeout.ThreadMode.SEPARATE_THREAD)
final class LivePageTest {

  @TempDir Path folder;
  private Journal journal;
  private LivePage page;
  private URI address;

  @BeforeEach
  void open() throws IOException, JournalException {
    journal = Journal.open(folder.resolve("journal"), TimeSource.system());
    page = new LivePage(journal, "127.0.0.1", 0, TimeSource.system());
    address = page.start();
  }

  @AfterEach
  void close() {
    page.close();
    journal.close();
  }

  @Test
  void historyComesInOrderAsJournalledThenCaughtupThenWhatIsNew() throws Exception {
    List<String> lines = SampleDay.lines();
    SampleDay.append(journal, lines.subList(0, 50));
    try (Events events = new Events(address, "")) {
      List<Events.Event> history = events.next(50);
      assertEquals(lines.subList(0, 50), history.stream().map(Events.Event::data).toList());
      assertEquals(ids(1, 50), history.stream().map(Events.Event::id).toList());
      assertEquals(List.of("entry"), history.stream().map(Events.Event::type).distinct().toList());
      Events.Event caughtUp = events.next();
      assertEquals("caughtup", caughtUp.type());
      assertEquals("", caughtUp.id());
      assertEquals(50, SampleDay.JSON.readTree(caughtUp.data()).get("position").asInt());
      SampleDay.append(journal, lines.subList(50, 60));
      assertEquals(
          lines.subList(50, 60), events.next(10).stream().map(Events.Event::data).toList());
    }
  }

  @Test
  void aClientThatComesAgainGetsWhatItMissedAndNothingTwice() throws Exception {
    SampleDay.appendNotes(journal, 1, 7, 10);
    try (Events events = new Events(address, "5")) {
      assertEquals(ids(6, 7), events.next(2).stream().map(Events.Event::id).toList());
      assertEquals("caughtup", events.next().type());
    }
    try (Events events = new Events(address, "7")) {
      assertEquals("caughtup", events.next().type());
      SampleDay.appendNotes(journal, 8, 1, 10);
      assertEquals("8", events.next().id());
    }
  }

  @Test
  void aClientThatComesWhileMuchIsWrittenMissesAndDoublesNothing() throws Exception {
    int total = 3000;
    Thread writer =
        new Thread(
            () -> {
              try {
                for (int n = 1; n <= total; n += 10) {
                  SampleDay.appendNotes(journal, n, 10, 20);
                }
              } catch (JournalException e) {
                throw new IllegalStateException(e);
              }
            });
    writer.start();
    for (int client = 0; client < 3; client++) {
      try (Events events = new Events(address, "")) {
        List<String> seen = new ArrayList<>();
        while (seen.size() < total) {
          Events.Event event = events.next();
          if (event.type().equals("entry")) {
            seen.add(event.id());
          }
        }
        assertEquals(ids(1, total), seen);
      }
    }
    writer.join(5000);
  }

  @Test
  void aNumberFromAnotherJournalIsRefusedAndSoIsOneThatIsNone() throws Exception {
    SampleDay.appendNotes(journal, 1, 3, 10);
    IOException other = assertThrows(IOException.class, () -> new Events(address, "4"));
    assertEquals(
        "409 Last-Event-ID is 4, but this journal ends at entry 3: the number comes from another"
            + " journal. Forget what was shown and connect without the header.\n",
        other.getMessage());
    IOException none = assertThrows(IOException.class, () -> new Events(address, "4; x"));
    assertTrue(none.getMessage().startsWith("400 The header Last-Event-ID"), none.getMessage());
  }

  @Test
  void theLatestStateOfEachStationComesAtOnceAndThenEachChange() throws Exception {
    page.publishState("bay-2", SampleDay.state("bay-2", "station", "connecting", "first"));
    page.publishState("bay-2", SampleDay.state("bay-2", "station", "connected", "second"));
    page.publishState("bridge", SampleDay.state("bridge", "bridge", "running", "well"));
    SampleDay.appendNotes(journal, 1, 1, 10);
    try (Events events = new Events(address, "")) {
      List<Events.Event> first = events.next(4);
      assertEquals(
          List.of("state", "state", "entry", "caughtup"),
          first.stream().map(Events.Event::type).toList());
      assertTrue(first.get(0).data().contains("second"), first.get(0).data());
      assertEquals("", first.get(0).id());
      page.publishState("bay-2", SampleDay.state("bay-2", "station", "down", "third"));
      Events.Event change = events.next();
      assertEquals("state", change.type());
      assertTrue(change.data().contains("third"), change.data());
    }
  }

  @Test
  void aQuietStreamShowsASignOfLifeWithTheServersTime() throws Exception {
    try (Events events = new Events(address, "")) {
      assertEquals("caughtup", events.next().type());
      Events.Event comment =
          assertTimeoutPreemptively(Duration.ofSeconds(4), events::nextOrComment);
      assertEquals("comment", comment.type());
      Duration old = Duration.between(Instant.parse(comment.data()), Instant.now());
      assertTrue(old.abs().toSeconds() < 2, comment.data());
    }
  }

  @Test
  void aClientThatTakesNothingSlowsNobodyAndLosesNothing() throws Exception {
    int count = Mailbox.CAPACITY * 3;
    try (Socket slow = new Socket();
        Events quick = new Events(address, "")) {
      slow.setReceiveBufferSize(8192);
      slow.connect(new InetSocketAddress(InetAddress.getLoopbackAddress(), address.getPort()));
      ask(slow, "GET /events HTTP/1.0\r\nHost: localhost\r\n\r\n");
      Awaitility.await().atMost(Duration.ofMinutes(1)).until(() -> page.clients() == 2);
      assertEquals("caughtup", quick.next().type());
      // 768 entries of 20 kB: more than the socket's buffers and the mailbox hold together
      for (int n = 1; n <= count; n += 128) {
        SampleDay.appendNotes(journal, n, 128, 20_000);
        assertEquals(ids(n, n + 127), quick.next(128).stream().map(Events.Event::id).toList());
      }
      List<Events.Event> late = new ArrayList<>();
      readEvents(slow, late, count + 1);
      assertEquals(
          ids(1, count),
          late.stream().filter(e -> e.type().equals("entry")).map(Events.Event::id).toList());
    }
  }

  @Test
  void theThirtyThirdClientIsToldSoAndAPlaceIsFreeAgainWhenOneLeaves() throws Exception {
    List<Events> all = new ArrayList<>();
    try {
      for (int n = 0; n < Audience.MAX_CLIENTS; n++) {
        all.add(new Events(address, ""));
      }
      IOException refused = assertThrows(IOException.class, () -> new Events(address, ""));
      assertTrue(
          refused.getMessage().startsWith("503 There are already 32 pages connected"),
          refused.getMessage());
      all.remove(0).close();
      // that it has gone shows at the second write after it went
      for (int n = 1; page.clients() == Audience.MAX_CLIENTS; n++) {
        SampleDay.appendNotes(journal, n, 1, 10);
        assertTrue(n < 5000, "the place of the one who left is still taken");
      }
      all.add(new Events(address, ""));
    } finally {
      for (Events events : all) {
        events.close();
      }
    }
  }

  @Test
  void closingEndsTheStreamsSoonAndMayBeDoneTwice() throws Exception {
    try (Events events = new Events(address, "");
        Socket slow = new Socket(InetAddress.getLoopbackAddress(), address.getPort())) {
      ask(slow, "GET /events HTTP/1.0\r\nHost: localhost\r\n\r\n");
      Awaitility.await().atMost(Duration.ofMinutes(1)).until(() -> page.clients() == 2);
      SampleDay.appendNotes(journal, 1, 400, 20_000);
      assertEquals("caughtup", events.next().type());
      long began = System.nanoTime();
      page.close();
      page.close();
      long took = Duration.ofNanos(System.nanoTime() - began).toMillis();
      assertTrue(took < 5000, took + " ms");
      Awaitility.await()
          .atMost(Duration.ofMinutes(1))
          .until(() -> events.next().type().equals("end"));
      assertEquals(0, threads("live-page"));
    }
  }

  @Test
  void aPortThatIsTakenIsNamed() throws IOException {
    try (ServerSocket taken = new ServerSocket(0, 1, InetAddress.getLoopbackAddress())) {
      try (LivePage second =
          new LivePage(journal, "127.0.0.1", taken.getLocalPort(), TimeSource.system())) {
        IOException e = assertThrows(IOException.class, second::start);
        assertTrue(
            e.getMessage()
                .startsWith(
                    "the live page could not listen on 127.0.0.1 port " + taken.getLocalPort()),
            e.getMessage());
        assertTrue(e.getMessage().contains("choose another port"), e.getMessage());
      }
    }
  }

  @Test
  void aHostThatOthersCanReachIsRefused() {
    try (LivePage open = new LivePage(journal, "0.0.0.0", 0, TimeSource.system())) {
      IOException e = assertThrows(IOException.class, open::start);
      assertTrue(e.getMessage().contains("it has no login yet. Use 127.0.0.1"), e.getMessage());
    }
  }

  private static List<String> ids(long from, long to) {
    return LongStream.rangeClosed(from, to).mapToObj(Long::toString).toList();
  }

  private static void ask(Socket socket, String request) throws IOException {
    socket.setSoTimeout(8000);
    socket.getOutputStream().write(request.getBytes(StandardCharsets.US_ASCII));
    socket.getOutputStream().flush();
  }

  private static long threads(String prefix) {
    return Thread.getAllStackTraces().keySet().stream()
        .filter(t -> t.isAlive() && t.getName().startsWith(prefix))
        .count();
  }

  // HTTP/1.0, so that the body is the stream and not in chunks.
  private static void readEvents(Socket socket, List<Events.Event> into, int count)
      throws IOException {
    BufferedReader reader =
        new BufferedReader(new InputStreamReader(socket.getInputStream(), StandardCharsets.UTF_8));
    skipHeaders(reader);
    while (into.stream().filter(e -> !e.type().equals("comment")).count() < count) {
      StringBuilder one = new StringBuilder();
      for (String line = reader.readLine(); !line.isEmpty(); line = reader.readLine()) {
        one.append(line).append('\n');
      }
      Events.parse(new BufferedReader(new StringReader(one + "\n")), into);
    }
  }

  private static void skipHeaders(BufferedReader reader) throws IOException {
    String line = reader.readLine();
    while (!line.isEmpty()) {
      line = reader.readLine();
    }
  }
}
