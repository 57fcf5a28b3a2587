package org.tallywire.conform;

import java.util.List;
import java.util.function.Consumer;
import org.jspecify.annotations.Nullable;

/** Hands on what was said and heard, under the names of the scenarios. Used by one thread. */
final class BridgeTranscript {

  private static final int LAST = 8;

  private final Consumer<String> lines;

  private @Nullable Talk talk;
  private int handedOn;

  BridgeTranscript(Consumer<String> lines) {
    this.lines = lines;
  }

  void heading(String name) {
    take();
    lines.accept("== " + name);
  }

  void follow(Talk another) {
    take();
    talk = another;
    handedOn = 0;
    lines.accept("(a link was opened)");
  }

  /** Hands on what is new. */
  void take() {
    if (talk != null) {
      List<String> all = talk.transcript();
      all.subList(handedOn, all.size()).forEach(lines);
      handedOn = all.size();
    }
  }

  /** Returns the last lines of the present link. */
  List<String> last() {
    if (talk == null) {
      return List.of();
    }
    List<String> all = talk.transcript();
    return all.subList(Math.max(0, all.size() - LAST), all.size());
  }
}
