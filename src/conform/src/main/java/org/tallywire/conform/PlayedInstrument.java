package org.tallywire.conform;

import java.time.Duration;
import java.util.ArrayDeque;
import java.util.HashMap;
import java.util.LinkedHashMap;
import java.util.Map;
import java.util.Optional;
import java.util.Queue;
import java.util.TreeMap;
import org.tallywire.api.LinkException;
import org.tallywire.api.TimeSource;
import org.tallywire.line.LineMessage;

/**
 * An instrument that answers as the protocol wants, until a scenario lets it depart from it. While
 * it waits for the bridge it beats, answers requests and sends again what is not acknowledged.
 * Lives for one scenario; used by one thread.
 */
final class PlayedInstrument extends Conversation {

  /** How long the bridge may take for what it has to do at once; the disk may be slow. */
  static final Duration PATIENCE = Duration.ofSeconds(3);

  private static final Duration NEW_LINK = Duration.ofSeconds(15);
  private static final Duration MOMENT = Duration.ofMillis(80);
  private static final int MOMENT_BYTES = 600;

  private final BridgeLinks links;
  private final BridgeWatch watch;
  private final LineRate rate;
  private final Map<String, String> hello = new LinkedHashMap<>();
  private final UsualAnswers usual = new UsualAnswers(this);
  private final Map<String, Answer> answers = new HashMap<>();
  private final Map<String, Integer> dropped = new HashMap<>();
  private final TreeMap<Long, String> store = new TreeMap<>();
  private final Queue<Talk.Heard> heardBefore = new ArrayDeque<>();

  private String boot;
  private boolean frozen;
  private boolean beating;
  private long beatDue;
  private long lastSaid;
  private long acknowledged;
  private int credit;

  PlayedInstrument(BridgeLinks links, BridgeWatch watch, LineRate rate, String boot) {
    this.links = links;
    this.watch = watch;
    this.rate = rate;
    this.boot = boot;
    hello.putAll(UsualAnswers.hello(boot));
  }

  /** What is said to a request. */
  interface Answer {
    void give(LineMessage request) throws LinkException;
  }

  // ---- how it departs from what is usual

  /** States something else in the hello. */
  void state(String key, String value) {
    hello.put(key, value);
  }

  /** Leaves a field out of the hello. */
  void leaveOut(String key) {
    hello.remove(key);
  }

  /** Answers requests of a kind in another way from now on. */
  void answer(String kind, Answer answer) {
    answers.put(kind, answer);
  }

  /** Answers requests of a kind as is usual from now on. */
  void answerAsUsual(String kind) {
    answers.remove(kind);
  }

  UsualAnswers usual() {
    return usual;
  }

  /** Answers requests of a kind with a line; {@code REQ} in it stands for the request's number. */
  void answerLine(String kind, String body) {
    answer(kind, request -> say(body.replace("REQ", UsualAnswers.req(request))));
  }

  /** Leaves the next requests of a kind without an answer. */
  void drop(String kind, int times) {
    dropped.put(kind, times);
  }

  /** Says nothing by itself any more, beats and answers neither. */
  void freeze() {
    frozen = true;
  }

  /** Takes another boot id, with an empty store, as after a loss of power. */
  void reboot() {
    boot = boot + "r";
    hello.put("boot", boot);
    store.clear();
    lastSaid = 0;
    acknowledged = 0;
  }

  // ---- what it says

  void say(String body) throws LinkException {
    sayBytes(Wire.line(body));
  }

  void sayBytes(byte[] bytes) throws LinkException {
    try {
      sayUsual(bytes);
    } finally {
      links.atIssue();
    }
  }

  /** Says what any instrument would say here, and the scenario is not about. */
  void sayUsual(String body) throws LinkException {
    sayUsual(Wire.line(body));
  }

  void sayUsual(byte[] bytes) throws LinkException {
    links.talk().sayBytes(bytes);
    beatDue = now() + beat().toNanos() / 2;
  }

  /** Returns the body of a reading as it would be sent. */
  String reading(long number) {
    return "!reading boot=%s seq=%d at=2026-01-15T08:%02d:%02d.250Z clock=free status=ok"
            .formatted(boot, number, number / 60 % 60, number % 60)
        + " test=turns-ratio windings=HV-LV phase=A tap=%d".formatted(number)
        + " v1=46.%04d v2=4.31 v3=0.02 v4=40.0%d".formatted(number, number % 10);
  }

  /** Stores a usual reading and sends it. */
  void sayReading(long number) throws LinkException {
    sayReading(number, reading(number));
  }

  /** Stores a reading with the given body and sends it. */
  void sayReading(long number, String body) throws LinkException {
    keep(number, body);
    watch.said(boot, number);
    say(body);
  }

  /** Stores a reading without sending it. */
  void keep(long number, String body) {
    store.put(number, body);
    lastSaid = Math.max(lastSaid, number);
  }

  /** Sends a stored reading again. */
  void repeat(long number) throws LinkException {
    watch.said(boot, number);
    say(store.getOrDefault(number, reading(number)) + " resent=1");
  }

  /** Sends again what is stored from a number on, as much as is granted. */
  void repeatFrom(long first) throws LinkException {
    for (long number : store.tailMap(first).keySet().stream().limit(credit).toList()) {
      watch.said(boot, number);
      sayUsual(store.getOrDefault(number, reading(number)) + " resent=1");
    }
  }

  /** Notes that a number is about to be sent by the scenario itself, in bytes that are right. */
  void mayBeAcknowledged(long number) {
    watch.said(boot, number);
  }

  /** Declares readings lost. */
  void sayLost(long from, long to) throws LinkException {
    lastSaid = Math.max(lastSaid, to);
    watch.said(boot, to);
    say("!lost boot=%s from=%d to=%d".formatted(boot, from, to));
  }

  @Override
  void sayBeat() throws LinkException {
    sayUsual("!beat boot=%s last=%d held=%d".formatted(boot, lastSaid, lastSaid - acknowledged));
  }

  // ---- what it hears

  /** Goes on as usual until readings are asked for; returns the {@code >send}. */
  LineMessage stream() throws Broken, LinkException {
    return request("send", "L-12a").message();
  }

  /** Goes on until readings are asked for, sends the first and waits for its acknowledgement. */
  void first(String rule) throws Broken, LinkException {
    stream();
    sayReading(1);
    acknowledged(1, rule);
  }

  /** Waits for a request of a kind, which is answered as it comes. */
  Talk.Heard.Line request(String kind, String rule) throws Broken, LinkException {
    Optional<Talk.Heard.Line> line = await(m -> m.kind().equals(kind), PATIENCE);
    return line.orElseThrow(
        () -> new Broken(rule, "no >%s within %d ms".formatted(kind, PATIENCE.toMillis())));
  }

  /** Waits for the acknowledgement of a reading and of all before it. */
  void acknowledged(long number, String rule) throws Broken, LinkException {
    long until = now() + PATIENCE.toNanos();
    while (acknowledged < number) {
      Duration left = Duration.ofNanos(Math.max(0, until - now()));
      if (await(m -> m.kind().equals("ack"), left).isEmpty()) {
        throw new Broken(
            rule,
            "no acknowledgement of %d within %d ms, the last one was of %d"
                .formatted(number, PATIENCE.toMillis(), acknowledged));
      }
    }
  }

  /** Waits for another acknowledgement, as for a repeat. */
  void acknowledgedAgain(String rule, String what) throws Broken, LinkException {
    if (await(m -> m.kind().equals("ack"), PATIENCE).isEmpty()) {
      throw new Broken(rule, what + " was not acknowledged");
    }
  }

  /** Sees that nothing beyond a number is acknowledged: a repeat of it is, and only as itself. */
  void fence(long number, String rule) throws Broken, LinkException {
    repeat(number);
    acknowledgedAgain("L-25a", "the repeat of reading %d".formatted(number));
    if (acknowledged > number) {
      throw new Broken(
          rule, "acknowledged %d, which it must not have taken".formatted(acknowledged));
    }
  }

  /** Says nothing for a while. */
  void silentFor(Duration pause) throws LinkException {
    boolean before = frozen;
    frozen = true;
    listen(pause);
    frozen = before;
  }

  /** Returns a time in which a line and the reaction to it arrive, if nobody is busy. */
  Duration moment() {
    return MOMENT.plus(rate.lineTime(MOMENT_BYTES));
  }

  /** Notes what should be otherwise and breaks no rule. */
  void note(String rule, String sentence) {
    watch.note(rule, sentence);
  }

  // ---- the link

  /** Waits for the first {@code >hello}, which stays unanswered until the scenario listens. */
  void meet(boolean byStart) throws Broken, LinkException {
    watch.session(boot, canClock());
    heardBefore.add(new Meeting(this, watch).hello(byStart));
  }

  /** Loses the link; returns when the bridge has come again and said hello, which is answered. */
  void reconnect() throws Broken, LinkException {
    if (links.showClosing()) {
      links.renew(NEW_LINK);
      beating = false;
      meet(false);
      return;
    }
    freeze();
    Optional<Talk.Heard.Line> again = await(m -> m.kind().equals("hello"), NEW_LINK);
    frozen = false;
    heardBefore.add(
        again.orElseThrow(() -> new Broken("L-28c", "no >hello after the line fell silent")));
  }

  boolean showsClosing() {
    return links.showClosing();
  }

  LineRate rate() {
    return rate;
  }

  String boot() {
    return boot;
  }

  /** Returns what it states in its hello. */
  Map<String, String> hello() {
    return new LinkedHashMap<>(hello);
  }

  /** Returns the last number given. */
  long last() {
    return lastSaid;
  }

  TimeSource time() {
    return links.time();
  }

  int credit() {
    return credit;
  }

  long acknowledged() {
    return acknowledged;
  }

  Duration beat() {
    String stated = hello.getOrDefault("beat", "");
    return Duration.ofMillis(stated.matches("[0-9]{1,6}") ? Long.parseLong(stated) : 500);
  }

  /** Notes that the kit has stated a boot id itself, in an answer of its own. */
  void stated() {
    watch.session(boot, canClock());
    beating = true;
  }

  private boolean canClock() {
    return hello.getOrDefault("can", "").contains("clock");
  }

  // ---- as one end of a conversation

  @Override
  Optional<Talk.Heard> next(Duration within) throws LinkException {
    Optional<Talk.Heard> heard =
        heardBefore.isEmpty() ? super.next(within) : Optional.of(heardBefore.remove());
    if (heard.isPresent() && heard.get() instanceof Talk.Heard.Line line) {
      take(line.message());
    }
    return heard;
  }

  @Override
  Talk talk() {
    return links.talk();
  }

  @Override
  long now() {
    return links.time().nanos();
  }

  @Override
  long untilBeat() {
    return beating && !frozen ? beatDue - now() : Long.MAX_VALUE;
  }

  @Override
  void heard(Talk.Heard heard) {
    watch.heard(heard);
  }

  private void take(LineMessage line) throws LinkException {
    if (line.kind().equals("ack") && line.fields().getOrDefault("boot", "").equals(boot)) {
      String number = line.fields().getOrDefault("seq", "");
      acknowledged =
          Math.max(acknowledged, number.matches("[0-9]{1,18}") ? Long.parseLong(number) : 0);
    }
    if (line.kind().equals("send")) {
      String granted = line.fields().getOrDefault("credit", "");
      credit = granted.matches("[0-9]{1,2}") ? Integer.parseInt(granted) : 1;
    }
    if (!frozen && Repeats.isRequest(line) && dropped.merge(line.kind(), -1, Integer::sum) < 0) {
      watch.answered();
      answers.getOrDefault(line.kind(), usual).give(line);
    }
  }
}
