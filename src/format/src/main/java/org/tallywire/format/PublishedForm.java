package org.tallywire.format;

import java.util.Arrays;
import java.util.Locale;
import java.util.Optional;

/**
 * In which form a bridge publishes the entries of its journal. The same entry has the same bytes
 * each time. Safe for use by many threads.
 */
public enum PublishedForm {
  /** As journalled, byte for byte. */
  RECORD,
  /** A reading as a SenML pack, a JSON array; all else, which SenML cannot say, as journalled. */
  SENML,
  /** Every entry in a CloudEvents envelope. */
  CLOUDEVENTS;

  /** The words for them, as a sentence names them. */
  public static final String WORDS = "record, senml or cloudevents";

  /** Returns the word for it in a configuration. */
  public String word() {
    return name().toLowerCase(Locale.ROOT);
  }

  /** Returns the one with the given word. */
  public static Optional<PublishedForm> of(String word) {
    return Arrays.stream(values()).filter(form -> form.word().equals(word)).findFirst();
  }

  /** Returns what is published for a record; one that cannot be read goes out as it is. */
  public byte[] payload(String site, byte[] record) {
    if (this == RECORD) {
      return record;
    }
    try {
      AnyRecord read = AnyRecord.of(record);
      if (this == CLOUDEVENTS) {
        return CloudEvent.of(read, site);
      }
      return read.kind().equals(RecordFormat.READING)
          ? Senml.pack(read.reading(), left -> {}).orElse(record)
          : record;
    } catch (FormatException e) {
      return record;
    }
  }
}
