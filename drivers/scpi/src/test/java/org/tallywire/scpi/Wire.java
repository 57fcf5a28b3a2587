package org.tallywire.scpi;

import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.stream.Collectors;
import org.tallywire.api.DriverDescription.Setting;
import org.tallywire.api.Frame;
import org.tallywire.api.FrameException;
import org.tallywire.api.Framer;
import org.tallywire.api.Session;
import org.tallywire.kit.ManualTime;
import org.tallywire.kit.RecordingHost;

/** A session in virtual time and the instrument's side of it. */
final class Wire {

  final ManualTime time = new ManualTime();
  final RecordingHost host = new RecordingHost(time);
  final List<FrameException> faults = new ArrayList<>();
  private final Framer framer = new ScpiFramer();
  private Session session;

  Wire(Map<String, String> settings) {
    session = new ScpiDriver().configured(settings).open(host);
  }

  /** Opens the link anew with other settings or the same. */
  void reopen(Map<String, String> settings) throws Exception {
    framer.reset();
    session = new ScpiDriver().configured(settings).open(host);
    session.start();
  }

  /** The usual settings, and others in pairs. */
  static Map<String, String> settings(String... pairs) {
    Map<String, String> settings =
        new HashMap<>(
            ScpiSettings.KNOWN.stream().collect(Collectors.toMap(Setting::name, Setting::usual)));
    settings.put("fields", "number, turns-ratio 1");
    for (int i = 0; i < pairs.length; i += 2) {
      settings.put(pairs[i], pairs[i + 1]);
    }
    return settings;
  }

  static byte[] bytes(String text) {
    return text.getBytes(StandardCharsets.ISO_8859_1);
  }

  Session session() {
    return session;
  }

  /** Starts and says who is there. */
  void begin(String identity) throws Exception {
    session.start();
    says("*IDN?", identity);
  }

  /** Checks what was asked last and lets the instrument answer. */
  void says(String asked, String answer) throws Exception {
    List<String> sent = host.takeSent();
    if (!sent.equals(List.of(asked + "\n"))) {
      throw new AssertionError("asked was " + sent + " instead of " + asked);
    }
    arrive(answer + "\n");
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

  /** Lets time pass up to when something is due. */
  void untilDue() throws Exception {
    time.pass(Duration.ofNanos(Math.max(0, session.nextTick() - time.nanos())));
    session.tick();
  }

  /** A round with nothing to tell but a reading. */
  void round(String query, String answer) throws Exception {
    untilDue();
    says("*ESR?", "0");
    says(query, answer);
  }
}
