package org.tallywire.line;

import org.tallywire.api.Command;
import org.tallywire.api.LinkException;
import org.tallywire.api.SessionHost;

/** The one way out: every line that is sent takes the place of a beat (rule L-28a). */
final class Outgoing {

  private final SessionHost host;
  private final HeartBeat beat;

  Outgoing(SessionHost host, HeartBeat beat) {
    this.host = host;
    this.beat = beat;
  }

  void send(LineMessage message, String words) throws LinkException {
    send(message.bytes(), words);
  }

  void send(byte[] line, String words) throws LinkException {
    host.send(new Command(line, Command.Effect.QUERY, words));
    beat.sent();
  }
}
