package org.tallywire.line;

import java.nio.charset.StandardCharsets;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Frame;
import org.tallywire.api.FrameException;
import org.tallywire.api.Framer;

/** Lines as an instrument sends them, and what the framer makes of bytes. */
final class Wire {

  static final Instant NOW = Instant.parse("2026-01-15T08:00:00Z");

  static final String HELLO =
      "<hello req=1 version=1.1 maker=Invented model=bench%20tester serial=007 firmware=0.1"
          + " boot=b1 line=240 store=500 beat=2000";

  static final String CHANNEL_1 = "<channel req=2 n=1 of=2 ch=1 quantity=turns-ratio unit=1";
  static final String CHANNEL_2 =
      "<channel req=2 n=2 of=2 ch=2 quantity=excitation-current unit=mA";

  private Wire() {}

  /** Adds the check value to the text before it. */
  static String line(String body) {
    byte[] bytes = body.getBytes(StandardCharsets.ISO_8859_1);
    return "%s*%04X".formatted(body, Crc16.of(bytes, 0, bytes.length));
  }

  static String reading(long number) {
    return "!reading boot=b1 seq=%d at=2026-01-15T08:00:00.250Z clock=free status=ok"
            .formatted(number)
        + " test=turns-ratio windings=HV-LV phase=A tap=1 v1=46.2010 v2=over-range";
  }

  static Frame frame(String body) {
    return new Frame(line(body).getBytes(StandardCharsets.ISO_8859_1), NOW);
  }

  static Cut cut(byte[] bytes) {
    Cut cut = new Cut(new ArrayList<>(), new ArrayList<>());
    new LineFramer()
        .feed(
            bytes,
            bytes.length,
            NOW,
            new Framer.Sink() {
              @Override
              public void frame(Frame frame) {
                cut.frames.add(frame.text());
              }

              @Override
              public void fault(FrameException fault) {
                cut.faults.add(fault.code());
              }
            });
    return cut;
  }

  record Cut(List<String> frames, List<FaultCode> faults) {}
}
