package org.tallywire.format;

import com.fasterxml.jackson.databind.JsonNode;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import org.tallywire.acceptance.Verdict;
import org.tallywire.api.Booking;
import org.tallywire.api.RecordedReading;
import org.tallywire.testset.ChecklistAnswer;
import org.tallywire.testset.InstrumentEvent;
import org.tallywire.testset.Note;
import org.tallywire.testset.TestSetEvent;

/** A record of whatever kind, its JSON read once; asked for what its kind has. Immutable. */
public final class AnyRecord {

  /** Where kinds of records say when they happened; of a reading when it arrived here. */
  private static final List<String> TIMES =
      List.of("receivedAt", "bookedAt", "asOf", "noticedAt", "at");

  private final String kind;
  private final String id;
  private final byte[] json;
  private final JsonNode node;

  private AnyRecord(String kind, String id, byte[] json, JsonNode node) {
    this.kind = kind;
    this.id = id;
    this.json = json;
    this.node = node;
  }

  /**
   * Reads the JSON of a record.
   *
   * @param json kept, not copied, so the caller leaves it unchanged
   * @throws FormatException if it is no JSON object with kind and id
   */
  public static AnyRecord of(byte[] json) throws FormatException {
    JsonNode node = Json.read(json);
    JsonNode schema = node.path("schema");
    if (!schema.isMissingNode() && schema.asInt() != 1) {
      throw new FormatException("schema %s is not known here, only 1".formatted(schema));
    }
    return new AnyRecord(Json.text(node, "record"), Json.text(node, "id"), json, node);
  }

  /** Returns the kind of record, for example {@link RecordFormat#READING}. */
  public String kind() {
    return kind;
  }

  /** Returns the record's identity. */
  public String id() {
    return id;
  }

  /** Returns the bytes it was read from, to be left unchanged. */
  public byte[] json() {
    return json;
  }

  /** Returns the station it names, or nothing. */
  public String station() {
    return node.path("station").asText();
  }

  /** Returns the test set it names, or nothing. */
  public String testSet() {
    return node.path("testSet").asText();
  }

  /** Returns the asset it names, itself or by its nameplate, or nothing. */
  public String asset() {
    String named = node.path("asset").asText();
    return named.isEmpty() ? node.path("nameplate").path("asset").asText() : named;
  }

  /** Returns when it happened: the first time among its members, or nothing. */
  Optional<String> time() {
    for (String member : TIMES) {
      if (node.path(member).isTextual()) {
        return Optional.of(node.path(member).textValue());
      }
    }
    return Optional.empty();
  }

  /** Returns the version of the computation that made a verdict, or nothing. */
  public String method() {
    return node.path("method").asText();
  }

  /** Returns the bookings that a verdict names, also where the rest of it cannot be read. */
  public List<String> bookings() {
    List<String> ids = new ArrayList<>();
    node.path("bookings").forEach(one -> ids.add(one.asText()));
    return ids;
  }

  /** Returns it as a reading. */
  public RecordedReading reading() throws FormatException {
    return RecordFormat.whole(() -> ReadingJson.read(node));
  }

  /** Returns it as a booking. */
  public Booking booking() throws FormatException {
    return RecordFormat.whole(() -> RecordFormat.booking(node));
  }

  /** Returns it as a verdict. */
  public Verdict verdict() throws FormatException {
    return RecordFormat.whole(() -> VerdictJson.read(node));
  }

  /** Returns it as an event of a test set. */
  public TestSetEvent testSetEvent() throws FormatException {
    return RecordFormat.whole(() -> TestSetJson.read(node));
  }

  /** Returns it as a note. */
  public Note note() throws FormatException {
    return RecordFormat.whole(() -> DayJson.note(node));
  }

  /** Returns it as answers to a checklist. */
  public ChecklistAnswer checklistAnswer() throws FormatException {
    return RecordFormat.whole(() -> DayJson.checklist(node));
  }

  /** Returns it as what happened to an instrument. */
  public InstrumentEvent instrumentEvent() throws FormatException {
    return RecordFormat.whole(() -> DayJson.instrumentEvent(node));
  }

  /**
   * Returns a sentence for every member in which another record with the same id differs, with what
   * stands in both; none if they say the same, in whatever order.
   *
   * @param here what this record is, for example {@code recorded}
   * @param there what the other one is
   */
  public List<String> differences(String here, AnyRecord other, String there) {
    List<String> found = new ArrayList<>();
    compare("", node, other.node, (path, a, b) -> found.add(sentence(path, here, a, there, b)));
    return found;
  }

  private interface Differing {
    void at(String path, JsonNode a, JsonNode b);
  }

  private static void compare(String path, JsonNode a, JsonNode b, Differing differing) {
    if (a.equals(b)) {
      return;
    }
    if (a.isObject() && b.isObject()) {
      List<String> names = new ArrayList<>();
      a.fieldNames().forEachRemaining(names::add);
      b.fieldNames().forEachRemaining(name -> addOnce(names, name));
      names.forEach(
          name ->
              compare(
                  path.isEmpty() ? name : path + "." + name,
                  a.path(name),
                  b.path(name),
                  differing));
    } else if (a.isArray() && b.isArray() && a.size() == b.size()) {
      for (int i = 0; i < a.size(); i++) {
        compare("%s[%d]".formatted(path, i + 1), a.get(i), b.get(i), differing);
      }
    } else {
      differing.at(path, a, b);
    }
  }

  private static void addOnce(List<String> names, String name) {
    if (!names.contains(name)) {
      names.add(name);
    }
  }

  private static String sentence(String path, String here, JsonNode a, String there, JsonNode b) {
    return "%s: %s %s, %s %s".formatted(path, here, shown(a), there, shown(b));
  }

  private static String shown(JsonNode node) {
    return Optional.of(node)
        .filter(n -> !n.isMissingNode())
        .map(Object::toString)
        .orElse("nothing");
  }
}
