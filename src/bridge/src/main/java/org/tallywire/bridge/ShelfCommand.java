package org.tallywire.bridge;

import java.io.PrintStream;
import java.nio.file.Path;
import java.time.temporal.ChronoUnit;
import java.util.List;
import java.util.Set;
import java.util.concurrent.Callable;
import org.tallywire.format.SetupException;
import org.tallywire.journal.JournalException;
import org.tallywire.journal.JournalView;
import org.tallywire.journal.Shelved;
import picocli.CommandLine.Command;
import picocli.CommandLine.Parameters;

/** {@code tallywire shelf}: the records that the broker does not take, and why. */
@Command(
    name = "shelf",
    description = {
      "Lists the records that the broker did not take and that were put aside, and why. They are in"
          + " the journal like all others; \"tallywire replay\" tries them again.",
      "A bridge may run meanwhile. Ends with 0 if nothing lies there, with 3 if something does."
    },
    mixinStandardHelpOptions = true)
final class ShelfCommand implements Callable<Integer> {

  @Parameters(
      paramLabel = "CONFIG|DATA",
      description = "the bridge's configuration file, or its data folder")
  private Path given = Path.of("");

  @Override
  public Integer call() throws Exception {
    Path data = Folder.of(given);
    try (JournalView journal = Folder.view(data)) {
      Set<Long> replayed = Replayed.noted(data);
      List<Shelved> shelf =
          journal.shelf().stream().filter(one -> !replayed.contains(one.position())).toList();
      tell(shelf, System.out);
      return shelf.isEmpty() ? Tallywire.OK : Tallywire.NOT_AS_IT_SHOULD_BE;
    } catch (JournalException e) {
      throw new SetupException("data: " + e.getMessage());
    }
  }

  private static void tell(List<Shelved> shelf, PrintStream out) {
    if (shelf.isEmpty()) {
      out.println("Nothing lies on the shelf.");
      return;
    }
    out.printf("%10s  %-20s  %-9s  %-16s  %s%n", "position", "since", "kind", "station", "id");
    for (Shelved one : shelf) {
      out.printf(
          "%10d  %-20s  %-9s  %-16s  %s%n",
          one.position(),
          one.at().truncatedTo(ChronoUnit.SECONDS),
          Visible.text(one.kind()),
          Visible.text(one.station()),
          Visible.text(one.id()));
      out.printf("%12s%s%n", "", Visible.text(one.reason()));
    }
    out.printf(
        "%n%s on the shelf. Once the cause is mended: tallywire replay CONFIG --shelf%n",
        shelf.size() == 1 ? "1 record lies" : shelf.size() + " records lie");
  }
}
