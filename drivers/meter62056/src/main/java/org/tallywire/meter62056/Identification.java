package org.tallywire.meter62056;

import java.util.Map;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Frame;
import org.tallywire.api.FrameException;

/**
 * The identification message: {@code /XXXZident}.
 *
 * @param maker three letters
 * @param speed the character that proposes a speed; in mode A the identification's first
 * @param model what else it says of itself, without the escapes of mode E
 */
record Identification(String maker, char speed, String model) {

  private static final Pattern GRAMMAR =
      Pattern.compile("/([A-Za-z]{3})([ \"-.0-~])((?:\\\\[ -~])*)([ \"-.0-~]{0,64})");

  /** Modes C and E: from 300 for 0 (public notes and memory agree). */
  private static final Map<Character, Integer> MODE_C =
      Map.of('0', 300, '1', 600, '2', 1_200, '3', 2_400, '4', 4_800, '5', 9_600, '6', 19_200);

  private static final int SLOW_REACTION_MS = 200;
  private static final int FAST_REACTION_MS = 20;

  /** How a readout goes on. */
  enum Mode {
    /** The data message follows at the same speed. */
    A,
    /** It follows at the speed proposed. */
    B,
    /** It follows when that was agreed to. */
    C
  }

  static Identification of(Frame frame) throws FrameException {
    Matcher whole = GRAMMAR.matcher(frame.text());
    if (!whole.matches()) {
      throw syntax("no identification: it is /, three letters, a speed and a name", frame.bytes());
    }
    Identification found =
        new Identification(whole.group(1), whole.group(2).charAt(0), whole.group(4));
    if (found.mode() == Mode.A) {
      return new Identification(found.maker, found.speed, found.speed + found.model);
    }
    if (found.speed >= 'G' && found.speed <= 'I') {
      throw syntax(
          "the meter proposes speed %c, which is reserved".formatted(found.speed), frame.bytes());
    }
    return found;
  }

  private static FrameException syntax(String words, byte[] bytes) {
    return new FrameException(FaultCode.FRAME_SYNTAX, words, bytes);
  }

  Mode mode() {
    if (speed >= '0' && speed <= '9') {
      return Mode.C;
    }
    return speed >= 'A' && speed <= 'I' ? Mode.B : Mode.A;
  }

  /**
   * Returns the speed proposed in bits per second.
   *
   * @param signOn the speed of the sign-on, where it proposes none that is known
   * @param letterA what A stands for in mode B; each further letter doubles it
   */
  int baud(int signOn, int letterA) {
    return switch (mode()) {
      case A -> signOn;
      case B -> letterA << (speed - 'A');
      case C -> MODE_C.getOrDefault(speed, signOn);
    };
  }

  /** Returns the shortest time between a message and the answer to it, in milliseconds. */
  int reactionMillis() {
    return Character.isLowerCase(maker.charAt(2)) ? FAST_REACTION_MS : SLOW_REACTION_MS;
  }

  /** Returns the speed character to agree with; 0 stays at the sign-on's speed. */
  char agreed(boolean changing) {
    return changing && MODE_C.containsKey(speed) ? speed : '0';
  }
}
