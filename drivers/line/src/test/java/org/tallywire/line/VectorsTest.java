package org.tallywire.line;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.stream.Stream;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.DynamicContainer;
import org.junit.jupiter.api.DynamicTest;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.TestFactory;

/** Every vector of {@code shared/vectors/line} that a bridge reads. */
class VectorsTest {

  @Test
  @DisplayName("The files are of their schema, and cite rules that the page has")
  void schema() throws IOException {
    for (Path file : VectorFiles.files()) {
      List<String> problems = VectorFiles.problems(file, "vectors.schema.json", "vectors");
      assertEquals(List.of(), problems, file.toString());
    }
  }

  @TestFactory
  @DisplayName("L-1 to L-10: what a bridge makes of bytes")
  Stream<DynamicContainer> vectors() throws IOException {
    List<DynamicContainer> containers = new ArrayList<>();
    for (Path file : VectorFiles.files()) {
      Stream<DynamicTest> tests =
          VectorFiles.vectors(file).stream()
              .filter(vector -> vector.isFor("bridge"))
              .map(v -> DynamicTest.dynamicTest(v.rule() + " " + v.name(), () -> check(v)));
      containers.add(DynamicContainer.dynamicContainer(file.getFileName().toString(), tests));
    }
    assertTrue(containers.size() >= 15, containers.size() + " files");
    return containers.stream();
  }

  private static void check(VectorFiles.Vector vector) {
    assertEquals(vector.expect(), Outcome.of(vector.bytes()));
    assertEquals(vector.expect(), Outcome.byteByByte(vector.bytes()), "byte by byte");
  }
}
