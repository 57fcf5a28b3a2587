package org.tallywire.declared;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTimeoutPreemptively;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.List;
import java.util.Random;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** DRV-1: whatever a file holds, it is refused with a place or read; nothing else happens. */
final class HostileFilesTest {

  private static final int ROUNDS = 150;

  @Test
  @DisplayName("deep, endless, recursive, huge and binary files are refused in little time")
  void refused(@TempDir Path folder) throws Exception {
    for (String text :
        List.of(
            "",
            "[".repeat(100_000),
            "a: ".repeat(50_000),
            "a: &a [*a]",
            "driver: &x {a: *x}",
            "x: &a [a,a]\ny: &b [*a,*a]\nz: [*b,*b]",
            "driver: !!javax.script.ScriptEngineManager [x]",
            "driver: \u0007",
            "- one",
            "? {a: b} : c",
            "driver: [" + "a,".repeat(60_000) + "a]",
            "x".repeat(300_000))) {
      DeclarationException told =
          assertTimeoutPreemptively(
              Duration.ofSeconds(20),
              () ->
                  assertThrows(
                      DeclarationException.class, () -> DeclaredFile.parse("f.yaml", text)));
      told.problems().forEach(p -> assertTrue(p.matches("(?s)f\\.yaml:\\d+:\\d+: .*"), p));
    }
    Path binary = folder.resolve("b.yaml");
    Files.write(binary, new byte[] {(byte) 0xC3, 0x28, 0});
    assertThrows(DeclarationException.class, () -> DeclaredFile.read(binary));
    assertThrows(DeclarationException.class, () -> DeclaredFile.read(folder));
    DeclarationException gone =
        assertThrows(
            DeclarationException.class, () -> DeclaredFile.read(folder.resolve("none.yaml")));
    assertTrue(gone.problems().get(0).endsWith("there is no such file; write the path of one"));
  }

  @Test
  @DisplayName("shipped files with characters changed are read, or refused with a place")
  void damaged() throws Exception {
    long seed = new Random().nextLong();
    Random random = new Random(seed);
    List<Path> files = ShippedFilesTest.files();
    for (int i = 0; i < ROUNDS; i++) {
      StringBuilder text = new StringBuilder(Files.readString(files.get(i % files.size())));
      for (int changes = 1 + random.nextInt(4); changes > 0; changes--) {
        int at = random.nextInt(text.length());
        switch (random.nextInt(3)) {
          case 0 -> text.deleteCharAt(at);
          case 1 -> text.insert(at, " :-[]{}\"\\#\n09az".charAt(random.nextInt(15)));
          default -> text.setCharAt(at, (char) (' ' + random.nextInt(95)));
        }
      }
      try {
        Played played = new Played(DeclaredFile.parse("f", text.toString()));
        played.arrives("\r\n12.345 mOHM\r\n\u0002x\u0003\r\n");
      } catch (DeclarationException e) {
        for (String problem : e.problems()) {
          assertTrue(problem.matches("(?s)f:\\d+:\\d+: .*"), "seed " + seed + ": " + problem);
        }
      } catch (RuntimeException e) {
        throw new AssertionError("seed %d, round %d:\n%s".formatted(seed, i, text), e);
      }
    }
  }

  @Test
  @DisplayName("random bytes give no reading, no exception and a usable session")
  void garbage() throws Exception {
    long seed = new Random().nextLong();
    Random random = new Random(seed);
    for (Path file : ShippedFilesTest.files()) {
      DeclaredDriver driver = DeclaredFile.read(file);
      Played played = new Played(driver);
      for (int i = 0; i < 200; i++) {
        byte[] bytes = new byte[random.nextInt(300)];
        random.nextBytes(bytes);
        played.arrives(bytes);
      }
      played.arrives("\r\n\r\n");
      int before = played.host.readings().size();
      assertEquals(0, before, "seed %d, %s".formatted(seed, file));
      assertTrue(played.faults.size() > 10, "seed %d, %s".formatted(seed, file));
    }
  }
}
