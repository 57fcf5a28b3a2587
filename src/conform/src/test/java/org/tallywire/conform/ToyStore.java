package org.tallywire.conform;

import java.nio.charset.StandardCharsets;
import java.time.Instant;
import java.util.Optional;
import java.util.TreeMap;
import java.util.zip.CRC32C;

/** The readings of the toy instrument, as the bodies of their lines. */
final class ToyStore {

  private static final Instant EPOCH = Instant.parse("2026-01-15T08:00:00.5Z");

  private final Optional<Defect> defect;
  private final int capacity;
  private final TreeMap<Long, String> readings = new TreeMap<>();
  private long last;
  private long lostFrom;
  private long lostTo;

  /** What is sent next: a reading or a loss, with the number that acknowledges it. */
  record Item(long begin, long end, String body) {}

  ToyStore(Optional<Defect> defect, int capacity) {
    this.defect = defect;
    this.capacity = capacity;
  }

  private boolean is(Defect one) {
    return defect.equals(Optional.of(one));
  }

  long last() {
    return last;
  }

  int held() {
    return readings.size();
  }

  void measured(String boot) {
    last++;
    long number = is(Defect.SKIPS) && last >= 3 ? last + 1 : last;
    readings.put(last, body(boot, is(Defect.REPEATS_NUMBER) && last == 3 ? 2 : number));
    if (readings.size() > capacity) {
      lostTo = readings.pollFirstEntry().getKey();
      lostFrom = lostFrom == 0 ? lostTo : lostFrom;
    }
  }

  void forget(long upTo) {
    readings.headMap(upTo, true).clear();
    if (lostTo <= upTo) {
      lostFrom = 0;
      lostTo = 0;
    }
  }

  Optional<Item> after(long number, String boot) {
    if (lostTo > number && !is(Defect.LOST_UNDECLARED)) {
      String body = "!lost boot=%s from=%d to=%d".formatted(boot, lostFrom, lostTo);
      return Optional.of(new Item(lostFrom, lostTo, withDigest(body)));
    }
    Long next = readings.higherKey(number);
    return next == null ? Optional.empty() : Optional.of(new Item(next, next, readings.get(next)));
  }

  /** Returns the body as it is sent, resent=1 included if it was sent before. */
  String sent(Item item, boolean before) {
    if (!before || item.body().startsWith("!lost") || is(Defect.NO_RESENT)) {
      return item.body();
    }
    String body = item.body();
    if (is(Defect.REPEAT_CHANGED)) {
      body = withDigest(withoutDigest(body).replaceFirst("at=2026-01", "at=2026-02"));
    }
    return body + " resent=1";
  }

  private String body(String boot, long number) {
    String at = EPOCH.plusSeconds(number).toString();
    at = is(Defect.AT_WITHOUT_Z) ? at.replace("Z", "") : at;
    at = is(Defect.SECOND_60) ? at.replaceFirst(":[0-9]{2}\\.", ":60.") : at;
    String body =
        "!reading boot=%s seq=%d%s clock=%s status=%s test=turns-ratio windings=HV-LV phase=%s"
            .formatted(
                boot,
                number,
                is(Defect.NO_AT) ? "" : " at=" + at,
                is(Defect.CLOCK_WORD) ? "good" : "free",
                is(Defect.STATUS_WORD) ? "fine" : "ok",
                is(Defect.PHASE) ? "U" : "A");
    String value = last == 3 ? "over-range" : "46.2" + last;
    value = is(Defect.SENTINEL) ? "99999.9" : is(Defect.EXPONENT) ? "9.9e37" : value;
    value = is(Defect.COMMA) ? "1,5" : value;
    body += is(Defect.NO_VALUE) ? "" : " v1=%s v2=%d.5".formatted(value, last);
    body += is(Defect.UNLISTED_CHANNEL) ? " v4=1" : "";
    body += is(Defect.KEY_TWICE) ? " tap=1 tap=1" : "";
    body += is(Defect.RAW_SPACE) ? " tap=HV 1" : "";
    body += is(Defect.LOWER_CASE_ESCAPE) ? " tap=%c2%b5" : "";
    body += is(Defect.CONTROL_CHARACTER) ? " tap=\u0007" : "";
    body += is(Defect.LINE_TOO_LONG) ? " note=" + "x".repeat(120) : "";
    return withDigest(body) + (is(Defect.DIGEST_NOT_LAST) ? " note=1" : "");
  }

  private String withDigest(String body) {
    if (is(Defect.DIGEST_MISSING)) {
      return body;
    }
    CRC32C crc = new CRC32C();
    crc.update(body.getBytes(StandardCharsets.ISO_8859_1));
    long value = is(Defect.DIGEST_WRONG) ? crc.getValue() ^ 1 : crc.getValue();
    return "%s digest=%08X".formatted(body, value);
  }

  private static String withoutDigest(String body) {
    return body.replaceFirst(" digest=.*", "");
  }
}
