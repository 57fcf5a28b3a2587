package org.tallywire.line;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.time.Duration;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.tallywire.kit.ManualTime;
import org.tallywire.kit.RecordingHost;

class CreditTest {

  private final RecordingHost host = new RecordingHost(new ManualTime());

  @ParameterizedTest
  @CsvSource({
    "1200, 3",
    "2400, 3",
    "4800, 4",
    "9600, 4",
    "19200, 5",
    "38400, 7",
    "57600, 9",
    "115200, 15",
    "230400, 26",
    "460800, 49",
    "921600, 64"
  })
  @DisplayName("L-35a: the credit by the speed")
  void bySpeed(int baud, int credit) {
    host.setBaud(baud);
    assertEquals(credit, Credit.of(host));
  }

  @Test
  @DisplayName("L-35b: 64 over TCP")
  void network() {
    host.setNetwork();
    assertEquals(64, Credit.of(host));
  }

  @ParameterizedTest
  @CsvSource({"1200, 4683", "9600, 760", "115200, 246"})
  @DisplayName("L-29a: the time by the speed, for a hello, without readings on their way")
  void helloTime(int baud, long millis) throws Exception {
    Talk talk = new Talk();
    talk.host.setBaud(baud);
    talk.receive();
    talk.hear("!start boot=b2"); // after receiving: readings may be on their way
    talk.sent();
    Duration withReadings =
        talk.host.lineTime(29 + 240 + 240 * Credit.of(talk.host)).multipliedBy(2).plusMillis(200);
    assertEquals(withReadings.toNanos(), talk.session.nextTick() - talk.time.nanos());
    talk.hear("!start boot=b2");
    assertEquals(millis, (talk.session.nextTick() - talk.time.nanos()) / 1_000_000);
  }

  @Test
  @DisplayName("L-29c: 500 ms over TCP")
  void networkTime() throws Exception {
    Talk talk = new Talk();
    talk.host.setNetwork();
    talk.hear(Wire.HELLO);
    assertEquals(500_000_000, talk.session.nextTick() - talk.time.nanos());
  }

  @Test
  @DisplayName("L-29b: every line of the answer starts the time anew")
  void anew() throws Exception {
    Talk talk = new Talk();
    talk.hear(Wire.HELLO);
    talk.sent();
    long limit = talk.session.nextTick() - talk.time.nanos();
    talk.pass(Duration.ofNanos(limit - 1));
    talk.hear(Wire.CHANNEL_1);
    assertEquals(limit, talk.session.nextTick() - talk.time.nanos());
    talk.pass(Duration.ofNanos(limit - 1));
    assertEquals(0, talk.sent().size());
  }
}
