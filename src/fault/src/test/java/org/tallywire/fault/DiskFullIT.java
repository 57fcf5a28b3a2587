package org.tallywire.fault;

import static org.awaitility.Awaitility.await;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.fail;

import java.io.IOException;
import java.io.OutputStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.time.Duration;
import java.util.Random;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.Assumptions;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** The data folder is a file system of its own, and gets full again and again under load. */
class DiskFullIT {

  private static final Duration LIMIT = Duration.ofSeconds(90);
  private static final int SMALL_MIB = 24;
  private static final int LARGE_MIB = 160;

  @TempDir private Path folder;

  @Test
  @DisplayName("The disk full: nothing acknowledged, all told, and it goes on by itself")
  void full() throws Exception {
    Fault fault = Fault.of("disk full", 1, 100);
    Path data = Files.createDirectories(folder.resolve("one").resolve("data"));
    mount(data, Fault.isLarge() ? LARGE_MIB : SMALL_MIB);
    try (Rig rig = new Rig(folder)) {
      rig.add("one", Instruments.start(folder.resolve("instruments"), 2, 10));
      rig.bridge().start();
      rig.awaitReadings(1);
      Random random = fault.random();
      for (int cycle = 1; cycle <= fault.cycles(); cycle++) {
        fillAndFree(rig, data, cycle, random);
      }
      rig.judgeAtTheEnd(fault, fault.cycles(), "");
    } finally {
      run("umount", data.toString());
    }
  }

  private static void fillAndFree(Rig rig, Path data, int cycle, Random random) throws Exception {
    Path ballast = data.resolve("ballast");
    long left = 1024L * random.nextInt(64);
    fill(ballast, data, left);
    await().atMost(LIMIT).until(() -> rig.bridge().said("no space for entries") >= cycle);
    // the bridge gave its reserve up; that space is taken from it in some cycles too
    if (random.nextBoolean()) {
      fill(ballast, data, left);
    }
    Pause.millis(random.nextInt(1500));
    Files.delete(ballast);
    rig.recover(System.nanoTime());
  }

  /** Writes until no more than so many bytes are left. */
  private static void fill(Path ballast, Path data, long left) throws IOException {
    byte[] page = new byte[4096];
    try (OutputStream out =
        Files.newOutputStream(ballast, StandardOpenOption.CREATE, StandardOpenOption.APPEND)) {
      while (data.toFile().getUsableSpace() > left) {
        out.write(page);
      }
    } catch (IOException e) {
      // the bridge was quicker with the last page; the disk is as full as it was to be
      assertEquals("No space left on device", e.getMessage());
    }
  }

  private static void mount(Path at, int mebibytes) throws Exception {
    boolean linux = System.getProperty("os.name").equals("Linux");
    boolean mounted =
        linux
            && run("mount", "-t", "tmpfs", "-o", "size=" + mebibytes + "m", "none", at.toString())
                == 0;
    if (!mounted && "true".equals(System.getenv("CI"))) {
      fail("a small file system must be mountable on the build server");
    }
    Assumptions.assumeTrue(mounted, "no small file system can be mounted here; root could");
  }

  private static int run(String... command) throws Exception {
    Process process = new ProcessBuilder(command).inheritIO().start();
    return process.waitFor(20, TimeUnit.SECONDS) ? process.exitValue() : -1;
  }
}
