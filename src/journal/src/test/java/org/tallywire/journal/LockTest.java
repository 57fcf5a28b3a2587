package org.tallywire.journal;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.BufferedReader;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.attribute.PosixFilePermissions;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.api.io.TempDir;
import org.tallywire.api.TimeSource;

/** Two writers on one file would break the chain: the folder lets one in. */
@Timeout(60)
class LockTest {

  private static final String OWN_PID = Long.toString(ProcessHandle.current().pid());

  @TempDir Path folder;

  @Test
  void aSecondJournalOfThisProcessIsRefusedWithFileAndPid() throws Exception {
    try (Journal journal = Journal.open(folder, TimeSource.system())) {
      JournalException refused =
          assertThrows(JournalException.class, () -> Journal.open(folder, TimeSource.system()));
      assertTrue(refused.getMessage().contains("journal.lock"), refused.getMessage());
      assertTrue(
          refused.getMessage().contains("process " + OWN_PID + " (java, since 2"),
          refused.getMessage());
      assertEquals(0, journal.head());
    }
    Journal.open(folder, TimeSource.system()).close();
  }

  /** POSIX fcntl: closing any descriptor of a file drops the process's locks on it. */
  @Test
  void anotherProcessIsRefusedEvenAfterARefusalInThisOne() throws Exception {
    try (Journal journal = Journal.open(folder, TimeSource.system())) {
      assertThrows(JournalException.class, () -> Journal.open(folder, TimeSource.system()));
      Process other = OtherProcess.start(folder, "other");
      try (BufferedReader output = OtherProcess.output(other)) {
        String said = output.readLine();
        assertTrue(said.contains("journal.lock"), said);
        assertTrue(said.contains("process " + OWN_PID + " (java, since 2"), said);
        assertTrue(other.waitFor(10, TimeUnit.SECONDS));
        assertEquals(3, other.exitValue());
      } finally {
        other.destroyForcibly();
      }
      assertEquals(0, journal.head());
    }
  }

  @Test
  void theFolderIsForItsOwnerOnly() throws Exception {
    Path made = folder.resolve("a").resolve("b");
    Journal.open(made, TimeSource.system()).close();
    assertEquals("rwx------", PosixFilePermissions.toString(Files.getPosixFilePermissions(made)));
  }
}
