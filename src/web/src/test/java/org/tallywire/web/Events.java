package org.tallywire.web;

import java.io.BufferedReader;
import java.io.IOException;
import java.io.InputStream;
import java.io.InputStreamReader;
import java.io.UncheckedIOException;
import java.net.URI;
import java.net.http.HttpClient;
import java.net.http.HttpRequest;
import java.net.http.HttpResponse;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.ArrayList;
import java.util.Collection;
import java.util.List;
import java.util.concurrent.BlockingQueue;
import java.util.concurrent.LinkedBlockingQueue;
import java.util.concurrent.TimeUnit;

/** Reads an event stream by the WHATWG rules, in a thread of its own. */
final class Events implements AutoCloseable {

  static final HttpClient CLIENT = HttpClient.newHttpClient();

  /** One event or, with the type "comment", one comment line; type "end" ends it. */
  record Event(String type, String id, String data) {}

  private final BlockingQueue<Event> events = new LinkedBlockingQueue<>();
  private final InputStream body;

  Events(URI page, String lastEventId) throws IOException, InterruptedException {
    HttpRequest.Builder request =
        HttpRequest.newBuilder(page.resolve("/events")).timeout(Duration.ofSeconds(5));
    if (!lastEventId.isEmpty()) {
      request.header("Last-Event-ID", lastEventId);
    }
    HttpResponse<InputStream> answer =
        CLIENT.send(request.build(), HttpResponse.BodyHandlers.ofInputStream());
    body = answer.body();
    if (answer.statusCode() != 200) {
      throw new IOException(
          answer.statusCode() + " " + new String(body.readAllBytes(), StandardCharsets.UTF_8));
    }
    Thread thread = new Thread(this::read, "events");
    thread.setDaemon(true);
    thread.start();
  }

  private void read() {
    try (BufferedReader reader =
        new BufferedReader(new InputStreamReader(body, StandardCharsets.UTF_8))) {
      parse(reader, events);
    } catch (IOException | UncheckedIOException e) {
      events.add(new Event("end", "", e.toString()));
    }
    events.add(new Event("end", "", ""));
  }

  static void parse(BufferedReader reader, Collection<Event> into) throws IOException {
    String type = "message";
    String id = "";
    List<String> data = new ArrayList<>();
    for (String line = reader.readLine(); line != null; line = reader.readLine()) {
      if (line.isEmpty()) {
        if (!data.isEmpty()) {
          into.add(new Event(type, id, String.join("\n", data)));
        }
        type = "message";
        id = "";
        data = new ArrayList<>();
      } else if (line.startsWith(": ")) {
        into.add(new Event("comment", "", line.substring(2)));
      } else if (line.startsWith("event: ")) {
        type = line.substring(7);
      } else if (line.startsWith("id: ")) {
        id = line.substring(4);
      } else if (line.startsWith("data: ")) {
        data.add(line.substring(6));
      }
    }
  }

  /** Returns the next event that is no comment. */
  Event next() throws InterruptedException {
    Event event = nextOrComment();
    return event.type().equals("comment") ? next() : event;
  }

  Event nextOrComment() throws InterruptedException {
    Event event = events.poll(6, TimeUnit.SECONDS);
    if (event == null) {
      throw new AssertionError("no event came within 6 s");
    }
    return event;
  }

  /** Returns the next so many events that are no comments. */
  List<Event> next(int count) throws InterruptedException {
    List<Event> found = new ArrayList<>();
    while (found.size() < count) {
      found.add(next());
    }
    return found;
  }

  @Override
  public void close() throws IOException {
    body.close();
  }
}
