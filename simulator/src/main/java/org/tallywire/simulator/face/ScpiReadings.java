package org.tallywire.simulator.face;

import java.util.Arrays;
import java.util.List;
import java.util.Optional;
import java.util.function.Function;
import java.util.stream.Collectors;
import org.tallywire.simulator.face.ScpiError.Fault;
import org.tallywire.simulator.face.ScpiMeter.Reading;

/**
 * The measuring commands of {@link ScpiFace}. {@code CONFigure}, {@code FETCh}, {@code READ} and
 * {@code MEASure} are the measurement instructions of SCPI-1999 volume 2, chapter 3; {@code
 * INITiate}, {@code ABORt}, {@code SENSe:DATA?}, {@code FORMat}, {@code UNIT} and {@code TRACe} are
 * its subsystems (all from memory).
 */
final class ScpiReadings {

  private static final String TRACE = "READings";

  private final ScpiMeter meter;
  private boolean asked;

  ScpiReadings(ScpiMeter meter) {
    this.meter = meter;
  }

  /** Returns whether a measuring command has ever come. */
  boolean asked() {
    return asked;
  }

  /** Adds the commands to the tree. */
  void addTo(ScpiTree tree) {
    tree.add("ABORt", p -> abort());
    tree.add("INITiate[:IMMediate]", measuring(p -> initiate()));
    tree.add("FETCh?", measuring(p -> fetch(meter.function())));
    tree.add("READ?", measuring(p -> read(meter.function())));
    tree.add("CONFigure?", p -> ScpiAnswer.text(ScpiNumber.string(meter.function().brief())));
    for (ScpiFunction function : ScpiFunction.values()) {
      String header = "[:SCALar]:" + function.header();
      tree.add("CONFigure" + header, p -> configure(function));
      tree.add("FETCh" + header + "?", measuring(p -> fetch(function)));
      tree.add("READ" + header + "?", measuring(p -> read(function)));
      tree.add("MEASure" + header + "?", measuring(p -> measure(function)));
    }
    addSense(tree);
    addFormat(tree);
    addTrace(tree);
  }

  private void addSense(ScpiTree tree) {
    tree.add("[:SENSe]:DATA?", measuring(p -> newest(meter.function())));
    tree.add("[:SENSe]:DATA:READing?", 1, 1, measuring(p -> said(stored(p), Reading::elements)));
    tree.add(
        "[:SENSe]:DATA:LABel?",
        0,
        1,
        measuring(p -> said(p.isEmpty() ? latest(ScpiFunction.ALL) : stored(p), Reading::labels)));
    tree.add(
        "[:SENSe]:DATA:ELEMents?",
        p -> ScpiAnswer.text(elements("number", ScpiFunction::quantity)));
    tree.add("[:SENSe]:DATA:UNITs?", p -> ScpiAnswer.text(elements("1", ScpiFunction::unit)));
  }

  private static void addFormat(ScpiTree tree) {
    tree.add(
        "FORMat[:DATA]",
        1,
        2,
        p -> {
          ScpiParameter.only("ASCii", p.get(0));
          if (p.size() > 1) {
            ScpiParameter.whole(p.get(1), 0, 0);
          }
          return ScpiAnswer.NOTHING;
        });
    tree.add("FORMat[:DATA]?", p -> ScpiAnswer.text("ASC,0"));
    tree.add(
        "UNIT:ANGLe",
        1,
        1,
        p -> {
          ScpiParameter.only("DEG", p.get(0));
          return ScpiAnswer.NOTHING;
        });
    tree.add("UNIT:ANGLe?", p -> ScpiAnswer.text("DEG"));
  }

  private void addTrace(ScpiTree tree) {
    tree.add("TRACe:CATalog?", p -> ScpiAnswer.text(ScpiNumber.string("READINGS")));
    tree.add("TRACe[:DATA]?", 1, 1, measuring(p -> trace(p)));
    tree.add("TRACe:BLOCk?", 1, 1, measuring(p -> block(p)));
    tree.add(
        "TRACe:POINts?",
        1,
        1,
        p -> {
          ScpiParameter.only(TRACE, p.get(0));
          return ScpiAnswer.number(meter.readings().size());
        });
    tree.add(
        "TRACe:DELete[:NAME]",
        1,
        1,
        p -> {
          ScpiParameter.only(TRACE, p.get(0));
          meter.forget();
          return ScpiAnswer.NOTHING;
        });
  }

  /** Whoever sends it wants readings, even if it fails. */
  private ScpiTree.Action measuring(ScpiTree.Action action) {
    return parameters -> {
      asked = true;
      return action.run(parameters);
    };
  }

  private ScpiAnswer abort() {
    meter.end();
    return ScpiAnswer.NOTHING;
  }

  private ScpiAnswer initiate() throws Fault {
    if (meter.measuring()) {
      throw new Fault(ScpiError.INIT_IGNORED);
    }
    meter.initiate(meter.function());
    return ScpiAnswer.NOTHING;
  }

  private ScpiAnswer configure(ScpiFunction function) {
    meter.end();
    meter.function(function);
    return ScpiAnswer.NOTHING;
  }

  private ScpiAnswer read(ScpiFunction function) {
    meter.initiate(function);
    return fetch(function);
  }

  private ScpiAnswer measure(ScpiFunction function) {
    meter.function(function);
    return read(function);
  }

  /** Waits for the measurement under way (SCPI-1999, 3.2). */
  private ScpiAnswer fetch(ScpiFunction function) {
    return new ScpiAnswer.Later(
        () -> meter.measuring() ? Optional.empty() : Optional.of(newest(function)));
  }

  private ScpiAnswer newest(ScpiFunction function) throws Fault {
    if (meter.gaveUp()) {
      throw new Fault(ScpiError.STALE);
    }
    return said(
        latest(function),
        function.element() ? reading -> function.value(reading.measurement()) : Reading::elements);
  }

  private Reading latest(ScpiFunction function) throws Fault {
    return meter.newest(function).orElseThrow(() -> new Fault(ScpiError.STALE));
  }

  private Reading stored(List<ScpiParameter> parameters) throws Fault {
    long number = ScpiParameter.whole(parameters.get(0), 1, meter.last());
    return meter.reading(number).orElseThrow(() -> new Fault(ScpiError.OUT_OF_RANGE));
  }

  private static ScpiAnswer said(Reading reading, Function<Reading, String> text) {
    return new ScpiAnswer.Said(text.apply(reading), reading.number());
  }

  private static String elements(String first, Function<ScpiFunction, String> text) {
    return Arrays.stream(ScpiFunction.values())
        .filter(ScpiFunction::element)
        .map(text)
        .map(ScpiNumber::string)
        .collect(Collectors.joining(",", ScpiNumber.string(first) + ",", ""));
  }

  private ScpiAnswer trace(List<ScpiParameter> parameters) throws Fault {
    ScpiParameter.only(TRACE, parameters.get(0));
    long last = latest(ScpiFunction.ALL).number();
    return new ScpiAnswer.Said(
        meter.readings().stream().map(Reading::elements).collect(Collectors.joining(",")), last);
  }

  private ScpiAnswer block(List<ScpiParameter> parameters) throws Fault {
    ScpiParameter.only(TRACE, parameters.get(0));
    String lines =
        meter.readings().stream()
            .map(reading -> reading.labels() + "," + reading.values() + "\n")
            .collect(Collectors.joining());
    long last = meter.newest(ScpiFunction.ALL).map(Reading::number).orElse(0L);
    return new ScpiAnswer.Said(ScpiNumber.block(lines), last);
  }
}
