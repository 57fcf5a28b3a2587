package org.tallywire.bridge;

import java.io.IOException;
import java.io.PrintWriter;
import java.nio.charset.StandardCharsets;
import java.nio.file.FileAlreadyExistsException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.nio.file.attribute.FileAttribute;
import java.nio.file.attribute.PosixFilePermissions;
import java.security.KeyPair;
import java.util.Set;
import java.util.concurrent.Callable;
import org.tallywire.format.SetupException;
import org.tallywire.report.ShopKey;
import picocli.CommandLine.Command;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Parameters;
import picocli.CommandLine.Spec;

/** {@code tallywire key}: the key with which a shop signs its records. */
@Command(
    name = "key",
    description = "Makes the key with which a shop signs its records.",
    mixinStandardHelpOptions = true,
    subcommands = KeyCommand.New.class)
final class KeyCommand implements Callable<Integer> {

  @Override
  public Integer call() throws SetupException {
    throw new SetupException("tallywire key: say new FILE");
  }

  /** {@code tallywire key new}. */
  @Command(
      name = "new",
      description = {
        "Makes a new Ed25519 key in a new file that its owner alone may read, and prints its public"
            + " part, which those who check records need.",
        "Whoever has the file can sign as the shop. Lost, it cannot be made again."
      },
      mixinStandardHelpOptions = true)
  static final class New implements Callable<Integer> {

    @Spec private CommandSpec spec = CommandSpec.create();

    @Parameters(paramLabel = "FILE", description = "the new file")
    private Path file = Path.of("");

    @Override
    public Integer call() throws Exception {
      KeyPair key = ShopKey.make();
      FileAttribute<?> ownerAlone =
          PosixFilePermissions.asFileAttribute(PosixFilePermissions.fromString("rw-------"));
      Set<StandardOpenOption> anew =
          Set.of(StandardOpenOption.CREATE_NEW, StandardOpenOption.WRITE);
      try (var channel = Files.newByteChannel(file, anew, ownerAlone)) {
        var bytes = StandardCharsets.US_ASCII.encode(ShopKey.text(key));
        while (bytes.hasRemaining()) {
          channel.write(bytes);
        }
      } catch (FileAlreadyExistsException e) {
        throw new SetupException(
            "%s: is there already, and a key is never written over; give another name"
                .formatted(file));
      } catch (IOException | UnsupportedOperationException e) {
        throw new SetupException("%s: cannot be made: %s".formatted(file, e));
      }
      PrintWriter out = spec.commandLine().getOut();
      out.printf("%s: a new key, which its owner alone may read.%n", file);
      out.println("Its public part, for those who check records:");
      out.println(ShopKey.named(key));
      return Tallywire.OK;
    }
  }
}
