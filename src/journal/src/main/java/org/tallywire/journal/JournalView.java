package org.tallywire.journal;

import java.nio.file.Path;
import java.util.List;
import java.util.Optional;

/**
 * Reads a journal, also one that another process writes at the same time; can change nothing and
 * takes no lock. For commands that look into a data folder. All methods may be called from any
 * thread.
 */
@SuppressWarnings("DoNotCallSuggester") // until it is built
public final class JournalView implements AutoCloseable {

  private JournalView() {}

  /**
   * Opens the journal of a folder for reading.
   *
   * @throws JournalException if there is none, or it is damaged or of another layout
   */
  public static JournalView open(Path folder) throws JournalException {
    throw new UnsupportedOperationException("not built yet");
  }

  /** Returns up to {@code limit} entries after a position, in order; empty at the end. */
  public List<JournalEntry> read(long after, int limit) throws JournalException {
    throw new UnsupportedOperationException("not built yet");
  }

  /** Returns the last committed position at this moment. */
  public long head() throws JournalException {
    throw new UnsupportedOperationException("not built yet");
  }

  /** Returns the identity of the journal itself, 12 hexadecimal digits, made with it. */
  public String identity() throws JournalException {
    throw new UnsupportedOperationException("not built yet");
  }

  /** Returns where retention has cut it off. */
  public Anchor anchor() throws JournalException {
    throw new UnsupportedOperationException("not built yet");
  }

  /** Returns what followers have put aside, in order of position. */
  public List<Shelved> shelf() throws JournalException {
    throw new UnsupportedOperationException("not built yet");
  }

  /** Walks the digests from the anchor to the head; a sentence saying where they break, if so. */
  public Optional<String> verify() throws JournalException {
    throw new UnsupportedOperationException("not built yet");
  }

  @Override
  public void close() {
    throw new UnsupportedOperationException("not built yet");
  }
}
