package org.tallywire.meter62056;

import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import org.tallywire.api.Frame;
import org.tallywire.api.FrameException;
import org.tallywire.api.Framer;
import org.tallywire.api.Session;
import org.tallywire.kit.ManualTime;
import org.tallywire.kit.RecordingHost;

/** A session in virtual time at a line of 300 baud, and the meter's side of it. */
final class Line {

  final ManualTime time = new ManualTime();
  final RecordingHost host = new RecordingHost(time);
  final List<FrameException> faults = new ArrayList<>();
  final Session session;
  private final Framer framer = new MeterFramer();

  Line(Map<String, String> settings) throws Exception {
    host.setBaud(300);
    session = new MeterDriver().configured(settings).open(host);
    session.start();
  }

  static Map<String, String> settings(String... pairs) {
    Map<String, String> settings = new HashMap<>(MeterDriver.usual());
    for (int i = 0; i < pairs.length; i += 2) {
      settings.put(pairs[i], pairs[i + 1]);
    }
    return settings;
  }

  static byte[] bytes(String text) {
    return text.getBytes(StandardCharsets.ISO_8859_1);
  }

  /** A data message with its check character, reckoned here on its own. */
  static String message(String lines) {
    String body = lines + "!\r\n\u0003";
    int check = 0;
    for (int i = 0; i < body.length(); i++) {
      check ^= body.charAt(i);
    }
    return "\u0002" + body + (char) check;
  }

  void arrive(String text) throws Exception {
    byte[] bytes = bytes(text);
    List<Object> cut = new ArrayList<>();
    framer.feed(
        bytes,
        bytes.length,
        time.now(),
        new Framer.Sink() {
          @Override
          public void frame(Frame frame) {
            cut.add(frame);
          }

          @Override
          public void fault(FrameException fault) {
            cut.add(fault);
          }
        });
    for (Object one : cut) {
      if (one instanceof Frame frame) {
        try {
          session.frame(frame);
        } catch (FrameException e) {
          faults.add(e);
        }
      } else if (one instanceof FrameException fault) {
        faults.add(fault);
      }
    }
  }

  /** Lets time pass up to when something is due; returns how long that was. */
  Duration untilDue() throws Exception {
    Duration wait = Duration.ofNanos(Math.max(0, session.nextTick() - time.nanos()));
    time.pass(wait);
    session.tick();
    return wait;
  }
}
