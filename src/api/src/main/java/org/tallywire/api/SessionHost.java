package org.tallywire.api;

import java.time.Duration;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;

/** What a session may do: ask the time, send, and give what it understood. */
public interface SessionHost {

  /** Returns the clocks to use. */
  TimeSource time();

  /**
   * Returns how long so many bytes take on this link: start, data, parity and stop bits on a serial
   * line; over TCP a flat 150 ms, whatever the number.
   */
  Duration lineTime(int bytes);

  /**
   * Returns what this station's sessions want to remember from link to link, for as long as the
   * bridge runs; a session puts in and takes out what it likes, in its own words.
   */
  Map<String, String> notes();

  /** Sends a command to the instrument, or holds it until a person has confirmed it. */
  void send(Command command) throws LinkException;

  /**
   * Goes on at another speed, bits per second, until the link is opened anew; nothing happens on a
   * link without a speed. What was sent before should have gone out: see {@link #lineTime}.
   */
  void speed(int baud) throws LinkException;

  /** Says which instrument speaks; must come before its first reading. */
  void identified(Instrument instrument);

  /**
   * Likewise of one of several instruments on the same line.
   *
   * @param address by which it is called there; empty on a line with one instrument
   */
  default void identified(String address, Instrument instrument) {
    identified(instrument);
  }

  /**
   * Says that the instrument, known from before, has started again since then, in one sentence:
   * what it held and had not given may be lost.
   */
  void restarted(String sentence);

  /**
   * Says in one sentence that the instrument contradicts its station's settings, and which of the
   * two counts; readings come all the same.
   */
  default void contradicted(String sentence) {
    status(sentence);
  }

  /** Returns the last sequence number of that instrument and epoch that is on disk, if any. */
  OptionalLong lastRecorded(Instrument instrument, String epoch);

  /**
   * Returns the reading of that number as it is on disk, the first of its parts; nothing if there
   * is none, or no longer.
   */
  default Optional<Reading> recorded(Instrument instrument, SequenceNumber number) {
    return Optional.empty();
  }

  /** Gives a reading; it is on disk when {@link Session#durable} is called next. */
  void reading(Reading reading);

  /** Says that a reading came again that was given already, and was dropped: it is counted. */
  void repeated();

  /** Declares readings missing; likewise. */
  void gap(Gap gap);

  /** Says in a few words what the instrument is doing or what the session waits for. */
  void status(String words);
}
