package org.tallywire.web;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.node.ObjectNode;
import java.io.IOException;
import java.net.URI;
import java.net.http.HttpClient;
import java.net.http.HttpRequest;
import java.net.http.HttpResponse;
import java.net.http.WebSocket;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.Base64;
import java.util.List;
import java.util.Map;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.CompletionStage;
import java.util.concurrent.ConcurrentHashMap;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.atomic.AtomicInteger;
import java.util.stream.Stream;
import org.awaitility.Awaitility;

/**
 * A headless Chromium with one tab, driven by its DevTools protocol over loopback. A dump of the
 * document would need an end of loading, which a page with an open stream does not have.
 */
final class Browser implements AutoCloseable, WebSocket.Listener {

  private static final Path CHROMIUM = Path.of("/usr/bin/chromium");
  private static final HttpClient CLIENT = HttpClient.newHttpClient();

  private final Process process;
  private final WebSocket socket;
  private final AtomicInteger lastId = new AtomicInteger();
  private final Map<Integer, CompletableFuture<JsonNode>> answers = new ConcurrentHashMap<>();
  private final StringBuilder partial = new StringBuilder();

  static boolean present() {
    return Files.isExecutable(CHROMIUM);
  }

  Browser(Path profile) throws Exception {
    ProcessBuilder program =
        new ProcessBuilder(
                CHROMIUM.toString(),
                "--headless",
                "--no-sandbox",
                "--disable-gpu",
                "--disable-quic",
                "--no-first-run",
                "--disable-background-networking",
                "--disable-component-update",
                "--disable-sync",
                "--remote-debugging-port=0",
                "--user-data-dir=" + profile,
                "about:blank")
            .redirectErrorStream(true)
            .redirectOutput(ProcessBuilder.Redirect.DISCARD);
    program.environment().put("TMPDIR", profile.toString());
    process = program.start();
    Path port = profile.resolve("DevToolsActivePort");
    Awaitility.await()
        .atMost(Duration.ofSeconds(20))
        .pollInterval(Duration.ofMillis(20))
        .until(() -> Files.exists(port) && Files.readAllLines(port).size() > 1);
    socket =
        CLIENT
            .newWebSocketBuilder()
            .buildAsync(tab(Files.readAllLines(port).get(0)), this)
            .get(5, TimeUnit.SECONDS);
  }

  private static URI tab(String port) throws IOException, InterruptedException {
    HttpRequest list =
        HttpRequest.newBuilder(URI.create("http://127.0.0.1:" + port + "/json/list")).build();
    String answer = CLIENT.send(list, HttpResponse.BodyHandlers.ofString()).body();
    for (JsonNode target : SampleDay.JSON.readTree(answer)) {
      if (target.get("type").asText().equals("page")) {
        return URI.create(target.get("webSocketDebuggerUrl").asText());
      }
    }
    throw new IOException("the browser has no tab: " + answer);
  }

  @Override
  public CompletionStage<?> onText(WebSocket from, CharSequence text, boolean last) {
    partial.append(text);
    if (last) {
      try {
        JsonNode message = SampleDay.JSON.readTree(partial.toString());
        CompletableFuture<JsonNode> waiting = answers.remove(message.path("id").asInt(-1));
        if (waiting != null) {
          waiting.complete(message);
        }
      } catch (IOException e) {
        throw new IllegalStateException(e);
      }
      partial.setLength(0);
    }
    from.request(1);
    return CompletableFuture.completedStage(null);
  }

  private JsonNode call(String method, ObjectNode parameters) throws Exception {
    int id = lastId.incrementAndGet();
    CompletableFuture<JsonNode> answer = new CompletableFuture<>();
    answers.put(id, answer);
    ObjectNode message = SampleDay.JSON.createObjectNode().put("id", id).put("method", method);
    socket.sendText(message.set("params", parameters).toString(), true).get(5, TimeUnit.SECONDS);
    JsonNode got = answer.get(10, TimeUnit.SECONDS);
    if (got.has("error")) {
      throw new IOException(method + ": " + got.get("error"));
    }
    return got.get("result");
  }

  private static ObjectNode parameters() {
    return SampleDay.JSON.createObjectNode();
  }

  void size(int width, int height, boolean dark) throws Exception {
    call(
        "Emulation.setDeviceMetricsOverride",
        parameters()
            .put("width", width)
            .put("height", height)
            .put("deviceScaleFactor", 1)
            .put("mobile", width < 600));
    ObjectNode scheme = parameters();
    scheme
        .putArray("features")
        .addObject()
        .put("name", "prefers-color-scheme")
        .put("value", dark ? "dark" : "light");
    call("Emulation.setEmulatedMedia", scheme);
  }

  void open(URI page) throws Exception {
    call("Page.navigate", parameters().put("url", page.toString()));
  }

  /** Evaluates an expression and returns its value as text. */
  String eval(String expression) throws Exception {
    JsonNode result =
        call(
            "Runtime.evaluate",
            parameters().put("expression", expression).put("returnByValue", true));
    if (result.has("exceptionDetails")) {
      throw new IOException(expression + ": " + result.get("exceptionDetails"));
    }
    return result.get("result").path("value").asText();
  }

  /** Returns the text a person sees in the first element of a selector, empty if there is none. */
  String text(String selector) throws Exception {
    return eval("(document.querySelector(%s)?.innerText ?? '')".formatted(quote(selector)));
  }

  void click(String selector) throws Exception {
    eval("document.querySelector(%s).click()".formatted(quote(selector)));
  }

  /** Waits until an expression is true, at most 6 s. */
  void await(String expression) {
    Awaitility.await(expression)
        .atMost(Duration.ofSeconds(6))
        .pollInterval(Duration.ofMillis(30))
        .until(() -> eval("String(" + expression + ")"), "true"::equals);
  }

  /** Keeps a picture if a folder for it is named by -Dtallywire.pictures. */
  void picture(String name) throws Exception {
    String folder = System.getProperty("tallywire.pictures");
    if (folder != null) {
      JsonNode result = call("Page.captureScreenshot", parameters().put("format", "png"));
      Files.write(
          Path.of(folder, name + ".png"), Base64.getDecoder().decode(result.get("data").asText()));
    }
  }

  private static String quote(String text) {
    return SampleDay.JSON.getNodeFactory().textNode(text).toString();
  }

  @Override
  public void close() {
    socket.abort();
    List<ProcessHandle> all =
        Stream.concat(process.descendants(), Stream.of(process.toHandle())).toList();
    all.forEach(ProcessHandle::destroyForcibly);
    Awaitility.await()
        .atMost(Duration.ofSeconds(5))
        .until(() -> all.stream().noneMatch(ProcessHandle::isAlive));
  }
}
