package org.tallywire.format;

import java.time.Instant;
import java.util.Locale;
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
 * @param broker of the bridge: how it stands with the broker, in a word
 * @param counts since the bridge started
 */
public record StateRecord(
    String station,
    Word word,
    Instant since,
    Instant at,
    long epoch,
    String detail,
    Optional<Instrument> instrument,
    Optional<String> broker,
    Counts counts) {

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
   */
  public record Counts(long readings, long faults, long gaps) {

    /** Nothing yet. */
    public static final Counts NONE = new Counts(0, 0, 0);
  }
}
