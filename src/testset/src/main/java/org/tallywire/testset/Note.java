package org.tallywire.testset;

import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import org.tallywire.api.Quantity;
import org.tallywire.api.RecordId;
import org.tallywire.api.Value;

/**
 * What a person wrote down beside a test set: words, conditions such as the winding temperature,
 * and files by name and digest.
 *
 * @param station under which it is published
 * @param by who wrote it
 * @param text may be empty beside values or files
 * @param step id of the step it is about, if it is about one
 * @param values read by the person, not by the bridge
 */
public record Note(
    String testSet,
    String station,
    Instant at,
    String by,
    String text,
    Optional<String> step,
    List<Value.Measured> values,
    List<Attachment> files) {

  /**
   * A file that belongs to the record and is kept elsewhere.
   *
   * @param path as it was given
   * @param bytes how many it has
   * @param sha256 64 hexadecimal digits
   */
  public record Attachment(String path, long bytes, String sha256) {}

  public Note {
    values = List.copyOf(values);
    files = List.copyOf(files);
    if (text.isBlank() && values.isEmpty() && files.isEmpty()) {
      throw new IllegalArgumentException("a note says something");
    }
  }

  /** Returns the identity of its record. */
  public String id() {
    List<String> parts = new ArrayList<>(List.of(testSet, at.toString(), by, text));
    parts.add(step.orElse(""));
    values.forEach(value -> parts.add(value.quantity() + "=" + value.text()));
    files.forEach(file -> parts.add(file.path() + "=" + file.sha256()));
    return RecordId.derived("note", parts.toArray(new String[0]));
  }

  /** Returns the value of a quantity, if it has one. */
  public Optional<Value.Measured> value(Quantity quantity) {
    return values.stream().filter(value -> value.quantity().equals(quantity)).findFirst();
  }
}
