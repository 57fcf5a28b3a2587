package org.tallywire.line;

import java.time.Duration;
import java.util.List;
import org.tallywire.api.Frame;
import org.tallywire.api.LinkException;
import org.tallywire.kit.ManualTime;
import org.tallywire.kit.RecordingHost;

/** A session and the instrument it talks to, which is the test. */
final class Talk {

  final ManualTime time = new ManualTime();
  final RecordingHost host = new RecordingHost(time);
  final LineSession session = new LineSession(host);

  Talk() {
    try {
      session.start();
    } catch (LinkException e) {
      throw new IllegalStateException(e);
    }
  }

  /** Lets a line arrive; the check value is added. */
  void hear(String body) throws Exception {
    session.frame(new Frame(Wire.frame(body).bytes(), time.now()));
  }

  /** Goes on to the answer to {@code >send}, which is not yet heard: that is request 3. */
  void greetAndList(String hello) throws Exception {
    hear(hello);
    hear(Wire.CHANNEL_1);
    host.takeSent();
    hear(Wire.CHANNEL_2);
  }

  /** Goes on until readings can come. */
  void receive() throws Exception {
    receive(Wire.HELLO);
  }

  void receive(String hello) throws Exception {
    greetAndList(hello);
    host.takeSent();
    hear("<ok req=3 first=1 last=0");
  }

  /** Lets time pass, then what is due be done. */
  void pass(Duration duration) throws LinkException {
    time.pass(duration);
    session.tick();
  }

  /** Returns what was sent, without check value and terminator. */
  List<String> sent() {
    return host.takeSent().stream().map(line -> line.substring(0, line.indexOf('*'))).toList();
  }

  String lastStatus() {
    List<String> all = host.statuses();
    return all.get(all.size() - 1);
  }
}
