package org.tallywire.format;

import com.networknt.schema.Error;
import com.networknt.schema.InputFormat;
import com.networknt.schema.Schema;
import com.networknt.schema.SchemaLocation;
import com.networknt.schema.SchemaRegistry;
import com.networknt.schema.SpecificationVersion;
import java.io.IOException;
import java.io.UncheckedIOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.stream.Stream;

/** The schemas of {@code shared/schema}, applied by a validator that is not ours. */
public final class Schemas {

  private static final Path FOLDER = Path.of("../../shared/schema");
  private static final String PREFIX = "urn:tallywire:schema:";

  private final SchemaRegistry registry;

  /** Reads them. */
  public Schemas() throws IOException {
    Map<String, String> texts = new HashMap<>();
    try (Stream<Path> files = Files.list(FOLDER)) {
      for (Path file : files.filter(f -> f.toString().endsWith(".schema.json")).toList()) {
        String kind = file.getFileName().toString().replace(".schema.json", "");
        texts.put(PREFIX + kind, read(file));
      }
    }
    registry =
        SchemaRegistry.withDefaultDialect(
            SpecificationVersion.DRAFT_2020_12, builder -> builder.schemas(texts));
  }

  /** Returns what is wrong with a record of the given kind. */
  public List<String> problems(String kind, byte[] record) {
    Schema schema = registry.getSchema(SchemaLocation.of(PREFIX + kind));
    return schema.validate(new String(record, StandardCharsets.UTF_8), InputFormat.JSON).stream()
        .map(Error::toString)
        .toList();
  }

  private static String read(Path file) {
    try {
      return Files.readString(file);
    } catch (IOException e) {
      throw new UncheckedIOException(e);
    }
  }
}
