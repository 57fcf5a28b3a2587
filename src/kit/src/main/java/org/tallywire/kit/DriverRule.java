package org.tallywire.kit;

/**
 * The rules that every driver keeps. The guide in DEVELOPERS.md quotes them; {@link DriverCheck}
 * holds a driver against them.
 */
public enum DriverRule {
  DESCRIPTION(
      21,
      "The description has a name, a version and a sentence about it, and the driver takes the usual"
          + " values of its settings.",
      "A configuration names the driver, records carry its version, and a station that sets nothing"
          + " must start."),
  EXAMPLES(22, "At least one example gives a reading.", "What no example shows, nobody can check."),
  WHOLE(
      23,
      "Each example, played from the opening of the link, gives its readings and its fault, and"
          + " nothing else.",
      "The examples are what the driver promises, and what the next person learns from."),
  CUTS(
      24,
      "The same bytes give the same readings whole, byte by byte and in random cuts.",
      "A link cuts bytes where it likes."),
  JOINED(
      25,
      "Examples that follow one another on one link give the readings of each.",
      "A link stays open for weeks; nothing of one reading may stick to the next."),
  SEVERAL(
      26,
      "Two conversations at the same time do not disturb each other.",
      "One driver serves all stations of a bridge; what a conversation remembers belongs to its"
          + " session."),
  NOISE(
      27,
      "Noise before a message costs no reading and is a fault.",
      "Plugging in a cable makes noise, and a line that makes much of it must be noticed."),
  TRUNCATED(
      28,
      "A message that breaks off anywhere gives no reading that is not expected, and the session is"
          + " usable afterwards.",
      "Cables are pulled and meters switched off in the middle of a line."),
  FLIPPED(
      29,
      "A message with a flipped bit gives no reading that is not expected if the language has a check"
          + " value, and the session is usable afterwards in any language.",
      "Long cables beside a test voltage flip bits, and a wrong figure is worse than none."),
  TOO_LONG(
      30,
      "A message that does not end is a fault, no frame is longer than the framer's limit, and the"
          + " next message is read.",
      "A wrong speed or a broken instrument must not fill the memory."),
  WITHHELD(
      31,
      "An answer that does not come is asked for again, or the link is said to be silent"
          + " (LINK_SILENT), after at most 20 questions.",
      "An instrument that is switched off must be found so, and one that missed a question must be"
          + " asked again."),
  NEXT_TICK(
      32,
      "After a tick, the next one lies in the future.",
      "Else the bridge spins, and a hundred stations stand still."),
  COMMANDS(
      33,
      "Each command has bytes and says in words what it means.",
      "People see the words in the log, and confirm a measurement by them."),
  IDENTIFIED(
      34,
      "No reading comes before the instrument is identified.",
      "A reading without an instrument belongs to nobody."),
  NUMBERS(
      35,
      "Sequence numbers rise within an epoch, and where the description says that instruments number"
          + " their readings, readings have one.",
      "The identity of a reading is made of them: a number given twice is an alarm."),
  QUANTITIES(
      36,
      "Quantities are those of shared/quantities.json, in a unit that converts to the one there.",
      "Others are carried and shown, and judged by nobody."),
  TIME(
      37,
      "No call takes more than a second of processor time, and none waits.",
      "A driver shares the machine with all stations, and has ticks for waiting."),
  EXCEPTIONS(
      38,
      "Whatever arrives, a driver throws FrameException or LinkException and nothing else.",
      "What an instrument sends is never a fault of the program.");

  // DRV-1 to DRV-20 say what a declared file means
  private final int number;
  private final String sentence;
  private final String intent;

  DriverRule(int number, String sentence, String intent) {
    this.number = number;
    this.sentence = sentence;
    this.intent = intent;
  }

  /** Returns its name in the guide and in reports, for example {@code DRV-23}. */
  public String id() {
    return "DRV-" + number;
  }

  /** Returns what has to be so. */
  public String sentence() {
    return sentence;
  }

  /** Returns what it is good for. */
  public String intent() {
    return intent;
  }

  /** Returns the line of the guide. */
  public String guideLine() {
    return "- **%s** %s *%s*".formatted(id(), sentence, intent);
  }
}
