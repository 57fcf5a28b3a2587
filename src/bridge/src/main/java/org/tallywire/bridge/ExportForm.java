package org.tallywire.bridge;

import java.io.IOException;
import java.io.OutputStream;
import java.nio.charset.StandardCharsets;
import java.util.Map;
import java.util.TreeMap;
import org.tallywire.format.AnyRecord;
import org.tallywire.format.CloudEvent;
import org.tallywire.format.CsvTable;
import org.tallywire.format.FormatException;
import org.tallywire.format.JudgedReadings;
import org.tallywire.format.ReadingTable;
import org.tallywire.format.RecordFormat;
import org.tallywire.format.Senml;
import org.tallywire.format.Table;
import org.tallywire.format.XlsxTable;

/** Writes one record after the other in the form that was asked for. Used by one thread. */
interface ExportForm extends AutoCloseable {

  /** The forms, by the words of the option. */
  enum Word {
    JSONL,
    CSV,
    XLSX,
    SENML,
    CLOUDEVENTS;

    /** Tells whether it shows readings alone. */
    boolean readingsAlone() {
      return this == CSV || this == XLSX || this == SENML;
    }

    /** Tells whether rows say what bookings and verdicts say. */
    boolean table() {
      return this == CSV || this == XLSX;
    }
  }

  /** Writes a record. */
  void take(AnyRecord record) throws IOException, FormatException;

  @Override
  void close() throws IOException;

  /** Returns what could not be said in this form, and how often. */
  default Map<String, Long> leftOut() {
    return Map.of();
  }

  /** Records as they stand in the journal, one a line. */
  static ExportForm lines(OutputStream out) {
    return new ExportForm() {
      @Override
      public void take(AnyRecord record) throws IOException {
        out.write(record.json());
        out.write('\n');
      }

      @Override
      public void close() throws IOException {
        out.flush();
      }
    };
  }

  /** Readings as a table. */
  static ExportForm table(Word word, OutputStream out, char separator, JudgedReadings judged)
      throws IOException {
    Table table =
        word == Word.CSV
            ? new CsvTable(out, separator, ReadingTable.COLUMNS)
            : new XlsxTable(out, "readings", ReadingTable.COLUMNS);
    ReadingTable rows = new ReadingTable(table, judged);
    return new ExportForm() {
      @Override
      public void take(AnyRecord record) throws IOException, FormatException {
        rows.add(record.reading());
      }

      @Override
      public void close() throws IOException {
        table.close();
      }
    };
  }

  /** Every record as a CloudEvent, a batch of them. */
  static ExportForm cloudEvents(OutputStream out, String site) throws IOException {
    JsonArray array = new JsonArray(out);
    return new ExportForm() {
      @Override
      public void take(AnyRecord record) throws IOException {
        array.add(CloudEvent.of(record, site));
      }

      @Override
      public void close() throws IOException {
        array.end();
      }
    };
  }

  /** All readings in one SenML pack. */
  static ExportForm senml(OutputStream out) throws IOException {
    JsonArray array = new JsonArray(out);
    Map<String, Long> leftOut = new TreeMap<>();
    return new ExportForm() {
      @Override
      public void take(AnyRecord record) throws IOException, FormatException {
        if (!record.kind().equals(RecordFormat.READING)) {
          return;
        }
        byte[] pack =
            Senml.pack(record.reading(), why -> leftOut.merge(why, 1L, Long::sum))
                .orElse(new byte[0]);
        if (pack.length > 2) {
          array.add(java.util.Arrays.copyOfRange(pack, 1, pack.length - 1));
        }
      }

      @Override
      public void close() throws IOException {
        array.end();
      }

      @Override
      public Map<String, Long> leftOut() {
        return leftOut;
      }
    };
  }

  /** A JSON array whose items come one by one, a line each. */
  final class JsonArray {

    private final OutputStream out;
    private boolean begun;

    JsonArray(OutputStream out) throws IOException {
      this.out = out;
      out.write('[');
    }

    void add(byte[] item) throws IOException {
      out.write((begun ? ",\n" : "\n").getBytes(StandardCharsets.US_ASCII));
      out.write(item);
      begun = true;
    }

    void end() throws IOException {
      out.write("\n]\n".getBytes(StandardCharsets.US_ASCII));
      out.flush();
    }
  }
}
