package org.tallywire.format;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.fasterxml.jackson.databind.DeserializationFeature;
import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import com.fasterxml.jackson.databind.cfg.JsonNodeFeature;
import com.fasterxml.jackson.databind.json.JsonMapper;
import com.networknt.schema.InputFormat;
import com.networknt.schema.Schema;
import com.networknt.schema.SchemaRegistry;
import com.networknt.schema.SpecificationVersion;
import java.math.BigDecimal;
import java.nio.charset.StandardCharsets;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.tallywire.api.ClockQuality;
import org.tallywire.api.Instrument;
import org.tallywire.api.Quantity;
import org.tallywire.api.Reading;
import org.tallywire.api.RecordedReading;
import org.tallywire.api.Unit;
import org.tallywire.api.Value;

/** SenML (RFC 8428) and CloudEvents 1.0, against the examples of their documents. */
class OtherFormsTest {

  /** Keeps every digit, so that what is written can be seen. */
  private static final ObjectMapper MAPPER =
      JsonMapper.builder()
          .enable(DeserializationFeature.USE_BIG_DECIMAL_FOR_FLOATS)
          .disable(JsonNodeFeature.STRIP_TRAILING_BIGDECIMAL_ZEROES)
          .build();

  /**
   * The rules for attributes of CloudEvents 1.0, written down for this test; not its own schema.
   */
  private static final String EVENT_SCHEMA =
      """
      {"$schema": "https://json-schema.org/draft/2020-12/schema", "type": "object",
       "required": ["id", "source", "specversion", "type"],
       "not": {"required": ["data", "data_base64"]},
       "propertyNames": {"pattern": "^(data_base64|[a-z0-9]{1,20})$"},
       "properties": {
         "id": {"type": "string", "minLength": 1},
         "source": {"type": "string", "minLength": 1,
                    "pattern": "^[A-Za-z0-9:/?#\\\\[\\\\]@!$&'()*+,;=._~%-]+$"},
         "specversion": {"const": "1.0"},
         "type": {"type": "string", "minLength": 1},
         "datacontenttype": {"type": ["string", "null"], "minLength": 1},
         "dataschema": {"type": ["string", "null"], "pattern": "^[a-z][a-z0-9+.-]*:"},
         "subject": {"type": ["string", "null"], "minLength": 1},
         "time": {"type": ["string", "null"],
                  "pattern": "^[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9:.]+(Z|[+-][0-9]{2}:[0-9]{2})$"},
         "data_base64": {"type": ["string", "null"]}}}
      """;

  /** A record of a pack with what it inherits put in (RFC 8428, 4.6). */
  private record Resolved(String name, String unit, String value, String time) {}

  /** Reads a pack as a receiver does that knows RFC 8428 and nothing of ours. */
  private static List<Resolved> resolved(String json) throws Exception {
    List<Resolved> all = new ArrayList<>();
    String name = "";
    String unit = "";
    BigDecimal time = BigDecimal.ZERO;
    for (JsonNode record : MAPPER.readTree(json)) {
      name = record.path("bn").asText(name);
      unit = record.path("bu").asText(unit);
      if (record.has("bt")) {
        time = new BigDecimal(record.get("bt").asText());
      }
      String full = name + record.path("n").asText("");
      assertTrue(full.matches("[A-Za-z0-9][A-Za-z0-9:./_-]*"), "4.5.1: " + full);
      long values = List.of("v", "vs", "vb", "vd").stream().filter(record::has).count();
      assertEquals(1, values, "4.2: exactly one value in " + record);
      record.fieldNames().forEachRemaining(n -> assertFalse(n.endsWith("_"), "4.4: " + n));
      BigDecimal at = record.has("t") ? time.add(new BigDecimal(record.get("t").asText())) : time;
      all.add(
          new Resolved(
              full,
              record.path("u").asText(record.has("v") ? unit : ""),
              record.has("v")
                  ? new BigDecimal(record.get("v").asText()).toPlainString()
                  : record.path("vs").asText(),
              at.stripTrailingZeros().toPlainString()));
    }
    return all;
  }

  @Test
  @DisplayName(
      "RFC 8428, section 5.1, its first three examples: the reader of this test resolves them")
  void examplesOfTheDocument() throws Exception {
    assertEquals(
        List.of(new Resolved("urn:dev:ow:10e2073a01080063", "Cel", "23.1", "0")),
        resolved("[{\"n\":\"urn:dev:ow:10e2073a01080063\",\"u\":\"Cel\",\"v\":23.1}]"));
    assertEquals(
        List.of(
            new Resolved("urn:dev:ow:10e2073a01080063:voltage", "V", "120.1", "0"),
            new Resolved("urn:dev:ow:10e2073a01080063:current", "A", "1.2", "0")),
        resolved(
            "[{\"bn\":\"urn:dev:ow:10e2073a01080063:\",\"n\":\"voltage\",\"u\":\"V\",\"v\":120.1},"
                + "{\"n\":\"current\",\"u\":\"A\",\"v\":1.2}]"));
    List<Resolved> series =
        resolved(
            "[{\"bn\":\"urn:dev:ow:10e2073a0108006:\",\"bt\":1.276020076001e+09,\"bu\":\"A\","
                + "\"bver\":5,\"n\":\"voltage\",\"u\":\"V\",\"v\":120.1},"
                + "{\"n\":\"current\",\"t\":-5,\"v\":1.2},{\"n\":\"current\",\"t\":-4,\"v\":1.3},"
                + "{\"n\":\"current\",\"t\":-3,\"v\":1.4},{\"n\":\"current\",\"t\":-2,\"v\":1.5},"
                + "{\"n\":\"current\",\"t\":-1,\"v\":1.6},{\"n\":\"current\",\"v\":1.7}]");
    String device = "urn:dev:ow:10e2073a0108006:";
    List<Resolved> expected = new ArrayList<>();
    expected.add(new Resolved(device + "voltage", "V", "120.1", "1276020076.001"));
    for (int i = 0; i < 6; i++) {
      expected.add(
          new Resolved(device + "current", "A", "1." + (2 + i), "127602007" + (1 + i) + ".001"));
    }
    assertEquals(expected, series);
  }

  @Test
  @DisplayName(
      "A reading as a pack: names, primary units, time, id and status; what has none is left out")
  void pack() throws Exception {
    RecordedReading reading =
        reading(
            "Invented.bench~20tester.007:b1:1:0",
            Map.of("test", "turns-ratio", "windings", "HV-LV", "phase", "A", "tap", "1"),
            List.of(
                measured("turns-ratio", "46.2270", "1"),
                measured("excitation-current", "2.870", "mA"),
                measured("phase-displacement", "180", "deg"),
                measured("moisture", "5", "%"),
                measured("oil-colour", "3", "{ASTM}"),
                new Value.Missing(Quantity.TEST_VOLTAGE, Unit.VOLT, Value.Reason.OVER_RANGE)));
    List<String> leftOut = new ArrayList<>();
    String json = text(Senml.pack(reading, leftOut::add).orElseThrow());
    String name = "bay-1:Invented.bench_7E20tester.007:turns-ratio/HV-LV/A/1/";
    String at = "1768464000.25";
    assertEquals(
        List.of(
            new Resolved(name + "record", "", reading.id(), at),
            new Resolved(name + "status", "", "ok", at),
            new Resolved(name + "turns-ratio", "/", "46.2270", at),
            new Resolved(name + "excitation-current", "A", "0.002870", at),
            new Resolved(name + "phase-displacement", "rad", "3.1415926535897932", at),
            new Resolved(name + "moisture", "/", "0.05", at)),
        resolved(json));
    assertEquals(List.of("unit {ASTM}", "no number"), leftOut);
    assertEquals(Math.PI, MAPPER.readTree(json).get(4).get("v").doubleValue());
  }

  @Test
  @DisplayName(
      "A name is allowed whatever station, source and labels hold; a time of 1970 is none (4.5.3)")
  void odd() throws Exception {
    RecordedReading odd =
        new RecordedReading(
            "+x~2F:1:1:0",
            "_Ω/#",
            "d",
            with(Map.of("test", "a b/ü"), List.of(measured("q", "-0.0", "V")), Samples.NOW));
    String name = "x_5F_CE_A9_2F_23:_2Bx_7E2F:a_20b_2F_C3_BC/";
    assertEquals(
        List.of("record", "status", "q").stream().map(n -> name + n).toList(),
        resolved(text(Senml.pack(odd, w -> {}).orElseThrow())).stream()
            .map(Resolved::name)
            .toList());
    Instant early = Instant.ofEpochSecond((1L << 28) - 1);
    RecordedReading old =
        new RecordedReading(
            "a:b:1:0", "bay-1", "d", with(Map.of(), List.of(measured("q", "1", "V")), early));
    assertEquals(Optional.empty(), Senml.pack(old, w -> {}));
    byte[] record = RecordFormat.write(old);
    assertArrayEquals(record, PublishedForm.SENML.payload("s", record), "then as journalled");
  }

  @Test
  @DisplayName("Every unit that readings convert has a SenML unit of the registry, exactly scaled")
  void units() {
    for (String code :
        List.of(
            "1", "%", "uOhm", "mOhm", "Ohm", "kOhm", "MOhm", "GOhm", "TOhm", "uA", "mA", "A", "mV",
            "V", "kV", "deg", "Cel", "Hz", "ms", "s", "W", "kW")) {
      SenmlUnit unit = SenmlUnit.of(new Unit(code)).orElseThrow();
      assertTrue(
          List.of("/", "Ohm", "A", "V", "rad", "Cel", "Hz", "s", "W").contains(unit.symbol()));
      Unit base = new Unit(unit.symbol().equals("/") ? "1" : unit.symbol());
      if (!code.equals("deg")) {
        assertEquals(
            0,
            new BigDecimal(unit.number(new BigDecimal("1.25")))
                .compareTo(new Unit(code).convert(new BigDecimal("1.25"), base)),
            code);
      }
    }
    assertEquals(Optional.empty(), SenmlUnit.of(new Unit("kV.A{reactive}")));
  }

  @Test
  @DisplayName(
      "An example of the JSON format keeps the schema of this test, and so does every record's event")
  void cloudEvents() throws Exception {
    Schema schema =
        SchemaRegistry.withDefaultDialect(SpecificationVersion.DRAFT_2020_12)
            .getSchema(EVENT_SCHEMA, InputFormat.JSON);
    String example =
        """
        {"specversion" : "1.0", "type" : "com.example.someevent", "source" : "/mycontext",
         "subject": null, "id" : "C234-1234-1234", "time" : "2018-04-05T17:31:00Z",
         "comexampleextension1" : "value", "comexampleothervalue" : 5,
         "datacontenttype" : "application/json",
         "data" : {"appinfoA" : "abc", "appinfoB" : 123, "appinfoC" : true}}
        """;
    assertEquals(List.of(), schema.validate(example, InputFormat.JSON));
    assertFalse(schema.validate("{\"id\":\"1\"}", InputFormat.JSON).isEmpty());
    RecordedReading reading = Samples.reading("46.2270");
    var testSet = Samples.testSet();
    var booking = Samples.booking(testSet, reading);
    List<byte[]> records =
        List.of(
            RecordFormat.write(reading),
            RecordFormat.write(booking, "bay-1"),
            RecordFormat.write(testSet.booked(reading, booking).get(0)),
            RecordFormat.write(Samples.opened()));
    for (byte[] record : records) {
      String event = text(PublishedForm.CLOUDEVENTS.payload("hollow lane", record));
      assertEquals(List.of(), schema.validate(event, InputFormat.JSON), event);
      JsonNode read = MAPPER.readTree(event);
      JsonNode data = MAPPER.readTree(record);
      assertEquals("urn:tallywire:hollow~20lane:bay-1", read.get("source").textValue());
      assertEquals(data.get("id"), read.get("id"));
      assertEquals("org.tallywire." + data.get("record").textValue(), read.get("type").asText());
      assertTrue(event.endsWith(",\"data\":" + text(record) + "}"), "byte for byte");
      assertTrue(read.hasNonNull("time"), event);
    }
    assertEquals(
        "set-1",
        MAPPER
            .readTree(PublishedForm.CLOUDEVENTS.payload("s", records.get(1)))
            .get("subject")
            .textValue());
  }

  @Test
  @DisplayName("A record goes out as it is; so does what SenML cannot say, and what cannot be read")
  void asJournalled() throws Exception {
    var testSet = Samples.testSet();
    byte[] booking = RecordFormat.write(Samples.booking(testSet, Samples.reading("46.2")), "bay-1");
    byte[] reading = RecordFormat.write(Samples.reading("46.2"));
    byte[] torn = "{\"record\":\"reading\"".getBytes(StandardCharsets.UTF_8);
    assertArrayEquals(reading, PublishedForm.RECORD.payload("s", reading));
    assertArrayEquals(booking, PublishedForm.SENML.payload("s", booking));
    assertTrue(text(PublishedForm.SENML.payload("s", reading)).startsWith("[{\"bn\":"));
    for (PublishedForm form : PublishedForm.values()) {
      assertArrayEquals(torn, form.payload("s", torn));
      assertEquals(Optional.of(form), PublishedForm.of(form.word()));
      assertTrue(PublishedForm.WORDS.contains(form.word()));
    }
  }

  private static Value measured(String quantity, String number, String unit) {
    return new Value.Measured(new Quantity(quantity), new BigDecimal(number), new Unit(unit));
  }

  private static RecordedReading reading(
      String id, Map<String, String> labels, List<Value> values) {
    return new RecordedReading(id, "bay-1", "line 1.0", with(labels, values, Samples.NOW));
  }

  /** With a clock that runs free, so that the time of arrival counts. */
  private static Reading with(Map<String, String> labels, List<Value> values, Instant received) {
    return new Reading(
        Instrument.UNNAMED,
        Optional.empty(),
        0,
        labels,
        values,
        Reading.Status.OK,
        Optional.of(Instant.EPOCH),
        ClockQuality.FREE,
        received,
        "raw");
  }

  private static String text(byte[] bytes) {
    return new String(bytes, StandardCharsets.UTF_8);
  }
}
