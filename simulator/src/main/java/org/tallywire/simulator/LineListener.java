package org.tallywire.simulator;

import java.io.ByteArrayOutputStream;
import java.nio.charset.StandardCharsets;
import java.util.Optional;
import java.util.OptionalLong;
import org.tallywire.simulator.face.Line;
import org.tallywire.simulator.face.LineCodec;
import org.tallywire.simulator.face.LineCodec.Decoded;

/**
 * The least that a bridge can say: hello, send, an acknowledgement for each reading in its turn, a
 * beat for each beat. Where a reading is missing it asks again from there (L-27a).
 */
final class LineListener implements Listener {

  private static final int CREDIT = 8;

  private final ByteArrayOutputStream heard = new ByteArrayOutputStream();
  private String boot = "";
  private long last;
  private int request;

  /** Whether an answer to a hello is awaited; it is said again at the next beat. */
  private boolean greeting;

  /** Whether an answer to a send is awaited; it is said again at the next beat. */
  private boolean asking;

  @Override
  public byte[] opened() {
    heard.reset();
    return hello();
  }

  @Override
  public byte[] silent() {
    return hello();
  }

  @Override
  public byte[] heard(byte[] bytes) {
    ByteArrayOutputStream answers = new ByteArrayOutputStream();
    for (byte b : bytes) {
      if (b == '\n') {
        answers.writeBytes(answer(LineCodec.decode(heard.toByteArray())));
        heard.reset();
      } else {
        heard.write(b);
      }
    }
    return answers.toByteArray();
  }

  private byte[] answer(Decoded decoded) {
    if (!(decoded instanceof Decoded.Whole whole)) {
      return bytes(new Line('>', "beat"));
    }
    Line line = whole.line();
    return switch (line.mark() + line.kind()) {
      case "!start" -> greeting ? new byte[0] : hello();
      case "<hello" -> opened(line);
      case "!reading" -> took(line.number("seq", 1, last + 1));
      case "!lost" ->
          line.number("from", 1, last + 1).isPresent()
              ? took(line.number("to", 1, Long.MAX_VALUE))
              : send();
      case "<ok" -> answered();
      case "!beat" -> greeting ? hello() : asking ? send() : bytes(new Line('>', "beat"));
      default -> new byte[0];
    };
  }

  private byte[] hello() {
    greeting = true;
    return bytes(new Line('>', "hello").with("req", ++request).with("version", "1.1"));
  }

  private byte[] opened(Line hello) {
    greeting = false;
    Optional<String> now = hello.text("boot");
    if (now.isPresent() && !now.get().equals(boot)) {
      boot = now.get();
      last = 0;
    }
    return send();
  }

  private byte[] answered() {
    asking = false;
    return new byte[0];
  }

  private byte[] send() {
    asking = true;
    return bytes(
        new Line('>', "send")
            .with("req", ++request)
            .with("boot", boot)
            .with("after", last)
            .with("credit", CREDIT));
  }

  /** A repeat is acknowledged again: the acknowledgement may have been lost. */
  private byte[] took(OptionalLong number) {
    if (number.isEmpty()) {
      return send();
    }
    last = Math.max(last, number.getAsLong());
    return bytes(new Line('>', "ack").with("boot", boot).with("seq", last).with("credit", CREDIT));
  }

  private static byte[] bytes(Line line) {
    return LineCodec.encode(line).getBytes(StandardCharsets.US_ASCII);
  }
}
