package org.tallywire.fault;

import java.util.ArrayList;
import java.util.HashMap;
import java.util.HashSet;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.regex.Pattern;

/**
 * Compares what the instruments took, what the journal holds in the end and what a subscriber
 * received: every reading once, as it was taken, in order; what is missing declared, and no more
 * declared than is missing; everything in the journal received byte for byte, in its order.
 */
final class Oracle {

  private static final int MOST_SENTENCES = 100;

  /** What may follow a reading's fields in its line: the mark of a repeat, the check value. */
  private static final Pattern LINE_END = Pattern.compile("( resent=1)?\\*[0-9A-Fa-f]{4}");

  private final List<Taken> taken;
  private final List<Told> journal;
  private final List<Told> received;
  private final Map<String, Integer> placeTaken = new HashMap<>();
  private final Map<String, String> journalled = new LinkedHashMap<>();
  private final Set<String> held = new HashSet<>();
  private final Set<String> declared = new HashSet<>();
  private final List<String> wrong = new ArrayList<>();
  private long lost;
  private long doubled;
  private long missing;
  private long untold;

  private Oracle(List<Taken> taken, List<Told> journal, List<Told> received) {
    this.taken = taken;
    this.journal = journal;
    this.received = received;
    for (int place = 0; place < taken.size(); place++) {
      placeTaken.put(taken.get(place).key(), place);
    }
  }

  /**
   * Judges one run.
   *
   * @param taken what the instruments took, each instrument's in its order
   * @param journal all entries in their order
   * @param received the records that a subscriber received, in the order of arrival, repeats too;
   *     states and tallies among them are passed over
   */
  static Findings judge(List<Taken> taken, List<Told> journal, List<Told> received) {
    Oracle oracle = new Oracle(taken, journal, received);
    oracle.readJournal();
    oracle.checkGaps();
    oracle.checkMissing();
    oracle.checkReceived();
    return new Findings(
        taken.size(), oracle.lost, oracle.doubled, oracle.missing, oracle.untold, oracle.wrong);
  }

  private void readJournal() {
    Map<String, Integer> lastPlace = new HashMap<>();
    Set<String> booked = new HashSet<>();
    for (Told entry : journal) {
      if (journalled.put(entry.id(), entry.text()) != null) {
        doubled++;
        say("the journal holds the id %s twice".formatted(entry.id()));
        continue;
      }
      if (entry.kind().equals("reading")) {
        readReading(entry, lastPlace);
      } else if (entry.kind().equals("booking")
          && !booked.add(entry.json().path("reading").asText())) {
        doubled++;
        say("the reading %s is booked twice".formatted(entry.json().path("reading").asText()));
      }
    }
  }

  private void readReading(Told entry, Map<String, Integer> lastPlace) {
    String key = entry.covers().get(0);
    Integer place = placeTaken.get(key);
    if (place == null) {
      say("the journal holds %s, which no instrument took".formatted(key));
      return;
    }
    if (!held.add(key)) {
      doubled++;
      say("the journal holds %s twice, the second time as %s".formatted(key, entry.id()));
      return;
    }
    String line = taken.get(place).line();
    String raw = entry.json().path("raw").asText().strip();
    if (!raw.startsWith(line) || !LINE_END.matcher(raw.substring(line.length())).matches()) {
      say("%s was taken as \"%s\" and is held as \"%s\"".formatted(key, line, raw));
    }
    Integer before = lastPlace.put(entry.serial(), place);
    if (before != null && before > place) {
      say("%s stands in the journal behind %s".formatted(key, taken.get(before).key()));
    }
  }

  /** A gap is true if it is about readings that were taken and that the journal does not hold. */
  private void checkGaps() {
    for (Told gap : journal) {
      if (!gap.kind().equals("gap")) {
        continue;
      }
      if (gap.json().path("reason").asText().equals("conflict")) {
        say("no instrument sends two versions, but the journal says so: %s".formatted(gap.text()));
        continue;
      }
      for (String key : gap.covers()) {
        if (!placeTaken.containsKey(key)) {
          say("gap %s is about %s, which no instrument took".formatted(gap.id(), key));
        } else if (held.contains(key)) {
          say("gap %s is about %s, which the journal holds".formatted(gap.id(), key));
        } else if (!declared.add(key)) {
          say("gap %s is about %s, which another one declares too".formatted(gap.id(), key));
        }
      }
    }
    missing = declared.size();
  }

  /**
   * What is missing without a word is lost; but where an instrument was switched off, its last
   * readings went before it could tell of them.
   */
  private void checkMissing() {
    Map<String, String> lastBoot = new HashMap<>();
    taken.forEach(reading -> lastBoot.put(reading.serial(), reading.boot()));
    Set<String> heardLater = new HashSet<>();
    for (int place = taken.size() - 1; place >= 0; place--) {
      Taken reading = taken.get(place);
      String life = reading.serial() + "/" + reading.boot();
      if (held.contains(reading.key()) || declared.contains(reading.key())) {
        heardLater.add(life);
      } else if (!heardLater.contains(life)
          && !reading.boot().equals(lastBoot.get(reading.serial()))) {
        untold++;
      } else {
        lost++;
        say("%s is missing and not declared".formatted(reading.key()));
      }
    }
  }

  private void checkReceived() {
    Map<String, String> first = new LinkedHashMap<>();
    for (Told told : received) {
      if (told.id().isEmpty() || told.kind().equals("state") || told.kind().equals("tally")) {
        continue;
      }
      String before = first.putIfAbsent(told.id(), told.text());
      if (before != null && !before.equals(told.text())) {
        doubled++;
        say("%s was received in two versions".formatted(told.id()));
      }
    }
    Map<String, Integer> order = new HashMap<>();
    journalled.keySet().forEach(id -> order.put(id, order.size()));
    Map<String, Integer> last = new HashMap<>();
    for (Map.Entry<String, String> one : first.entrySet()) {
      String held = journalled.get(one.getKey());
      if (held == null) {
        say("%s was received, and the journal does not hold it".formatted(one.getKey()));
        continue;
      }
      if (!held.equals(one.getValue())) {
        say("%s was received other than the journal holds it".formatted(one.getKey()));
      }
      int place = order.get(one.getKey());
      Integer before = last.put(Told.of(held).station(), place);
      if (before != null && before > place) {
        say("%s was received behind what the journal holds after it".formatted(one.getKey()));
      }
    }
    for (String id : journalled.keySet()) {
      if (!first.containsKey(id)) {
        lost++;
        say("%s is in the journal and was never received".formatted(id));
      }
    }
  }

  private void say(String sentence) {
    if (wrong.size() < MOST_SENTENCES) {
      wrong.add(sentence);
    }
  }
}
