package org.tallywire.link;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.BufferedReader;
import java.io.InputStreamReader;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.concurrent.TimeUnit;
import java.util.stream.Stream;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.condition.EnabledOnOs;
import org.junit.jupiter.api.condition.OS;
import org.junit.jupiter.api.io.TempDir;
import org.tallywire.api.FaultCode;
import org.tallywire.api.LinkException;

/** The lock on a port between processes, and the private folder of the library's native part. */
class PortLockTest {

  private static final SerialDevice DEVICE =
      new SerialDevice("bench", Path.of("/dev/pts/invented"), null);

  @TempDir private Path folder;

  @Test
  @DisplayName("J10: the holder in another process is named; killed, it holds nothing any more")
  void otherProcess() throws Exception {
    Process holder = otherProcess("hold", folder.toString());
    try (BufferedReader out =
        new BufferedReader(
            new InputStreamReader(holder.getInputStream(), StandardCharsets.US_ASCII))) {
      assertEquals("held", out.readLine());
      LinkException e =
          assertThrows(LinkException.class, () -> PortLock.take(DEVICE, folder).close());
      assertEquals(FaultCode.LINK_BUSY, e.code());
      assertTrue(e.getMessage().contains("open already, in process " + holder.pid()), e.toString());
    } finally {
      holder.destroyForcibly().waitFor();
    }
    PortLock.take(DEVICE, folder).close();
    PortLock.take(DEVICE, folder).close();
  }

  @Test
  @EnabledOnOs({OS.LINUX, OS.MAC})
  @DisplayName("A symbolic link or a foreign file under the lock's name is left alone")
  void trap() throws Exception {
    Path precious = folder.resolve("precious");
    Files.writeString(precious, "precious, and longer than a lock");
    Path file = folder.resolve("tallywire-pts-invented.lock");
    Files.createSymbolicLink(file, precious);
    PortLock.take(DEVICE, folder).close();
    Files.delete(file);
    Files.copy(precious, file);
    PortLock.take(DEVICE, folder).close();
    assertEquals("precious, and longer than a lock", Files.readString(precious));
    assertEquals("precious, and longer than a lock", Files.readString(file));
  }

  @Test
  @DisplayName("Without a folder for locks this process still gives a port once only")
  void noFolder() throws Exception {
    Path missing = folder.resolve("missing");
    try (PortLock lock = PortLock.take(DEVICE, missing)) {
      assertEquals("the lock of /dev/pts/invented", lock.toString());
      assertThrows(LinkException.class, () -> PortLock.take(DEVICE, missing).close());
    }
    PortLock.take(DEVICE, missing).close();
  }

  @Test
  @EnabledOnOs({OS.LINUX, OS.MAC})
  @DisplayName(
      "J18: nothing lands in the shared temporary folder or at home; what is loaded is ours")
  void privateFolder() throws Exception {
    Path shared = Files.createDirectory(folder.resolve("shared"));
    Path home = Files.createDirectory(folder.resolve("home"));
    Path nativeFolder = Files.createDirectory(folder.resolve("native"));
    Process other = otherProcess("load", nativeFolder.toString(), shared, home);
    String said = new String(other.getInputStream().readAllBytes(), StandardCharsets.US_ASCII);
    assertTrue(other.waitFor(60, TimeUnit.SECONDS));
    assertEquals("loaded\n", said);
    assertEquals(List.of(), content(shared));
    assertEquals(List.of(), content(home));
    List<Path> loaded = content(nativeFolder);
    assertTrue(loaded.stream().anyMatch(path -> path.toString().contains("jSerialComm")));
    for (Path path : Stream.concat(loaded.stream(), Stream.of(nativeFolder)).toList()) {
      assertTrue(
          Files.getPosixFilePermissions(path).stream()
              .allMatch(permission -> permission.name().startsWith("OWNER")),
          path.toString());
    }
  }

  private static List<Path> content(Path folder) throws Exception {
    try (Stream<Path> files = Files.walk(folder)) {
      return files.filter(path -> !path.equals(folder)).toList();
    }
  }

  private Process otherProcess(String deed, String place, Path... temporaryAndHome)
      throws Exception {
    Path temporary = temporaryAndHome.length > 0 ? temporaryAndHome[0] : folder;
    Path home = temporaryAndHome.length > 1 ? temporaryAndHome[1] : folder;
    return new ProcessBuilder(
            Path.of(System.getProperty("java.home"), "bin", "java").toString(),
            "-XX:TieredStopAtLevel=1",
            "-Djava.io.tmpdir=" + temporary,
            "-Duser.home=" + home,
            "-cp",
            System.getProperty("java.class.path"),
            OtherProcess.class.getName(),
            deed,
            place)
        .redirectError(folder.resolve("errors").toFile())
        .start();
  }
}
