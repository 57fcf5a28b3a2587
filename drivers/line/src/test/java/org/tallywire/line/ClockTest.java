package org.tallywire.line;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;

import java.time.Duration;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;
import org.tallywire.api.ClockQuality;
import org.tallywire.api.FaultCode;
import org.tallywire.api.FrameException;
import org.tallywire.api.LinkException;
import org.tallywire.api.Reading;

class ClockTest {

  private static final String WITH_CLOCK = Wire.HELLO + " can=moon,clock";

  private final Talk talk = new Talk();

  @ParameterizedTest
  @ValueSource(strings = {"", " can=", " can=digest", " can=clocks,digest"})
  @DisplayName("L-34a: an instrument that does not say that it can is not asked")
  void cannot(String can) throws Exception {
    talk.receive(Wire.HELLO + can);
    assertEquals(List.of(), talk.sent());
    assertEquals("ready", talk.lastStatus());
  }

  @ParameterizedTest
  @CsvSource({
    "2026-01-15T08:00:03.300Z, '; its clock is 3.2 s ahead of this machine''s, ± 0.1 s'",
    "2026-01-15T07:59:00.100Z, '; its clock is 60.0 s behind this machine''s, ± 0.1 s'",
    "2026-01-15T08:00:01.200Z, ''",
    "2026-01-15T08:00:01.201Z, '; its clock is 1.1 s ahead of this machine''s, ± 0.1 s'",
    "2026-01-15T07:59:59.000Z, ''",
    "2026-01-15T08:00:00.1Z, ''"
  })
  @DisplayName("L-34c: the difference is from the middle, give or take half")
  void difference(String at, String words) throws Exception {
    talk.receive(WITH_CLOCK); // at 08:00:00, so that the middle is 08:00:00.1
    assertEquals(List.of(">clock req=4"), talk.sent());
    talk.time.pass(Duration.ofMillis(200));
    talk.hear("<clock req=4 clock=free at=" + at);
    assertEquals("ready" + words, talk.lastStatus());
  }

  @Test
  @DisplayName("L-34c: where the request was repeated, its first sending counts")
  void repeated() throws Exception {
    talk.receive(WITH_CLOCK);
    talk.sent();
    talk.pass(Duration.ofSeconds(1));
    assertEquals(List.of(">clock req=4"), talk.sent());
    talk.time.pass(Duration.ofSeconds(1));
    talk.hear("<clock req=4 clock=synchronised at=2026-01-15T08:00:11Z");
    assertEquals("ready; its clock is 10.0 s ahead of this machine's, ± 1.0 s", talk.lastStatus());
  }

  @ParameterizedTest
  @ValueSource(strings = {"clock=none", "clock=relative uptime=0"})
  @DisplayName("L-34b: no time of day, nothing to compare")
  void noTimeOfDay(String fields) throws Exception {
    talk.receive(WITH_CLOCK);
    talk.hear("<clock req=4 " + fields);
    assertEquals("ready", talk.lastStatus());
  }

  @Test
  @DisplayName("L-34: asked again after ten minutes, not before")
  void everyTenMinutes() throws Exception {
    talk.receive(WITH_CLOCK);
    talk.hear("<clock req=4 clock=none");
    int asked = 0;
    for (int second = 1; second <= 600; second++) {
      talk.sent();
      talk.hear("!beat boot=b1 last=0 held=0");
      talk.pass(Duration.ofSeconds(1));
      asked += talk.sent().contains(">clock req=5") ? 1 : 0;
      assertEquals(second == 600 ? 1 : 0, asked, "second " + second);
    }
  }

  @Test
  @DisplayName("L-16c: a skipped number is asked for at once, in place of the clock")
  void neverTwoOpen() throws Exception {
    talk.receive(WITH_CLOCK);
    talk.sent();
    talk.hear(Wire.reading(2));
    assertEquals(List.of(">send req=5 boot=b1 after=0 credit=15"), talk.sent());
    talk.hear("<clock req=4 clock=free at=2020-01-01T00:00:00Z");
    talk.time.pass(Duration.ofMinutes(9));
    talk.hear("<ok req=5 first=1 last=2");
    assertEquals(List.of(), talk.sent());
    assertEquals("ready", talk.lastStatus(), "an answer to a request that was replaced");
  }

  @Test
  @DisplayName("Section 7: 2xx about the clock: it goes on without, also after another hello")
  void refused() throws Exception {
    talk.receive(WITH_CLOCK);
    talk.sent();
    FrameException fault =
        assertThrows(FrameException.class, () -> talk.hear("<error req=4 code=201"));
    assertEquals(FaultCode.INSTRUMENT_ERROR, fault.code());
    assertEquals("ready", talk.lastStatus());
    talk.hear("!start boot=b1");
    talk.hear(WITH_CLOCK.replace("req=1", "req=5"));
    talk.hear(Wire.CHANNEL_1.replace("req=2", "req=6"));
    talk.hear(Wire.CHANNEL_2.replace("req=2", "req=6"));
    talk.sent();
    talk.time.pass(Duration.ofMinutes(20));
    talk.hear("<ok req=7 first=1 last=0");
    assertEquals(List.of(), talk.sent());
  }

  @ParameterizedTest
  @ValueSource(
      strings = {"<error req=4 code=401 text=no%20clock", "<clock req=4 clock=free at=yesterday"})
  @DisplayName("L-29d: a clock that only gives bad answers is done without")
  void onlyBadAnswers(String answer) throws Exception {
    talk.receive(WITH_CLOCK);
    for (int i = 0; i < 4; i++) {
      assertEquals(List.of(">clock req=4"), talk.sent());
      assertThrows(FrameException.class, () -> talk.hear(answer));
      talk.pass(Duration.ofSeconds(1));
    }
    assertEquals("ready", talk.lastStatus());
    assertEquals(List.of(), talk.sent());
  }

  @Test
  @DisplayName("L-29d: a clock that gives no answer is a silent link")
  void noAnswer() throws Exception {
    talk.receive(WITH_CLOCK);
    for (int i = 0; i < 3; i++) {
      talk.pass(Duration.ofSeconds(1));
    }
    talk.time.pass(Duration.ofSeconds(1));
    LinkException silent = assertThrows(LinkException.class, talk.session::tick);
    assertEquals(FaultCode.LINK_SILENT, silent.code());
  }

  @Test
  @DisplayName("L-20b: a relative clock gives no time of day; the reading keeps the uptime")
  void relative() throws Exception {
    talk.receive();
    talk.hear("!reading boot=b1 seq=1 clock=relative uptime=86400123 status=ok tap=1 v1=1.5");
    Reading reading = talk.host.readings().get(0);
    assertEquals(ClockQuality.RELATIVE, reading.clock());
    assertEquals(Optional.empty(), reading.takenAt());
    assertEquals(Map.of("tap", "1", "uptime", "86400123"), reading.labels());
  }

  @ParameterizedTest
  @ValueSource(
      strings = {
        "clock=relative",
        "clock=relative uptime=-1",
        "clock=relative uptime=1.5",
        "clock=relative uptime=1234567890123456789",
        "clock=free",
        "clock=free uptime=1",
        "clock=synchronised at=2026-01-15T08:00:00",
        "clock=free at=2026-01-15T08:00:00+00:00",
        "clock=free at=2016-12-31T23:59:60Z",
        "clock=free at=2026-01-15T24:00:00Z",
        "clock=free at=2026-02-30T08:00:00Z",
        "clock=free at=2026-01-15T08:00:00.1234567890Z",
        "clock=exact at=2026-01-15T08:00:00Z"
      })
  @DisplayName("L-20b and L-20c: a clock that breaks a rule makes the reading unreadable")
  void noClock(String fields) throws Exception {
    talk.receive();
    String line = "!reading boot=b1 seq=1 %s status=ok v1=1".formatted(fields);
    assertThrows(FrameException.class, () -> talk.hear(line));
    assertEquals(1, talk.host.gaps().size());
  }
}
