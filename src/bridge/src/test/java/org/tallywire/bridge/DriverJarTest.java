package org.tallywire.bridge;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNotSame;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Map;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.tallywire.api.Driver;
import org.tallywire.format.Problems;
import org.tallywire.format.SetupException;
import org.tallywire.format.YamlFile;
import org.tallywire.format.YamlSection;

/** Drivers in jars: what they see, how they are pinned, what is said of a jar that is none. */
class DriverJarTest {

  private static final Path POM = Path.of("../../drivers/example/pom.xml");

  @TempDir private Path folder;

  @Test
  @DisplayName("The worked example compiles without a warning, loads, and is its own class")
  void example() throws Exception {
    DriverFile jar = DriverFile.read(ExampleJar.build(folder));
    Driver driver = jar.drivers().get(0);
    assertEquals("thermometer 1.0", driver.description().nameAndVersion());
    assertEquals(3, driver.examples().size());
    assertTrue(jar.digest().matches("[0-9a-f]{64}"));
    assertNotSame(getClass().getClassLoader(), driver.getClass().getClassLoader());
    assertThrows(IllegalArgumentException.class, () -> driver.configured(Map.of("every", "often")));
    assertEquals("thermometer", driver.configured(Map.of("every", "2")).description().name());
  }

  @Test
  @DisplayName("The example's own pom names this version of api")
  void pom() throws Exception {
    String root = Files.readString(Path.of("../../pom.xml"));
    String version =
        root.replaceAll(
            "(?s).*?<artifactId>tallywire</artifactId>\\s*<version>(.*?)</version>.*", "$1");
    assertTrue(
        Files.readString(POM).contains("<tallywire.version>" + version + "</tallywire.version>"),
        version);
  }

  @Test
  @DisplayName("A driver sees api and the JDK: neither our other classes nor our libraries")
  void seesApiAlone() throws Exception {
    for (String wanted : List.of("org.tallywire.journal.Journal", "org.slf4j.Logger")) {
      Path jar = jarThatLoads(wanted);
      DriverFile.Unusable refusal =
          assertThrows(DriverFile.Unusable.class, () -> DriverFile.read(jar).drivers());
      assertTrue(String.valueOf(refusal.getMessage()).contains(wanted), refusal.getMessage());
      assertTrue(
          String.valueOf(refusal.getMessage()).contains("put whatever else it uses into its jar"),
          refusal.getMessage());
    }
  }

  private Path jarThatLoads(String wanted) throws IOException {
    Path sources = Files.createDirectories(folder.resolve("curious"));
    Files.writeString(
        sources.resolve("Curious.java"),
        """
        import java.util.List;
        import org.tallywire.api.Driver;

        public final class Curious implements org.tallywire.api.DriverSource {
          @Override
          public List<Driver> drivers() {
            try {
              Class.forName("%s");
              return List.of();
            } catch (ClassNotFoundException e) {
              throw new IllegalStateException(e);
            }
          }
        }
        """
            .formatted(wanted));
    Path resources = folder.resolve("curious-resources");
    Path services = Files.createDirectories(resources.resolve("META-INF/services"));
    Files.writeString(services.resolve("org.tallywire.api.DriverSource"), "Curious\n");
    return ExampleJar.build(folder, sources, resources, wanted + ".jar");
  }

  @Test
  @DisplayName(
      "A file that is no jar, and a jar without the service file, are refused in a sentence")
  void refusals() throws Exception {
    Path noJar = Files.writeString(folder.resolve("a.jar"), "no jar at all");
    assertTrue(refusal(noJar).contains("a.jar: has no META-INF/services/org.tallywire.api.Driver"));
    Path empty = Files.createDirectories(folder.resolve("nothing"));
    Path sources = Files.createDirectories(folder.resolve("plain"));
    Files.writeString(sources.resolve("Plain.java"), "final class Plain {}\n");
    assertTrue(
        refusal(ExampleJar.build(folder, sources, empty, "plain.jar"))
            .contains("that names its org.tallywire.api.DriverSource"));
  }

  private static String refusal(Path jar) {
    return String.valueOf(
        assertThrows(DriverFile.Unusable.class, () -> DriverFile.read(jar).drivers()).getMessage());
  }

  @Test
  @DisplayName("A pinned digest lets that very file in and no other; a missing file is told")
  void pinned() throws Exception {
    Path drivers = Files.createDirectories(folder.resolve("drivers"));
    Path jar = Files.copy(ExampleJar.build(folder), drivers.resolve("example-1.0.jar"));
    String digest = DriverFile.read(jar).digest();
    assertTrue(drivers(digest).named("thermometer").isPresent());
    String other = "0".repeat(64);
    List<String> problems = problems("example-1.0.jar: \"%s\"".formatted(other));
    assertEquals(1, problems.size(), problems.toString());
    assertTrue(problems.get(0).contains("has the SHA-256 " + other + ", but it has " + digest));
    assertTrue(problems("gone.jar: " + digest).get(0).contains("\"gone.jar\" is not in "));
  }

  @Test
  @DisplayName("A declared driver lies beside a jar; its problems are told with line and column")
  void declared() throws Exception {
    Path drivers = Files.createDirectories(folder.resolve("drivers"));
    Path shipped = Path.of("../../shared/declared/bench-ohmmeter.yaml");
    Path file = Files.copy(shipped, drivers.resolve("ohmmeter.yaml"));
    Files.writeString(drivers.resolve("notes.txt"), "not a driver");
    Problems none = new Problems();
    Drivers read = read("", none);
    none.throwIfAny();
    assertTrue(read.named("bench-ohmmeter").isPresent());
    Files.writeString(file, Files.readString(shipped).replace("quantity:", "quantty:"));
    String problem = problems("").get(0);
    assertTrue(problem.matches(".*ohmmeter\\.yaml:\\d+:\\d+: .*quantity.*"), problem);
  }

  @Test
  @DisplayName("Two drivers of one name are refused")
  void twice() throws Exception {
    Path drivers = Files.createDirectories(folder.resolve("drivers"));
    Path jar = ExampleJar.build(folder);
    Files.copy(jar, drivers.resolve("one.jar"));
    Files.copy(jar, drivers.resolve("two.jar"));
    List<String> problems = problems("");
    assertEquals(1, problems.size(), problems.toString());
    assertTrue(problems.get(0).contains("two.jar: its driver calls itself \"thermometer\""));
  }

  private Drivers drivers(String digest) throws Exception {
    Problems problems = new Problems();
    Drivers read = read("digests: {example-1.0.jar: %s}".formatted(digest), problems);
    problems.throwIfAny();
    return read;
  }

  private List<String> problems(String digests) throws Exception {
    Problems problems = new Problems();
    read(digests.isEmpty() ? "" : "digests: {%s}".formatted(digests), problems);
    return assertThrows(SetupException.class, problems::throwIfAny).problems();
  }

  private Drivers read(String more, Problems problems) throws Exception {
    Path file = folder.resolve("drivers.yaml");
    Files.writeString(file, "folder: drivers\n" + more + "\n");
    YamlSection section = YamlFile.read(file, problems);
    return new DriversSection(folder, problems).read(section, Drivers.shipped());
  }
}
