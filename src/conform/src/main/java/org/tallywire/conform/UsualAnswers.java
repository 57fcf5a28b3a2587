package org.tallywire.conform;

import java.util.List;
import java.util.Map;
import org.tallywire.api.LinkException;
import org.tallywire.line.LineMessage;

/** How a right instrument answers requests. */
final class UsualAnswers implements PlayedInstrument.Answer {

  private static final List<String> CHANNELS =
      List.of(
          "quantity=turns-ratio unit=1 resolution=0.0001 min=0.8 max=15000",
          "quantity=excitation-current unit=mA",
          "quantity=phase-displacement unit=deg",
          "quantity=test-voltage unit=V");

  private final PlayedInstrument p;

  UsualAnswers(PlayedInstrument p) {
    this.p = p;
  }

  /** Returns what is stated in the hello. */
  static Map<String, String> hello(String boot) {
    return LineMessage.fieldsOf(
        "version", "1.1",
        "maker", "Tallywire",
        "model", "conformance kit",
        "serial", "K-" + boot,
        "firmware", "0.1",
        "boot", boot,
        "line", "240",
        "store", "500",
        "beat", "500");
  }

  @Override
  public void give(LineMessage request) throws LinkException {
    switch (request.kind()) {
      case "hello" -> hello(request);
      case "channels" -> channels(request);
      case "send" -> send(request, after(request) + 1);
      default ->
          p.sayUsual("<clock req=%s clock=free at=%s".formatted(req(request), p.time().now()));
    }
  }

  void hello(LineMessage request) throws LinkException {
    Map<String, String> fields = LineMessage.fieldsOf("req", req(request));
    fields.putAll(p.hello());
    p.stated();
    byte[] line = new LineMessage('<', "hello", fields).bytes();
    if (p.hello().equals(hello(p.boot()))) {
      p.sayUsual(line);
    } else {
      p.sayBytes(line);
    }
  }

  void channels(LineMessage request) throws LinkException {
    for (int n = 1; n <= CHANNELS.size(); n++) {
      p.sayUsual(channel(req(request), n));
    }
  }

  /** Returns a line of the list of channels. */
  static String channel(String req, int n) {
    return "<channel req=%s n=%d of=%d ch=%d %s"
        .formatted(req, n, CHANNELS.size(), n, CHANNELS.get(n - 1));
  }

  /** Answers a send, and sends again what is stored from the first number on. */
  void send(LineMessage request, long first) throws LinkException {
    p.sayUsual("<ok req=%s first=%d last=%d".formatted(req(request), first, p.last()));
    p.repeatFrom(first);
  }

  static String req(LineMessage request) {
    return request.fields().getOrDefault("req", "0");
  }

  /** Returns the number after which a send asks. */
  static long after(LineMessage send) {
    String after = send.fields().getOrDefault("after", "");
    return after.matches("[0-9]{1,18}") ? Long.parseLong(after) : 0;
  }
}
