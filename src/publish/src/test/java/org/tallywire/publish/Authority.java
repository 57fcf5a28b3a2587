package org.tallywire.publish;

import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Optional;
import java.util.regex.MatchResult;
import java.util.regex.Pattern;

/** A private authority, made by the very commands of shared/broker/README.md. */
final class Authority {

  static final Path SHARED = Path.of("../../shared/broker").toAbsolutePath().normalize();

  private static final Pattern COMMANDS = Pattern.compile("(?s)```sh\n(.*?)```");

  private final Path folder;

  private Authority(Path folder) {
    this.folder = folder;
  }

  /** Makes one for a broker that is called {@code localhost}, with a third client, who observes. */
  static Authority make(Path folder) throws Exception {
    Files.createDirectories(folder);
    Files.copy(SHARED.resolve("authority.cnf"), folder.resolve("authority.cnf"));
    Authority authority = new Authority(folder);
    String commands = commands(0);
    assertTrue(commands.contains("HOST=broker.hollow-lane.example"), commands);
    assertTrue(commands.contains("bridge-hollow-lane archive;"), commands);
    authority.shell(
        commands
            .replace("HOST=broker.hollow-lane.example", "HOST=localhost")
            .replace("bridge-hollow-lane archive;", "bridge-hollow-lane archive observer;"));
    return authority;
  }

  /** Revokes the certificate of the client {@code archive}, as the page says. */
  void revokeArchive() throws Exception {
    shell(commands(1));
  }

  /** Signs a request again, for a number of days from now; negative ones have passed already. */
  Path renewed(String name, int days) throws Exception {
    Path renewed = folder.resolve("%s-for-%d-days.pem".formatted(name, days));
    String extensions = name.equals("broker") ? "broker.ext" : "client.ext";
    shell(
        "openssl x509 -req -in %s.csr -CA ca.pem -CAkey ca.key -days %d -extfile %s -out %s"
            .formatted(name, days, extensions, renewed));
    return renewed;
  }

  void shell(String commands) throws Exception {
    Programs.run(folder, "sh", "-e", "-c", commands);
  }

  Path file(String name) {
    return folder.resolve(name);
  }

  /** What a client of this authority puts into its configuration. */
  Tls tls(String client) {
    return new Tls(
        Optional.of(file("ca.pem")),
        Optional.of(file(client + ".pem")),
        Optional.of(file(client + ".key")),
        Optional.empty());
  }

  /** The same for mosquitto's clients. */
  List<String> arguments(String client) {
    return List.of(
        "--cafile",
        file("ca.pem").toString(),
        "--cert",
        file(client + ".pem").toString(),
        "--key",
        file(client + ".key").toString());
  }

  private static String commands(int index) throws Exception {
    String page = Files.readString(SHARED.resolve("README.md"));
    List<String> blocks = COMMANDS.matcher(page).results().map(Authority::body).toList();
    return blocks.get(index);
  }

  private static String body(MatchResult block) {
    return block.group(1);
  }
}
