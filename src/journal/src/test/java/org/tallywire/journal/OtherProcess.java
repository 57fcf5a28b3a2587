package org.tallywire.journal;

import java.io.BufferedReader;
import java.io.IOException;
import java.io.InputStreamReader;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.util.List;
import org.tallywire.api.TimeSource;

/** A process of its own that opens a journal and appends to it until it is killed. */
final class OtherProcess {

  private OtherProcess() {}

  /** Appends entries {@code <name>-1}, {@code <name>-2}, ... and prints each id once durable. */
  public static void main(String[] args) throws Exception {
    try (Journal journal = Journal.open(Path.of(args[0]), TimeSource.system())) {
      for (int i = 1; ; i++) {
        String id = args[1] + "-" + i;
        journal.append(List.of(Drafts.of(id)), List.of(new SequenceMark("other", args[1], i)));
        System.out.println(id);
      }
    } catch (JournalException e) {
      System.out.println("refused: " + e.getMessage());
      System.exit(3);
    }
  }

  static Process start(Path folder, String name) throws IOException {
    return new ProcessBuilder(
            Path.of(System.getProperty("java.home"), "bin", "java").toString(),
            "-XX:TieredStopAtLevel=1",
            "-Xshare:auto",
            "-cp",
            System.getProperty("java.class.path"),
            OtherProcess.class.getName(),
            folder.toString(),
            name)
        .redirectError(ProcessBuilder.Redirect.INHERIT)
        .start();
  }

  static BufferedReader output(Process process) {
    return new BufferedReader(
        new InputStreamReader(process.getInputStream(), StandardCharsets.UTF_8));
  }
}
