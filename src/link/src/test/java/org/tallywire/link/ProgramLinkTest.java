package org.tallywire.link;

import static org.awaitility.Awaitility.await;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTimeoutPreemptively;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.List;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.TimeoutException;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.condition.EnabledOnOs;
import org.junit.jupiter.api.condition.OS;
import org.junit.jupiter.api.io.TempDir;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Link;
import org.tallywire.api.LinkAddress;
import org.tallywire.api.LinkException;

/** Real programs as links: small scripts of the system's own shell. */
@EnabledOnOs({OS.LINUX, OS.MAC})
class ProgramLinkTest {

  private static final Duration SOON = Duration.ofSeconds(10);

  @TempDir private Path folder;

  @Test
  @DisplayName("Bytes go both ways; it runs in its folder; what it prints at its end is still read")
  void carries() throws Exception {
    Files.writeString(folder.resolve("greeting"), "hello\n");
    try (Link link = shell("cat greeting; read line; echo \"heard $line\"")) {
      link.settle();
      assertEquals("hello\n", text(link, 6));
      assertEquals(0, link.read(new byte[8], Duration.ofMillis(20)));
      link.write("you\n".getBytes(StandardCharsets.US_ASCII));
      assertEquals("heard you\n", text(link, 10));
    }
  }

  @Test
  @DisplayName("A program that takes long to start is waited for, and its first words are kept")
  void startsSlowly() throws Exception {
    Path gate = folder.resolve("gate");
    try (Link link = shell("while [ ! -e gate ]; do sleep 0.05; done; echo ready; cat")) {
      CompletableFuture<Void> settling =
          CompletableFuture.runAsync(
              () -> {
                try {
                  link.settle();
                } catch (LinkException e) {
                  throw new IllegalStateException(e);
                }
              });
      assertThrows(TimeoutException.class, () -> settling.get(200, TimeUnit.MILLISECONDS));
      Files.createFile(gate);
      settling.get(10, TimeUnit.SECONDS);
      assertEquals("ready\n", text(link, 6));
    }
  }

  @Test
  @DisplayName("Its end is told with the exit code and the last that it said")
  void ends() throws Exception {
    try (Link link = shell("echo 'no meter at \\invented' >&2; echo last; exit 7")) {
      assertEquals("last\n", text(link, 5));
      LinkException e = lost(link);
      assertEquals(FaultCode.LINK_LOST, e.code());
      assertTrue(
          e.getMessage().contains("exit code 7; the last it said: no meter at \\x5Cinvented"),
          e.getMessage());
    }
  }

  @Test
  @DisplayName("A child that holds the output open does not hide the program's end")
  void childHoldsOutput() throws Exception {
    try (Link link = shell("sleep 600 & echo $!; exit 3")) {
      long child = Long.parseLong(text(link, 2).strip());
      try {
        assertTrue(lost(link).getMessage().contains("exit code 3"));
      } finally {
        ProcessHandle.of(child).ifPresent(ProcessHandle::destroyForcibly);
      }
    }
  }

  @Test
  @DisplayName("No end of complaints does not stop it, nor a line without an end")
  void complains() throws Exception {
    String much = "i=0; while [ $i -lt 3000 ]; do echo complaint $i >&2; i=$((i+1)); done; ";
    try (Link link = shell(much + "head -c 300000 /dev/zero >&2; echo through; exit 1")) {
      assertEquals("through\n", text(link, 8));
      String said = lost(link).getMessage();
      assertTrue(said.contains("\\x00…") && said.length() < 1200, said);
    }
  }

  @Test
  @DisplayName("One that does not read its input: the write ends in time, and so does the close")
  void doesNotRead() throws Exception {
    Link link = shell("echo ready; exec sleep 600");
    assertEquals("ready\n", text(link, 6));
    byte[] much = new byte[1024 * 1024]; // more than a pipe has room for
    LinkException e =
        assertTimeoutPreemptively(
            SOON, () -> assertThrows(LinkException.class, () -> link.write(much)));
    assertEquals(FaultCode.LINK_LOST, e.code());
    assertTimeoutPreemptively(SOON, link::close);
    await().atMost(SOON).until(() -> BoundedClose.leftBehind() == 0);
  }

  @Test
  @DisplayName("One that ends when its input ends is not killed")
  void endsByItself() throws Exception {
    Path end = folder.resolve("end");
    Link link = shell("trap 'echo killed > end; exit' TERM; echo ready; cat; echo itself > end");
    assertEquals("ready\n", text(link, 6));
    link.close();
    link.close();
    await().atMost(SOON).until(() -> Files.exists(end) && Files.size(end) > 0);
    assertEquals("itself\n", Files.readString(end));
    assertEquals(FaultCode.LINK_LOST, lost(link).code());
    assertThrows(LinkException.class, () -> link.write(new byte[1]));
  }

  @Test
  @DisplayName("One that will not end is killed, and its children with it")
  void killed() throws Exception {
    Link link =
        shell(
            "trap '' TERM; (trap '' TERM; while :; do sleep 600; done) & echo $$ $!; cat; sleep 600");
    String[] numbers = line(link).split(" ", -1);
    link.close();
    for (String number : numbers) {
      await()
          .atMost(SOON)
          .until(
              () ->
                  ProcessHandle.of(Long.parseLong(number)).map(ProcessHandle::isAlive).orElse(false)
                      == false);
    }
  }

  @Test
  @DisplayName("No such program, no such folder, not executable: told before anything is started")
  void cannotStart() throws Exception {
    Path file = Files.writeString(folder.resolve("driver"), "#!/bin/sh\n");
    assertEquals(FaultCode.LINK_NOT_FOUND, refused(List.of("/nowhere/invented"), folder).code());
    assertEquals(FaultCode.LINK_FORBIDDEN, refused(List.of(file.toString()), folder).code());
    LinkException e = refused(List.of("sh"), folder.resolve("missing"));
    assertTrue(e.getMessage().contains("there is no folder"), e.getMessage());
  }

  private static LinkException refused(List<String> command, Path folder) {
    return assertThrows(
        LinkException.class, () -> ProgramLink.open(new LinkAddress.Program(command, folder)));
  }

  private Link shell(String script) throws LinkException {
    return ProgramLink.open(new LinkAddress.Program(List.of("sh", "-c", script), folder));
  }

  private static LinkException lost(Link link) {
    return assertThrows(
        LinkException.class,
        () -> {
          long end = System.nanoTime() + SOON.toNanos();
          while (System.nanoTime() < end) {
            link.read(new byte[64], Duration.ofMillis(200));
          }
        });
  }

  private static String line(Link link) throws LinkException {
    StringBuilder heard = new StringBuilder();
    while (!heard.toString().endsWith("\n")) {
      heard.append(text(link, 1));
    }
    return heard.toString().strip();
  }

  private static String text(Link link, int length) throws LinkException {
    StringBuilder heard = new StringBuilder();
    byte[] buffer = new byte[64];
    long end = System.nanoTime() + SOON.toNanos();
    while (heard.length() < length && System.nanoTime() < end) {
      int count = link.read(buffer, Duration.ofMillis(200));
      heard.append(new String(buffer, 0, count, StandardCharsets.US_ASCII));
    }
    return heard.toString();
  }
}
