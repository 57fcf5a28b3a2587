package org.tallywire.declared;

import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Instrument;

/**
 * One instrument at the line, as far as it is known over this link: what it said of itself, what
 * its lines remember, the block that is under way, when it is to be asked. Used by one thread.
 */
final class Target {

  private static final int LONGEST_RAW = 4096;

  private final String address;
  private final String serial;
  private final Map<String, String> said = new HashMap<>();
  private final Map<String, String> lasting = new HashMap<>();
  private final Map<String, String> ofBlock = new HashMap<>();
  private final List<String> block = new ArrayList<>();
  private Optional<Instrument> known = Optional.empty();
  private boolean saidWho;

  Target(String address, String serial) {
    this.address = address;
    this.serial = serial;
  }

  /** Returns its address on a shared line; empty if it is alone. */
  String address() {
    return address;
  }

  /** Takes note that it said who it is. */
  void saidWho() {
    saidWho = true;
  }

  /** Refuses a reading of one that was asked who it is and has not said it. */
  void mustHaveSaidWho() throws FieldException {
    if (!saidWho) {
      throw new FieldException(
          FaultCode.OUT_OF_ORDER,
          "would be a reading, and came before the instrument said who it is");
    }
  }

  /** Takes what it says of itself. */
  void says(String part, String text) {
    said.put(part, text);
  }

  /** Returns who it is, as far as that is known. */
  Instrument instrument(Declaration declaration) {
    return declaration.instrument(said, serial);
  }

  /** Returns what stands for the serial number of one of several that is not told any. */
  static String byAddress(String address) {
    return "address " + address;
  }

  /** Says so if its own serial number is another than it was given; its own one counts. */
  Optional<String> contradiction() {
    String own = said.getOrDefault("serial", "");
    boolean given = !serial.isEmpty() && !serial.equals(byAddress(address));
    return given && !own.isEmpty() && !own.equals(serial)
        ? Optional.of(
            ("the instrument%s says that its serial number is %s, and the settings or the driver's"
                    + " file say %s: what the instrument says counts; take the other out")
                .formatted(address.isEmpty() ? "" : " at address " + address, own, serial))
        : Optional.empty();
  }

  /** Returns as whom it was made known. */
  Optional<Instrument> known() {
    return known;
  }

  void makeKnown(Instrument instrument) {
    known = Optional.of(instrument);
  }

  boolean inBlock() {
    return !block.isEmpty();
  }

  void beginBlock() {
    forgetBlock();
  }

  void forgetBlock() {
    block.clear();
    ofBlock.clear();
  }

  /** Adds a line to the block; tells whether it has become too long for that. */
  boolean add(String raw, int longest) {
    block.add(raw);
    return block.size() <= longest && blockText().length() <= LONGEST_RAW;
  }

  /** Returns the lines of the block so far. */
  String blockText() {
    return String.join("\n", block);
  }

  /** Returns the fields of a line and all that is remembered. */
  Map<String, String> with(Map<String, String> fields) {
    Map<String, String> all = new HashMap<>(lasting);
    all.putAll(ofBlock);
    all.putAll(fields);
    return all;
  }

  /** Remembers a field: until the block ends if one is under way, else as long as the link. */
  void remember(String name, String text) {
    (inBlock() ? ofBlock : lasting).put(name, text);
  }
}
