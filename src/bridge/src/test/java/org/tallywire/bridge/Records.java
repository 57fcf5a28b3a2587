package org.tallywire.bridge;

import com.networknt.schema.Error;
import com.networknt.schema.InputFormat;
import com.networknt.schema.SchemaLocation;
import com.networknt.schema.SchemaRegistry;
import com.networknt.schema.SpecificationVersion;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import java.util.stream.Stream;

/** What an outside consumer can know of records: their schemas, and members found by their name. */
final class Records {

  private static final String PREFIX = "urn:tallywire:schema:";

  private final SchemaRegistry registry;

  Records() throws IOException {
    Map<String, String> texts = new HashMap<>();
    try (Stream<Path> files = Files.list(Path.of("../../shared/schema"))) {
      for (Path file : files.filter(f -> f.toString().endsWith(".schema.json")).toList()) {
        String kind = file.getFileName().toString().replace(".schema.json", "");
        texts.put(PREFIX + kind, Files.readString(file));
      }
    }
    registry =
        SchemaRegistry.withDefaultDialect(
            SpecificationVersion.DRAFT_2020_12, builder -> builder.schemas(texts));
  }

  /** Returns what is wrong with a record by the schema of its own kind. */
  List<String> problems(String record) {
    return registry
        .getSchema(SchemaLocation.of(PREFIX + member(record, "record")))
        .validate(record, InputFormat.JSON)
        .stream()
        .map(Error::toString)
        .toList();
  }

  /** Returns the first member of that name, as text. */
  static String member(String record, String name) {
    Matcher matcher = Pattern.compile("\"" + name + "\":\"([^\"]*)\"").matcher(record);
    return matcher.find() ? matcher.group(1) : "";
  }
}
