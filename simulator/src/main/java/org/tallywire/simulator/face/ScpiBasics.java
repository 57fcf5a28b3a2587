package org.tallywire.simulator.face;

import java.util.Optional;
import java.util.function.BooleanSupplier;
import java.util.function.IntConsumer;
import java.util.function.Supplier;
import java.util.stream.Collectors;
import java.util.stream.Stream;
import org.tallywire.simulator.face.ScpiStatus.Group;

/**
 * What every SCPI instrument must know: the common commands of IEEE 488.2, 10 that SCPI-1999 volume
 * 1, 4.1.1 mandates, and the subsystems SYSTem and STATus of its 4.2.1 (from memory).
 */
final class ScpiBasics {

  private static final String NO_ERROR = "0,\"No error\"";
  private static final int BYTE = 255;
  private static final int WORD = 65_535;

  private final ScpiStatus status;
  private final ScpiMeter meter;

  ScpiBasics(ScpiStatus status, ScpiMeter meter) {
    this.status = status;
    this.meter = meter;
  }

  /**
   * Adds the commands to the tree.
   *
   * @param identity what {@code *IDN?} answers
   * @param messageAvailable whether an answer has not gone out yet
   */
  void addTo(ScpiTree tree, String identity, BooleanSupplier messageAvailable) {
    addRegisters(tree, messageAvailable);
    addSynchronisation(tree);
    tree.add("*IDN?", p -> ScpiAnswer.text(identity));
    tree.add("*RST", p -> reset());
    tree.add("*TST?", p -> ScpiAnswer.number(0));
    addSystem(tree);
    addGroup(tree, "STATus:OPERation", status.operation());
    addGroup(tree, "STATus:QUEStionable", status.questionable());
    tree.add(
        "STATus:PRESet",
        p -> {
          status.preset();
          return ScpiAnswer.NOTHING;
        });
  }

  private void addRegisters(ScpiTree tree, BooleanSupplier messageAvailable) {
    tree.add("*CLS", p -> clear());
    tree.add("*ESE", 1, 1, set(BYTE, status::eventEnable));
    tree.add("*ESE?", p -> ScpiAnswer.number(status.eventEnable()));
    tree.add("*ESR?", p -> ScpiAnswer.number(status.takeEvents()));
    tree.add("*SRE", 1, 1, set(BYTE, status::serviceEnable));
    tree.add("*SRE?", p -> ScpiAnswer.number(status.serviceEnable()));
    tree.add("*STB?", p -> ScpiAnswer.number(status.statusByte(messageAvailable.getAsBoolean())));
  }

  private void addSynchronisation(ScpiTree tree) {
    tree.add(
        "*OPC",
        p -> {
          meter.completeWanted();
          return ScpiAnswer.NOTHING;
        });
    tree.add("*OPC?", p -> whenIdle(() -> ScpiAnswer.number(1)));
    tree.add("*WAI", p -> whenIdle(() -> ScpiAnswer.NOTHING));
  }

  private ScpiAnswer whenIdle(Supplier<ScpiAnswer> answer) {
    return new ScpiAnswer.Later(
        () -> meter.measuring() ? Optional.empty() : Optional.of(answer.get()));
  }

  private ScpiAnswer clear() {
    meter.completeNotWanted();
    status.clear();
    return ScpiAnswer.NOTHING;
  }

  /** Status, errors and readings stay (IEEE 488.2, 10.32). */
  private ScpiAnswer reset() {
    meter.completeNotWanted();
    meter.end();
    meter.function(ScpiFunction.ALL);
    return ScpiAnswer.NOTHING;
  }

  private void addSystem(ScpiTree tree) {
    tree.add(
        "SYSTem:ERRor[:NEXT]?",
        p -> ScpiAnswer.text(status.takeError().map(ScpiError::response).orElse(NO_ERROR)));
    tree.add("SYSTem:ERRor:ALL?", p -> ScpiAnswer.text(allErrors()));
    tree.add("SYSTem:ERRor:COUNt?", p -> ScpiAnswer.number(status.errorCount()));
    tree.add("SYSTem:HELP:HEADers?", p -> ScpiAnswer.text(ScpiNumber.block(tree.headers())));
    tree.add("SYSTem:VERSion?", p -> ScpiAnswer.text("1999.0"));
  }

  private String allErrors() {
    String errors =
        Stream.generate(status::takeError)
            .takeWhile(Optional::isPresent)
            .map(error -> error.orElseThrow().response())
            .collect(Collectors.joining(","));
    return errors.isEmpty() ? NO_ERROR : errors;
  }

  private static void addGroup(ScpiTree tree, String header, Group group) {
    tree.add(header + "[:EVENt]?", p -> ScpiAnswer.number(group.takeEvent()));
    tree.add(header + ":CONDition?", p -> ScpiAnswer.number(group.condition()));
    tree.add(header + ":ENABle", 1, 1, set(WORD, group::enable));
    tree.add(header + ":ENABle?", p -> ScpiAnswer.number(group.enable()));
  }

  /** Sets a mask from 0 to the most. */
  private static ScpiTree.Action set(int most, IntConsumer mask) {
    return parameters -> {
      mask.accept((int) ScpiParameter.whole(parameters.get(0), 0, most));
      return ScpiAnswer.NOTHING;
    };
  }
}
