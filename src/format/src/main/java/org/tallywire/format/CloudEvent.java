package org.tallywire.format;

import com.fasterxml.jackson.databind.node.ObjectNode;
import java.io.ByteArrayOutputStream;
import java.nio.charset.StandardCharsets;
import org.tallywire.api.RecordId;

/**
 * A record as a CloudEvent 1.0 in structured JSON. The record stands under {@code data} byte for
 * byte; {@code id} is the record's, {@code source} is {@code urn:tallywire:<site>:<station>} and
 * {@code type} is {@code org.tallywire.<kind>}, so the same source and id are the same record,
 * whichever way it came.
 */
public final class CloudEvent {

  private static final String SCHEMAS = "urn:tallywire:schema:";

  private CloudEvent() {}

  /** Returns the event of a record that a site's bridge wrote. */
  public static byte[] of(AnyRecord record, String site) {
    ObjectNode event =
        Json.MAPPER
            .createObjectNode()
            .put("specversion", "1.0")
            .put("id", record.id())
            .put(
                "source",
                "urn:tallywire:%s:%s"
                    .formatted(RecordId.escape(site), RecordId.escape(record.station())))
            .put("type", "org.tallywire." + record.kind());
    record.time().ifPresent(at -> event.put("time", at));
    if (!record.testSet().isEmpty()) {
      event.put("subject", record.testSet());
    }
    event.put("datacontenttype", "application/json").put("dataschema", SCHEMAS + record.kind());
    byte[] attributes = Json.bytes(event);
    ByteArrayOutputStream out = new ByteArrayOutputStream(attributes.length + record.json().length);
    out.write(attributes, 0, attributes.length - 1); // without the closing brace
    out.writeBytes(",\"data\":".getBytes(StandardCharsets.US_ASCII));
    out.writeBytes(record.json());
    out.write('}');
    return out.toByteArray();
  }
}
