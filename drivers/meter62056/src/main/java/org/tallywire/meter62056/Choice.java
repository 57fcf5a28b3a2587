package org.tallywire.meter62056;

import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.tallywire.api.Quantity;
import org.tallywire.api.Unit;

/**
 * A register that a station's configuration names.
 *
 * @param code which
 * @param label the label that its value becomes, if it is to be one
 * @param quantity what it tells, if the table does not say or is to be overruled
 * @param unit of its value, if the meter sends none or one that is not known
 */
record Choice(Code code, Optional<String> label, Optional<Quantity> quantity, Optional<Unit> unit) {

  private static final Pattern GRAMMAR =
      Pattern.compile(
          "(\\S{1,16})(?: label ([a-z][a-z0-9-]{0,31})| ([a-z][a-z0-9-]{0,63})(?: ([!-~]{1,32}))?)?");

  /**
   * Reads them as they are written in a configuration, with commas between.
   *
   * @throws IllegalArgumentException with a sentence that says which is wrong
   */
  static List<Choice> all(String written) {
    List<Choice> choices = new ArrayList<>();
    for (String one : written.split(",", -1)) {
      choices.add(of(one.strip().replaceAll("\\s+", " ")));
    }
    if (choices.stream().allMatch(choice -> choice.label().isPresent())) {
      throw new IllegalArgumentException("\"registers\" names labels alone, and no value");
    }
    return choices;
  }

  private static Choice of(String written) {
    Matcher parts = GRAMMAR.matcher(written);
    if (!parts.matches()) {
      throw new IllegalArgumentException(
          ("\"registers\": \"%s\" is not CODE, CODE QUANTITY, CODE QUANTITY UNIT or CODE label NAME,"
                  + " as 32.7.0 voltage-l1 V")
              .formatted(written));
    }
    Code code = Code.of(parts.group(1));
    Optional<String> label = Optional.ofNullable(parts.group(2));
    Optional<Quantity> quantity = Optional.ofNullable(parts.group(3)).map(Quantity::new);
    if (label.isEmpty() && quantity.isEmpty() && ObisTable.quantity(code).isEmpty()) {
      throw new IllegalArgumentException(
          "\"registers\": what %s tells is not known here; say it, as \"%s my-quantity kW.h\""
              .formatted(code, code));
    }
    return new Choice(code, label, quantity, Optional.ofNullable(parts.group(4)).map(Unit::new));
  }
}
