package org.tallywire.fault;

import java.util.Map;

/**
 * How a process was at one moment.
 *
 * @param at seconds since the beginning
 * @param heap live bytes after a full collection; NaN where none was made for this sample
 * @param resident bytes of memory that the system counts for it
 * @param journal bytes of the journal's file
 * @param log bytes of the journal's write-ahead log
 * @param rate readings a second that were new to a subscriber, since the sample before
 * @param delay seconds since the oldest entry was journalled that the subscriber does not have yet;
 *     0 if it has all
 * @param down how many links may be down at this moment, for what was done to them
 * @param kinds how many threads and open files of each kind it has, by name without digits
 */
record Sample(
    double at,
    double heap,
    double resident,
    int threads,
    int descriptors,
    double journal,
    double log,
    double rate,
    double delay,
    int down,
    Map<String, Integer> kinds) {

  Sample {
    kinds = Map.copyOf(kinds);
  }
}
