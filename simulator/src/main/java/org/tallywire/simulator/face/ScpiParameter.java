package org.tallywire.simulator.face;

import java.math.BigDecimal;
import java.math.BigInteger;
import java.math.RoundingMode;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.tallywire.simulator.face.ScpiError.Fault;

/** A parameter of a command: IEEE 488.2, 7.7 (from memory). */
sealed interface ScpiParameter {

  /** Decimal or non-decimal numeric program data. */
  record Numeric(BigDecimal value) implements ScpiParameter {}

  /** Character program data, in upper case. */
  record Word(String text) implements ScpiParameter {}

  /** String program data, without its quotes. */
  record Text(String text) implements ScpiParameter {}

  /** NRf: a point may lead, white space may stand around the E (7.7.2). */
  Pattern DECIMAL =
      Pattern.compile("([+-]?(?:[0-9]+\\.?[0-9]*|\\.[0-9]+))(?:\\s*[eE]\\s*([+-]?[0-9]+))?");

  /** #H, #Q and #B (7.7.4). */
  Pattern NON_DECIMAL = Pattern.compile("#(?:[hH]([0-9a-fA-F]+)|[qQ]([0-7]+)|[bB]([01]+))");

  Pattern WORD = Pattern.compile("[A-Za-z][A-Za-z0-9_]*");

  int LONGEST_WORD = 12;

  /** The largest exponent (7.7.2.4.1). */
  int LARGEST_EXPONENT = 32_000;

  /** Returns the parameters of a list with commas, which is not blank. */
  static List<ScpiParameter> read(String list) throws Fault {
    List<ScpiParameter> parameters = new ArrayList<>();
    for (String text : ScpiMessage.split(list, ',')) {
      parameters.add(readOne(text.strip()));
    }
    return List.copyOf(parameters);
  }

  /** Returns a parameter as a whole number, rounded (10.10.2), if it is in that range. */
  static long whole(ScpiParameter parameter, long least, long most) throws Fault {
    if (!(parameter instanceof Numeric number)) {
      throw new Fault(ScpiError.DATA_TYPE);
    }
    BigDecimal value = number.value();
    if (value.compareTo(BigDecimal.valueOf(least - 1)) <= 0
        || value.compareTo(BigDecimal.valueOf(most + 1)) >= 0) {
      throw new Fault(ScpiError.OUT_OF_RANGE);
    }
    long rounded = value.setScale(0, RoundingMode.HALF_UP).longValueExact();
    if (rounded < least || rounded > most) {
      throw new Fault(ScpiError.OUT_OF_RANGE);
    }
    return rounded;
  }

  /** Refuses all but one word, given in long form with its short form in upper case. */
  static void only(String mnemonic, ScpiParameter parameter) throws Fault {
    if (!(parameter instanceof Word word)) {
      throw new Fault(ScpiError.DATA_TYPE);
    }
    if (!ScpiTree.Node.of(mnemonic).is(word.text())) {
      throw new Fault(ScpiError.ILLEGAL_VALUE);
    }
  }

  private static ScpiParameter readOne(String text) throws Fault {
    if (text.isEmpty()) {
      throw new Fault(ScpiError.MISSING_PARAMETER);
    }
    char first = text.charAt(0);
    return switch (first) {
      case '"', '\'' -> string(text, first);
      case '(' -> throw new Fault(ScpiError.EXPRESSION_NOT_ALLOWED);
      case '#' -> nonDecimal(text);
      default -> Character.isAlphabetic(first) ? word(text) : decimal(text);
    };
  }

  /** The same quote twice stands for one (7.7.5). */
  private static ScpiParameter string(String text, char quote) throws Fault {
    String inside = text.substring(1, Math.max(1, text.length() - 1));
    String pair = "" + quote + quote;
    boolean closed = text.length() > 1 && text.charAt(text.length() - 1) == quote;
    if (!closed || inside.replace(pair, "").indexOf(quote) >= 0) {
      throw new Fault(ScpiError.INVALID_STRING);
    }
    return new Text(inside.replace(pair, "" + quote));
  }

  private static ScpiParameter word(String text) throws Fault {
    if (!WORD.matcher(text).matches()) {
      throw new Fault(ScpiError.SYNTAX);
    }
    if (text.length() > LONGEST_WORD) {
      throw new Fault(ScpiError.MNEMONIC_TOO_LONG);
    }
    return new Word(text.toUpperCase(Locale.ROOT));
  }

  private static ScpiParameter nonDecimal(String text) throws Fault {
    Matcher matcher = NON_DECIMAL.matcher(text);
    if (!matcher.matches()) {
      throw new Fault(ScpiError.BLOCK_NOT_ALLOWED);
    }
    int[] radix = {16, 8, 2};
    int group = 1;
    while (matcher.group(group) == null) {
      group++;
    }
    return new Numeric(new BigDecimal(new BigInteger(matcher.group(group), radix[group - 1])));
  }

  private static ScpiParameter decimal(String text) throws Fault {
    Matcher matcher = DECIMAL.matcher(text);
    if (!matcher.matches()) {
      throw new Fault(ScpiError.INVALID_NUMBER);
    }
    String exponent = matcher.group(2) == null ? "0" : matcher.group(2);
    BigInteger power = new BigInteger(exponent);
    if (power.abs().compareTo(BigInteger.valueOf(LARGEST_EXPONENT)) > 0) {
      throw new Fault(ScpiError.EXPONENT_TOO_LARGE);
    }
    return new Numeric(new BigDecimal(matcher.group(1)).scaleByPowerOfTen(power.intValue()));
  }
}
