package org.tallywire.conform;

import java.io.ByteArrayOutputStream;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.ArrayDeque;
import java.util.Deque;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import org.tallywire.kit.ManualTime;
import org.tallywire.line.Crc16;

/** A small instrument, written from the page, that keeps every rule but for its one defect. */
final class ToyInstrument implements VirtualLink.Counterpart {

  static final int BEAT_MS = 400;

  private static final long MS = 1_000_000;
  private static final long BEAT = BEAT_MS * MS;
  private static final String WHOLE = "0|[1-9][0-9]{0,17}";

  private final ManualTime time;
  private final Optional<Defect> defect;
  private final int capacity;
  private final int total;
  private final ToyEar ear;
  private final StringBuilder said = new StringBuilder();
  private final Deque<Long> underWay = new ArrayDeque<>();
  private ToyStore store;
  private int lives = 1;
  private int answers;
  private String lastKind = "";
  private Map<String, String> lastFields = Map.of();
  private List<String> lastAnswer = List.of();
  private boolean greeted;
  private boolean sending;
  private boolean owesStart;
  private boolean measuring;
  private long measureAt;
  private long heardAt;
  private long saidAt;
  private long quietSince;
  private long base;
  private long cursor;
  private long sentUpTo;
  private long credit;

  /**
   * An instrument that is switched on.
   *
   * @param capacity how many readings it holds
   * @param total how many it measures after it was first asked for them
   */
  ToyInstrument(ManualTime time, Optional<Defect> defect, int capacity, int total) {
    this.time = time;
    this.defect = defect;
    this.capacity = capacity;
    this.total = total;
    this.ear = new ToyEar(defect);
    this.store = new ToyStore(defect, capacity);
    measuring = is(Defect.READINGS_BEFORE_SEND);
  }

  private boolean is(Defect one) {
    return defect.equals(Optional.of(one));
  }

  /** Switches it off and on; its store is not kept. */
  void restart() {
    restart(false);
  }

  /**
   * Switches it off and on.
   *
   * @param late whether it announces itself only behind its first answer
   */
  void restart(boolean late) {
    lives += is(Defect.SAME_BOOT_AFTER_RESTART) ? 0 : 1;
    store = new ToyStore(defect, capacity);
    endSession();
    measuring = false;
    sentUpTo = 0;
    owesStart = late;
    if (!late) {
      say("!start boot=" + boot());
    }
  }

  private String boot() {
    if (is(Defect.HELLO_WITH_EMPTY_BOOT)) {
      return "";
    }
    return (is(Defect.BOOT_ID_INVALID) ? "toy." : "toy-")
        + lives
        + (is(Defect.BOOT_ID_EACH_HELLO) ? answers : "");
  }

  private void endSession() {
    greeted = false;
    sending = is(Defect.READINGS_AFTER_HELLO) && sending;
    underWay.clear();
    lastAnswer = List.of();
  }

  @Override
  public void receive(byte[] bytes) {
    for (ToyEar.Line line : ear.take(bytes)) {
      heardAt = time.nanos();
      if (line.fault()) {
        Optional.ofNullable(line.fields().get("req")).ifPresent(req -> say(error(req, 101)));
      } else if (line.kind().equals("ack")) {
        acknowledge(line.fields());
      } else if (!line.kind().equals("beat")) {
        request(line.kind(), line.fields());
      } else if (is(Defect.BEAT_REVIVES)) {
        greeted = true;
      } else if (is(Defect.ANSWERS_ECHO) && line.fields().containsKey("last")) {
        say(error("0", 201));
      }
    }
  }

  private void request(String kind, Map<String, String> fields) {
    String req = fields.getOrDefault("req", "");
    if (is(Defect.REQ_AS_NUMBER) && req.matches("[0-9]{1,9}")) {
      req = "" + Long.parseLong(req);
    }
    if (!req.matches("[0-9]{1,9}")) {
      if (is(Defect.ANSWERS_UNASKED)) {
        say("<error code=201");
      }
      return;
    }
    boolean sameFields =
        is(Defect.REQ_ONLY_BY_NUMBER)
            ? req.equals(lastFields.get("req"))
            : kind.equals(lastKind) && fields.equals(lastFields);
    if (sameFields && is(Defect.REPEAT_UNANSWERED)) {
      return;
    }
    credit += sameFields && is(Defect.ACTS_TWICE) ? 1 : 0;
    boolean again = sameFields && !lastAnswer.isEmpty() && sending;
    if (again && kind.equals("send") && !is(Defect.REPEAT_SENDS_NOTHING)) {
      underWay.clear();
      cursor = base;
    }
    if (again && is(Defect.FIRST_MOVES_ON) && kind.equals("send")) {
      long first = store.after(base, boot()).map(ToyStore.Item::begin).orElse(store.last() + 1);
      lastAnswer =
          lastAnswer.stream().map(a -> a.replaceFirst("first=[0-9]+", "first=" + first)).toList();
    }
    if (again && is(Defect.REPEAT_STATES_ANOTHER_FIRST)) {
      lastAnswer = lastAnswer.stream().map(a -> a.replaceFirst("first=1", "first=2")).toList();
    }
    if (!sameFields || lastAnswer.isEmpty()) {
      lastKind = kind;
      lastFields = fields;
      lastAnswer = answer(kind, req, fields);
    }
    lastAnswer.stream()
        .map(a -> is(Defect.ANSWERS_WITHOUT_REQ) ? a.replaceFirst(" req=[0-9]+", "") : a)
        .forEach(this::say);
    if (owesStart) {
      owesStart = false;
      say("!start boot=" + boot());
    }
  }

  private List<String> answer(String kind, String req, Map<String, String> fields) {
    answers++;
    return switch (kind) {
      case "hello" -> List.of(hello(req, fields));
      case "channels" -> channels(is(Defect.WRONG_REQ) ? req + "7" : req);
      case "send" -> List.of(send(req, fields));
      case "clock" -> is(Defect.CLOCK_SILENT) ? List.of() : List.of(clock(req));
      default -> is(Defect.NO_201) ? List.of() : List.of(error(req, 201));
    };
  }

  private String hello(String req, Map<String, String> fields) {
    String version = fields.getOrDefault("version", "");
    if (!is(Defect.REFUSED_HELLO_KEEPS_SESSION) || version.startsWith("1.")) {
      boolean on = sending;
      endSession();
      sending = on && is(Defect.READINGS_AFTER_HELLO);
    }
    if (!version.matches("[0-9]+\\.[0-9]+")) {
      return error(req, 202);
    }
    boolean other = !version.startsWith("1.") && !is(Defect.ACCEPTS_2_0);
    if (other || (is(Defect.REFUSES_1_99) && version.equals("1.99"))) {
      return error(req, is(Defect.ERROR_CODE) ? 99 : 301);
    }
    if (is(Defect.NO_UNKNOWN_FIELDS) && fields.size() > 2) {
      return error(req, 101);
    }
    if (is(Defect.NO_EMPTY_VALUE) && fields.containsValue("")) {
      return error(req, 101);
    }
    greeted = true;
    return "<hello req=%s version=1.1 maker=Invented model=%s serial=7 firmware=0.1%s line=%d%s beat=%d can=clock%s"
        .formatted(
            req,
            is(Defect.LONG_TEXT) ? "m".repeat(65) : "toy",
            is(Defect.HELLO_WITHOUT_BOOT) ? "" : " boot=" + boot(),
            240,
            is(Defect.HELLO_WITHOUT_STORE) ? "" : " store=" + capacity,
            is(Defect.BEAT_OUT_OF_RANGE) ? 50 : BEAT_MS,
            is(Defect.DIGEST_UNSAID) ? "" : ",digest");
  }

  private List<String> channels(String req) {
    String unit = is(Defect.CHANNELS_CHANGE) && answers % 2 == 0 ? "A" : "mA";
    String first =
        "<channel req=%s n=1 of=3 ch=1 quantity=turns-ratio unit=1 resolution=0.01 min=0.8 max=15000"
            .formatted(req);
    String second =
        "<channel req=%s n=2 of=3 ch=%d quantity=excitation-current unit=%s"
            .formatted(req, is(Defect.CHANNEL_TWICE) ? 1 : 2, unit);
    return is(Defect.CHANNELS_SHORT)
        ? List.of(first, second)
        : List.of(
            first,
            second,
            "<channel req=%s n=3 of=3 ch=3 quantity=test-voltage unit=V".formatted(req));
  }

  private String send(String req, Map<String, String> fields) {
    String boot = fields.getOrDefault("boot", "");
    boolean other = !boot.equals(boot()) && !is(Defect.NO_302) && !boot.isEmpty();
    if (is(Defect.CHECKS_BOOT_FIRST) && other) {
      return error(req, 302);
    }
    long after = whole(fields, "after", Long.MAX_VALUE);
    long granted = whole(fields, "credit", is(Defect.CREDIT_65) ? 65 : 64);
    if ((boot.isEmpty() && !is(Defect.SEND_WITHOUT_BOOT)) || after < 0 || granted < 1) {
      return error(req, 202);
    }
    boolean beyond = after > store.last() && !is(Defect.AFTER_BEYOND);
    if (is(Defect.CHECKS_AFTER_FIRST) && beyond) {
      return error(req, 202);
    }
    if (other || (!greeted && !is(Defect.SEND_AFTER_SILENCE))) {
      return error(req, 302);
    }
    if (beyond) {
      return error(req, 202);
    }
    if (is(Defect.AFTER_ACKNOWLEDGES)) {
      store.forget(after);
    }
    if (!measuring) {
      measuring = true;
      measureAt = time.nanos() + 100 * MS;
    }
    sending = true;
    base = after;
    cursor = after;
    credit = granted + (is(Defect.EXCEEDS_CREDIT) ? 1 : 0);
    underWay.clear();
    quietSince = time.nanos();
    if (is(Defect.FORGETS)) {
      store.forget(sentUpTo - 1);
    }
    if (is(Defect.ACKED_AGAIN) && after > 0) {
      base = after - 1;
      cursor = base;
    }
    long first = store.after(base, boot()).map(ToyStore.Item::begin).orElse(store.last() + 1);
    first += is(Defect.FIRST_WRONG) && store.last() > 0 ? 1 : 0;
    String stated = is(Defect.FIRST_MISSING) ? "" : " first=" + first;
    return "<ok req=%s%s last=%d".formatted(req, stated, store.last());
  }

  private String clock(String req) {
    long uptime = time.nanos() / MS;
    return "<clock req=%s clock=relative uptime=%d"
        .formatted(req, is(Defect.CLOCK_GOES_BACK) ? 9_999_999 - uptime - answers : uptime);
  }

  private void acknowledge(Map<String, String> fields) {
    if (is(Defect.ANSWERS_ACK)) {
      say("<ok req=0 first=1 last=0");
    }
    long seq = whole(fields, "seq", is(Defect.HONOURS_BEYOND) ? Long.MAX_VALUE : sentUpTo);
    long granted = whole(fields, "credit", 64);
    boolean ours = boot().equals(fields.get("boot")) || is(Defect.HONOURS_OTHER_BOOT);
    if (is(Defect.HONOURS_WITHOUT_CREDIT) && !fields.containsKey("credit")) {
      granted = credit;
    }
    if (!ours || seq < 0 || granted < 1) {
      return;
    }
    if (!is(Defect.ACKED_AGAIN)) {
      store.forget(seq);
    }
    base = Math.max(base, Math.min(seq, store.last()));
    cursor = Math.max(cursor, base);
    underWay.removeIf(end -> end <= seq && !is(Defect.ACK_GRANTS_NOTHING));
    credit = is(Defect.CREDIT_OF_SEND_ONLY) ? credit : granted;
    quietSince = time.nanos();
  }

  @Override
  public boolean act(ByteArrayOutputStream out) {
    long now = time.nanos();
    if (greeted && now - heardAt > BEAT * 5 / 2 && !is(Defect.BEATS_AFTER_SILENCE)) {
      greeted = false;
      sending = sending && is(Defect.READINGS_AFTER_SILENCE);
    }
    if (measuring && store.last() < total && now >= measureAt) {
      measureAt = now + 100 * MS;
      store.measured(boot());
    }
    if (is(Defect.READINGS_BEFORE_SEND) && greeted && !sending && store.last() == 1) {
      sending = true;
      credit = 1;
    }
    readings(now);
    if (greeted && now - saidAt >= BEAT && !is(Defect.NO_BEATS)) {
      say(
          "!beat boot=%s%s held=%d"
              .formatted(
                  is(Defect.BOOT_ID_DIFFERS_IN_BEAT) ? "other" : boot(),
                  is(Defect.BEAT_WITHOUT_LAST)
                      ? ""
                      : (is(Defect.BEAT_WITH_LEADING_ZERO) ? " last=0" : " last=") + store.last(),
                  store.held()));
    }
    out.writeBytes(said.toString().getBytes(StandardCharsets.ISO_8859_1));
    said.setLength(0);
    return !ear.closes();
  }

  private void readings(long now) {
    if (!underWay.isEmpty() && now - quietSince > 3 * BEAT && !is(Defect.NEVER_REPEATS)) {
      underWay.clear();
      cursor = base;
    }
    Optional<ToyStore.Item> next = store.after(cursor, boot());
    while (sending && underWay.size() < credit && next.isPresent()) {
      ToyStore.Item item = next.get();
      say(store.sent(item, item.end() <= sentUpTo));
      cursor = item.end();
      underWay.add(cursor);
      sentUpTo = Math.max(sentUpTo, cursor);
      quietSince = now;
      next = store.after(cursor, boot());
    }
  }

  @Override
  public long nextDue() {
    return time.nanos() + Duration.ofMillis(20).toNanos();
  }

  private void say(String body) {
    String line = is(Defect.BRIDGE_MARK) && body.startsWith("!") ? ">" + body.substring(1) : body;
    byte[] bytes = line.getBytes(StandardCharsets.ISO_8859_1);
    int check = Crc16.of(bytes, 0, bytes.length) ^ (is(Defect.WRONG_CRC) ? 0xFFFF : 0);
    check = is(Defect.ALWAYS_DAMAGED) ? fromZero(bytes) : check;
    String digits = "%04X".formatted(check);
    digits = is(Defect.LOWER_CASE_CHECK) ? digits.toLowerCase(Locale.ROOT) : digits;
    said.append(line).append('*').append(digits);
    said.append(is(Defect.NO_FINAL_TERMINATOR) ? "\r" : "\n");
    saidAt = time.nanos();
  }

  private static int fromZero(byte[] bytes) {
    int register = 0;
    for (byte b : bytes) {
      register ^= (b & 0xFF) << 8;
      for (int bit = 0; bit < 8; bit++) {
        register = ((register & 0x8000) != 0 ? register << 1 ^ 0x1021 : register << 1) & 0xFFFF;
      }
    }
    return register;
  }

  private static String error(String req, int code) {
    return "<error req=%s code=%d".formatted(req, code);
  }

  /** Returns a whole number from 0 to the given one, or -1. */
  private long whole(Map<String, String> fields, String key, long to) {
    String value = fields.getOrDefault(key, "");
    if (is(Defect.LEADING_ZEROS) && value.matches("0[0-9]{1,17}")) {
      value = "" + Long.parseLong(value);
    }
    return value.matches(WHOLE) && Long.parseLong(value) <= to ? Long.parseLong(value) : -1;
  }
}
