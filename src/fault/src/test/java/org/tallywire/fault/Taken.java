package org.tallywire.fault;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;

/**
 * A reading as the simulator took it, from its file of {@code --taken}.
 *
 * @param line the line that carries it, from its start mark to its last field, check value and
 *     {@code resent} left out
 */
record Taken(String serial, String boot, long number, String line) {

  /** Returns what names it: serial, boot id and number. */
  String key() {
    return key(serial, boot, number);
  }

  static String key(String serial, String boot, long number) {
    return serial + "/" + boot + "/" + number;
  }

  /** Reads a file; a last line that is not ended yet is left for the next time. */
  static List<Taken> read(Path file) throws IOException {
    if (!Files.exists(file)) {
      return List.of();
    }
    String text = Files.readString(file);
    List<Taken> all = new ArrayList<>();
    text.substring(0, text.lastIndexOf('\n') + 1).lines().forEach(line -> all.add(parse(line)));
    return all;
  }

  private static Taken parse(String line) {
    String[] parts = line.split(" ", 4);
    return new Taken(parts[0], parts[1], Long.parseLong(parts[2]), parts[3]);
  }
}
