package org.tallywire.publish;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.file.Path;
import java.time.Duration;
import java.time.Instant;
import java.util.Optional;
import java.util.Set;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.tallywire.api.TimeSource;

/** The reminder of a certificate that ends, day by day, on a clock that does as it is told. */
class CredentialsTest {

  @TempDir private Path folder;
  private Instant start = Instant.EPOCH;
  private Duration passed = Duration.ZERO;

  private final TimeSource time =
      new TimeSource() {
        @Override
        public Instant now() {
          return start.plus(passed);
        }

        @Override
        public long nanos() {
          return passed.toNanos();
        }
      };

  @Test
  void fromThirtyDaysAheadOnceADayUntilItIsOver() throws Exception {
    Programs.require("openssl", "sh");
    Authority authority = Authority.make(folder.resolve("authority"));
    Path certificate = authority.renewed("archive", 31);
    // certificates hold from the second they were made in
    start = Instant.now();
    Tls tls =
        new Tls(
            Optional.of(authority.file("ca.pem")),
            Optional.of(certificate),
            Optional.of(authority.file("archive.key")),
            Optional.empty());
    Credentials credentials =
        new Credentials(
            new BrokerAddress(
                "mqtts://h:8883",
                "c",
                Optional.empty(),
                Optional.empty(),
                "r",
                "s",
                Optional.of(tls),
                Set.of()),
            time);
    assertTrue(credentials.load().isPresent());
    assertEquals("", credentials.notice());
    passed = Duration.ofHours(23);
    assertFalse(credentials.daily());
    passed = Duration.ofHours(25);
    assertTrue(credentials.daily());
    assertFalse(credentials.daily(), "once a day");
    String notice = credentials.notice();
    assertTrue(notice.contains("\"CN=archive\" expires on "), notice);
    assertTrue(notice.contains("in 29 days"), notice);
    passed = Duration.ofDays(29);
    assertTrue(credentials.daily());
    assertTrue(credentials.notice().contains("in 1 days"), credentials.notice());
    passed = Duration.ofDays(32);
    assertTrue(credentials.daily());
    BrokerException over = assertThrows(BrokerException.class, credentials::load);
    assertTrue(over.refused() && over.advised());
    assertTrue(over.getMessage().contains("expired on"), over.getMessage());
  }
}
