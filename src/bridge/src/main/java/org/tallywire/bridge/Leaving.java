package org.tallywire.bridge;

import java.io.IOException;
import java.io.PrintWriter;
import java.nio.file.Path;
import java.time.Duration;
import java.time.Instant;
import java.time.temporal.ChronoUnit;
import org.tallywire.format.SetupException;
import org.tallywire.journal.Draft;

/** Leaves a record in a bridge's inbox and tells the person what became of it. */
final class Leaving {

  private static final Duration WAIT = Duration.ofSeconds(15);

  private Leaving() {}

  /** Returns the time as records have it, to the millisecond. */
  static Instant now() {
    return Instant.now().truncatedTo(ChronoUnit.MILLIS);
  }

  /**
   * Leaves a record.
   *
   * @param done the sentence to say when the bridge has written it
   * @return the exit code
   * @throws SetupException if it cannot be left
   */
  static int leave(Path data, Draft draft, String done, PrintWriter out, PrintWriter err)
      throws SetupException {
    try {
      Inbox.Answer answer = new Inbox(data).leave(draft, WAIT);
      if (answer instanceof Inbox.Answer.Refused refused) {
        err.printf("Not done: %s%n", Visible.text(refused.sentence()));
        return Tallywire.NOT_AS_IT_SHOULD_BE;
      }
      if (answer instanceof Inbox.Answer.Waiting waiting) {
        err.printf(
            "No bridge has taken it within %d s. It waits in %s, and the bridge that runs on this"
                + " data folder next takes it; delete that file to take it back.%n",
            WAIT.toSeconds(), waiting.file());
        return Tallywire.NOT_AS_IT_SHOULD_BE;
      }
      out.println(Visible.text(done));
      out.flush();
      return Tallywire.OK;
    } catch (IOException e) {
      throw new SetupException("%s: nothing can be left there: %s".formatted(data, e));
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
      throw new SetupException("interrupted before the bridge answered; it may still take it");
    }
  }
}
