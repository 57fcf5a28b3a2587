package org.tallywire.line;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.fasterxml.jackson.databind.JsonNode;
import java.io.IOException;
import java.time.Instant;
import java.time.temporal.ChronoUnit;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.TreeMap;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import java.util.stream.Stream;
import java.util.stream.StreamSupport;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.DynamicTest;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.TestFactory;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Frame;
import org.tallywire.api.FrameException;
import org.tallywire.api.LinkException;
import org.tallywire.api.Reading;
import org.tallywire.api.Session;
import org.tallywire.api.Value;
import org.tallywire.kit.ManualTime;
import org.tallywire.kit.RecordingHost;

/** Every line of {@code shared/vectors/line/readings.json}, heard in a session of its own. */
class ReadingVectorsTest {

  private static final Pattern REQUEST = Pattern.compile(" req=([0-9]+)");

  private static JsonNode file() throws IOException {
    return VectorFiles.read(VectorFiles.FOLDER.resolve(VectorFiles.READINGS));
  }

  @Test
  @DisplayName("The file is of its schema, and cites rules that the page has")
  void schema() throws IOException {
    List<String> problems =
        VectorFiles.problems(
            VectorFiles.FOLDER.resolve(VectorFiles.READINGS), "readings.schema.json", "readings");
    assertEquals(List.of(), problems);
  }

  @TestFactory
  @DisplayName("L-20 to L-22, L-33: what a reading means")
  Stream<DynamicTest> readings() throws IOException {
    JsonNode channels = file().get("channels");
    JsonNode readings = file().get("readings");
    assertTrue(readings.size() >= 200, readings.size() + " readings");
    return StreamSupport.stream(readings.spliterator(), false)
        .map(
            vector ->
                DynamicTest.dynamicTest(
                    vector.get("rule").asText() + " " + vector.get("name").asText(),
                    () -> new Conversation(channels).check(vector)));
  }

  /** A session that has asked for readings. */
  private static final class Conversation {

    private final RecordingHost host = new RecordingHost(new ManualTime());
    private final Session session = new LineDriver().open(host);
    private final JsonNode channels;

    Conversation(JsonNode channels) throws FrameException, LinkException {
      this.channels = channels;
      session.start();
      answer(
          "<hello req=%s version=1.1 maker=Invented model=tester serial=007 firmware=0.1 boot=b1"
              + " line=240 store=500 beat=2000");
      String request = request();
      for (int i = 0; i < channels.size(); i++) {
        JsonNode channel = channels.get(i);
        hear(
            Wire.line(
                "<channel req=%s n=%d of=%d ch=%d quantity=%s unit=%s"
                    .formatted(
                        request,
                        i + 1,
                        channels.size(),
                        channel.get("ch").asInt(),
                        channel.get("quantity").asText(),
                        channel.get("unit").asText())));
      }
      answer("<ok req=%s first=1 last=0");
    }

    private String request() {
      Matcher request = REQUEST.matcher(String.join("", host.takeSent()));
      assertTrue(request.find(), "a request was sent");
      return request.group(1);
    }

    private void answer(String body) throws FrameException, LinkException {
      hear(Wire.line(body.formatted(request())));
    }

    private void hear(String line) throws FrameException, LinkException {
      session.frame(new Frame(Outcome.bytes(line), Wire.NOW));
    }

    void check(JsonNode vector) throws FrameException, LinkException {
      String line = vector.get("line").asText();
      JsonNode expect = vector.get("expect");
      if (expect.has("fault")) {
        FrameException fault = assertThrows(FrameException.class, () -> hear(line));
        boolean damaged = expect.get("fault").asText().equals("damaged");
        assertEquals(damaged ? FaultCode.FRAME_CHECK : FaultCode.FRAME_SYNTAX, fault.code());
        assertEquals(List.of(), host.readings());
        return;
      }
      hear(line);
      assertEquals(1, host.readings().size());
      same(expect.get("reading"), host.readings().get(0));
    }

    private void same(JsonNode expect, Reading reading) {
      assertEquals(expect.get("seq").asLong(), reading.sequence().orElseThrow().number());
      assertEquals(expect.get("status").asText(), reading.status().word());
      assertEquals(expect.get("clock").asText(), reading.clock().word());
      Optional<Instant> at =
          Optional.ofNullable(expect.get("at")).map(node -> Instant.parse(node.asText()));
      // a reading keeps its time to the millisecond
      assertEquals(at.map(time -> time.truncatedTo(ChronoUnit.MILLIS)), reading.takenAt());
      Map<String, String> labels = VectorFiles.texts(expect.get("labels"));
      Optional.ofNullable(expect.get("uptime")).ifPresent(u -> labels.put("uptime", u.asText()));
      assertEquals(labels, reading.labels());
      assertEquals(expected(expect.get("values")), found(reading));
    }

    private Map<String, String> expected(JsonNode values) {
      Map<String, String> texts = new TreeMap<>();
      for (JsonNode value : values) {
        texts.put(
            measured(value.get("ch").asInt()),
            value.has("value") ? value.get("value").asText() : value.get("missing").asText());
      }
      return texts;
    }

    /** Returns the quantity and unit of a channel. */
    private String measured(int number) {
      Map<Integer, String> all = new LinkedHashMap<>();
      channels.forEach(
          channel ->
              all.put(
                  channel.get("ch").asInt(),
                  channel.get("quantity").asText() + " in " + channel.get("unit").asText()));
      return all.getOrDefault(number, "not listed");
    }

    private static Map<String, String> found(Reading reading) {
      Map<String, String> texts = new TreeMap<>();
      for (Value value : reading.values()) {
        String text =
            value instanceof Value.Measured measured
                ? measured.text()
                : ((Value.Missing) value).reason().word();
        texts.put(value.quantity().name() + " in " + value.unit().code(), text);
      }
      return texts;
    }
  }
}
