package org.tallywire.meter62056;

import java.math.BigDecimal;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.regex.Pattern;
import java.util.stream.Collectors;
import org.tallywire.api.Decimals;
import org.tallywire.api.FaultCode;
import org.tallywire.api.FrameException;
import org.tallywire.api.Quantity;
import org.tallywire.api.Unit;
import org.tallywire.api.Value;

/**
 * Makes labels and values of the registers of one data message. A register counts by its first
 * value; what else stands at its address (the time of a maximum, say) is passed over.
 */
final class Readout {

  /** Where meters tell their serial number, the likeliest first (practice). */
  private static final List<Code> SERIALS =
      List.of(
          Code.of("C.1.0"), Code.of("C.1"), Code.of("96.1.0"), Code.of("0.0.0"), Code.of("0.0"));

  private static final Pattern DECIMAL = Pattern.compile("[+-]?[0-9]{1,64}(\\.[0-9]{1,64})?");
  private static final int LONGEST_TEXT = 64;
  private static final int SHOWN = 12;

  private final List<Register> registers;
  private final byte[] frame;
  private final Map<String, String> labels = new LinkedHashMap<>();
  private final List<Value> values = new ArrayList<>();
  private final List<Code> withoutUnit = new ArrayList<>();

  private Readout(List<Register> registers, byte[] frame) {
    this.registers = registers;
    this.frame = frame;
  }

  /** Reads a message from STX to its check character, which fits. */
  static Readout of(byte[] frame, List<Choice> choices) throws FrameException {
    Readout readout = new Readout(DataMessage.registers(frame), frame);
    if (choices.isEmpty()) {
      readout.takeKnown();
    } else {
      for (Choice choice : choices) {
        readout.take(choice);
      }
    }
    if (readout.values.isEmpty()) {
      throw readout.syntax(
          "none of its registers is known here; name those of interest in the setting \"registers\"");
    }
    return readout;
  }

  Map<String, String> labels() {
    return labels;
  }

  List<Value> values() {
    return values;
  }

  /** Returns the registers left out because neither meter nor configuration says their unit. */
  List<Code> withoutUnit() {
    return withoutUnit;
  }

  /** Returns the serial number that the meter tells, empty if it tells none. */
  String serial() {
    for (Code code : SERIALS) {
      for (Register register : registers) {
        if (code.means(register.code()) && register.value().length() <= LONGEST_TEXT) {
          return register.value().strip();
        }
      }
    }
    return "";
  }

  private void takeKnown() throws FrameException {
    List<String> taken = new ArrayList<>();
    for (Register register : registers) {
      Optional<String> word = ObisTable.quantity(register.code());
      if (word.isPresent() && !taken.contains(word.get())) {
        taken.add(word.get());
        value(register, new Quantity(word.get()), Optional.empty());
      }
    }
  }

  private void take(Choice choice) throws FrameException {
    Optional<Register> found =
        registers.stream().filter(register -> choice.code().means(register.code())).findFirst();
    if (found.isEmpty()) {
      throw syntax(
          "it has no register %s, which the setting \"registers\" names".formatted(choice.code()));
    }
    if (choice.label().isPresent()) {
      label(choice.label().get(), found.get());
    } else {
      Quantity quantity =
          choice
              .quantity()
              .orElseGet(() -> new Quantity(ObisTable.quantity(choice.code()).orElseThrow()));
      value(found.get(), quantity, choice.unit());
    }
  }

  private void label(String name, Register register) throws FrameException {
    String text = register.value().strip();
    if (text.length() > LONGEST_TEXT) {
      throw syntax(
          "register %s is longer than the %d characters of a label"
              .formatted(register.code(), LONGEST_TEXT));
    }
    if (!text.isEmpty()) {
      labels.put(name, text);
    }
  }

  private void value(Register register, Quantity quantity, Optional<Unit> stated)
      throws FrameException {
    Optional<Unit> unit = unit(register, quantity, stated);
    if (unit.isEmpty()) {
      withoutUnit.add(register.code());
      return;
    }
    String text = register.value().strip();
    if (!DECIMAL.matcher(text).matches()) {
      values.add(new Value.Missing(quantity, unit.get(), Value.Reason.INVALID));
      return;
    }
    BigDecimal number = new BigDecimal(text);
    if (Decimals.parse(number.toPlainString()).isEmpty()) {
      throw syntax("register %s has more than 32 characters".formatted(register.code()));
    }
    values.add(new Value.Measured(quantity, number, unit.get()));
  }

  private Optional<Unit> unit(Register register, Quantity quantity, Optional<Unit> stated)
      throws FrameException {
    if (register.unit().isEmpty()) {
      boolean ratio = quantity.name().startsWith("power-factor");
      return stated.isEmpty() && ratio ? Optional.of(Unit.ONE) : stated;
    }
    Optional<Unit> sent = ObisTable.unit(register.unit()).map(Unit::new);
    if (sent.isPresent() && stated.isPresent() && !sent.equals(stated)) {
      throw syntax(
          "register %s is in %s by the meter and in %s by the setting \"registers\""
              .formatted(register.code(), register.unit(), stated.get()));
    }
    if (sent.isEmpty() && stated.isEmpty()) {
      throw syntax(
          "register %s is in \"%s\", which is not known here; say its UCUM code in the setting \"registers\""
              .formatted(register.code(), register.unit()));
    }
    return sent.isPresent() ? sent : stated;
  }

  private FrameException syntax(String words) {
    String there =
        registers.stream()
            .limit(SHOWN)
            .map(register -> register.code().toString())
            .distinct()
            .collect(Collectors.joining(" "));
    return new FrameException(
        FaultCode.FRAME_SYNTAX,
        "a readout that cannot be used: %s; it has %s%s"
            .formatted(
                words,
                there.isEmpty() ? "no register" : there,
                registers.size() > SHOWN ? " and more" : ""),
        frame);
  }
}
