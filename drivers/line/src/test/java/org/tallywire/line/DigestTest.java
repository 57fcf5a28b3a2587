package org.tallywire.line;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.charset.StandardCharsets;
import java.util.List;
import java.util.zip.CRC32C;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import org.tallywire.api.FaultCode;
import org.tallywire.api.FrameException;
import org.tallywire.api.Gap;

class DigestTest {

  private final Talk talk = new Talk();

  @Test
  @DisplayName("L-33a: the digest of the protocol's own example is right")
  void published() throws Exception {
    String line =
        "!reading boot=7c1e09aa seq=1 at=2026-11-25T09:00:01.250Z clock=free status=ok"
            + " test=turns-ratio windings=HV-LV phase=A tap=1 v1=46.2039 v2=4.31 v3=0.02 v4=40.02"
            + " digest=F50D95CD";
    assertTrue(Digest.damage(Wire.frame(line), false).isEmpty());
    assertTrue(Digest.damage(Wire.frame(line.replace("v4=40.02", "v4=40.03")), false).isPresent());
  }

  @Test
  @DisplayName("L-33a: a reading with a right digest is taken, and its repeat too")
  void right() throws Exception {
    talk.receive();
    talk.hear(withDigest(Wire.reading(1)));
    talk.hear(withDigest(Wire.reading(1)) + " resent=1");
    assertEquals(2, talk.host.readings().size());
    assertTrue(talk.host.readings().get(0).saysTheSame(talk.host.readings().get(1)));
  }

  @Test
  @DisplayName("L-33c: a wrong digest is damage: no reading, no gap, no ack, asked for by L-27")
  void wrong() throws Exception {
    talk.receive();
    talk.hear(withDigest(Wire.reading(1)));
    talk.session.durable();
    talk.sent();
    String second = withDigest(Wire.reading(2));
    String damaged = second.replace("46.2010", "46.2110");
    FrameException fault = assertThrows(FrameException.class, () -> talk.hear(damaged));
    assertEquals(FaultCode.FRAME_CHECK, fault.code());
    String message = String.valueOf(fault.getMessage());
    assertTrue(message.contains(second.substring(second.length() - 8)), message);
    assertTrue(message.contains(digest(Wire.reading(2).replace("46.2010", "46.2110"))), message);
    talk.session.durable();
    assertEquals(List.of(), talk.sent());

    talk.hear(withDigest(Wire.reading(3)));
    assertEquals(List.of(">send req=4 boot=b1 after=1 credit=15"), talk.sent());
    talk.hear("<ok req=4 first=2 last=3");
    assertThrows(FrameException.class, () -> talk.hear(damaged + " resent=1"));
    talk.hear(withDigest(Wire.reading(3)) + " resent=1");
    assertEquals(List.of(">send req=5 boot=b1 after=1 credit=15"), talk.sent(), "it was damaged");
    talk.hear("<ok req=5 first=2 last=3");
    talk.hear(second + " resent=1");
    assertEquals(2, talk.host.readings().size());
    assertEquals(List.of(), talk.host.gaps());
  }

  @Test
  @DisplayName("L-33c: a damaged line is not acted upon, also where it states another boot id")
  void wrongOfAnotherBoot() throws Exception {
    talk.receive();
    talk.sent();
    String line = Wire.reading(1).replace("boot=b1", "boot=b2") + " digest=00000000";
    assertThrows(FrameException.class, () -> talk.hear(line));
    assertEquals(List.of(), talk.sent());
  }

  @ParameterizedTest
  @ValueSource(
      strings = {
        "digest=F50D95CD v3=1",
        "resent=1 digest=@",
      })
  @DisplayName("L-33b: a digest in another place is a syntax fault, declared")
  void place(String fields) throws Exception {
    talk.receive();
    String line =
        Wire.reading(1) + " " + fields.replace("@", digest(Wire.reading(1) + " resent=1"));
    FrameException fault = assertThrows(FrameException.class, () -> talk.hear(line));
    assertEquals(FaultCode.FRAME_SYNTAX, fault.code());
    assertEquals(Gap.Reason.UNREADABLE, talk.host.gaps().get(0).reason());
  }

  @ParameterizedTest
  @ValueSource(
      strings = {" digest=f50d95cd", " digest=F50D95C", " digest=G50D95CD", " digest=", ""})
  @DisplayName("L-33c: a digest of another form is damage, and so is none though can=digest")
  void form(String digest) throws Exception {
    talk.receive(Wire.HELLO.replace("version=1.0", "version=1.1") + " can=digest");
    for (String body : List.of(Wire.reading(1), "!lost boot=b1 from=1 to=3")) {
      FrameException fault = assertThrows(FrameException.class, () -> talk.hear(body + digest));
      assertEquals(FaultCode.FRAME_CHECK, fault.code());
    }
    assertEquals(List.of(), talk.host.gaps());
    assertEquals(List.of(), talk.host.readings());
  }

  @Test
  @DisplayName("L-33b: what follows resent or stands between it and the digest is a syntax fault")
  void twoFieldsBehind() throws Exception {
    talk.receive();
    String line = withDigest(Wire.reading(1)) + " resent=1 tip=1";
    FrameException fault = assertThrows(FrameException.class, () -> talk.hear(line));
    assertEquals(FaultCode.FRAME_SYNTAX, fault.code());
  }

  private static String withDigest(String body) {
    return body + " digest=" + digest(body);
  }

  private static String digest(String body) {
    CRC32C crc = new CRC32C();
    crc.update(body.getBytes(StandardCharsets.US_ASCII));
    return "%08X".formatted(crc.getValue());
  }
}
