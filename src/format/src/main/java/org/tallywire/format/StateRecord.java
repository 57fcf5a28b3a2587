package org.tallywire.format;

import java.time.Instant;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import org.tallywire.api.Instrument;

/**
 * The present state of a station or of the bridge; sent live and retained, never journalled.
 *
 * @param station name of the station, {@code bridge} for the bridge itself
 * @param word how it is
 * @param since when it became so
 * @param at when this was said
 * @param epoch when the bridge started, in milliseconds: the higher one is the newer
 * @param detail a sentence for people
 * @param instrument who is connected, if known
 * @param counts of a station, since the bridge started
 * @param whole of the bridge: how it stands with what all stations share
 */
public record StateRecord(
    String station,
    Word word,
    Instant since,
    Instant at,
    long epoch,
    String detail,
    Optional<Instrument> instrument,
    Counts counts,
    Optional<Whole> whole) {

  /** The station name that stands for the bridge itself. */
  public static final String BRIDGE = "bridge";

  /** How a station or the bridge is. */
  public enum Word {
    /** The link is being opened. */
    CONNECTING,
    /** The link is open; the instrument has not said who it is. */
    WAITING,
    /** The instrument is there. */
    CONNECTED,
    /** The link cannot be opened or was lost; it is tried again. */
    DOWN,
    /** The bridge runs. */
    RUNNING,
    /** It was stopped on purpose. */
    STOPPED;

    /** Returns the word in records. */
    public String word() {
      return name().toLowerCase(Locale.ROOT);
    }
  }

  /**
   * What a station has counted since the bridge started.
   *
   * @param readings recorded
   * @param faults frames that were no message
   * @param gaps declared
   * @param gapsSeen whether a reading that is lost on the way leaves a trace: an instrument that
   *     does not number its readings leaves none
   * @param repeats readings that came again and were dropped
   */
  public record Counts(long readings, long faults, long gaps, boolean gapsSeen, long repeats) {

    /** Nothing yet. */
    public static final Counts NONE = new Counts(0, 0, 0, true, 0);
  }

  /**
   * How it stands with what all stations share.
   *
   * @param broker in a word, if it is known
   * @param storage whether records can be put on disk
   * @param standing how far the records have come, once that is known
   * @param notices what a person should know or do, the most severe first; empty: nothing
   */
  public record Whole(
      Optional<String> broker, Storage storage, Optional<Standing> standing, List<Notice> notices) {

    public Whole {
      notices = List.copyOf(notices);
    }
  }

  /** Whether records can be put on disk. */
  public enum Storage {
    /** They can. */
    SOUND,
    /** There is no space; nothing is acknowledged until there is. */
    FULL,
    /** They cannot, for another reason; nothing is acknowledged. */
    FAILING;

    /** Returns the word in records. */
    public String word() {
      return name().toLowerCase(Locale.ROOT);
    }
  }

  /**
   * How far the records have come, as positions of the journal.
   *
   * @param journalled the last one on disk
   * @param accepted the last one up to which the broker has acknowledged all, or it was shelved
   * @param confirmed by consumer: the last one up to which it says that it holds all
   * @param shelved how many lie on the shelf
   */
  public record Standing(
      long journalled, long accepted, Map<String, Long> confirmed, long shelved) {

    public Standing {
      confirmed = Map.copyOf(confirmed);
    }
  }

  /** What a notice is about; the first is the most severe. */
  public enum Concern {
    /** The journal's disk. */
    STORAGE,
    /** The examiner. */
    JUDGING,
    /** The broker and the way to it. */
    BROKER,
    /** Records that the broker does not take. */
    SHELF,
    /** Old entries that should go and cannot. */
    RETENTION;

    /** Returns the word in records. */
    public String word() {
      return name().toLowerCase(Locale.ROOT);
    }
  }

  /**
   * Something that a person should know or do.
   *
   * @param concern what it is about
   * @param sentence what it is, and what to do
   */
  public record Notice(Concern concern, String sentence) {}
}
