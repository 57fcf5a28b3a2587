package org.tallywire.simulator.face;

/**
 * The errors that the meter reports, with number and text as SCPI-1999 volume 2, chapter 21 lists
 * them (from memory).
 */
enum ScpiError {
  INVALID_CHARACTER(-101, "Invalid character"),
  SYNTAX(-102, "Syntax error"),
  DATA_TYPE(-104, "Data type error"),
  PARAMETER_NOT_ALLOWED(-108, "Parameter not allowed"),
  MISSING_PARAMETER(-109, "Missing parameter"),
  COMMAND_HEADER(-110, "Command header error"),
  HEADER_SEPARATOR(-111, "Header separator error"),
  MNEMONIC_TOO_LONG(-112, "Program mnemonic too long"),
  UNDEFINED_HEADER(-113, "Undefined header"),
  SUFFIX_OUT_OF_RANGE(-114, "Header suffix out of range"),
  INVALID_NUMBER(-121, "Invalid character in number"),
  EXPONENT_TOO_LARGE(-123, "Exponent too large"),
  INVALID_STRING(-151, "Invalid string data"),
  BLOCK_NOT_ALLOWED(-168, "Block data not allowed"),
  EXPRESSION_NOT_ALLOWED(-178, "Expression data not allowed"),
  INIT_IGNORED(-213, "Init ignored"),
  OUT_OF_RANGE(-222, "Data out of range"),
  ILLEGAL_VALUE(-224, "Illegal parameter value"),
  STALE(-230, "Data corrupt or stale"),
  QUEUE_OVERFLOW(-350, "Queue overflow"),
  INPUT_OVERRUN(-363, "Input buffer overrun"),
  TIME_OUT(-365, "Time out error"),
  INTERRUPTED(-410, "Query INTERRUPTED"),
  DEADLOCKED(-430, "Query DEADLOCKED");

  private static final int HUNDRED = 100;

  private final int number;
  private final String text;

  ScpiError(int number, String text) {
    this.number = number;
    this.text = text;
  }

  /** Returns what {@code SYSTem:ERRor?} answers. */
  String response() {
    return number + ",\"" + text + "\"";
  }

  /** Returns the bit of the standard event status register (IEEE 488.2, 11.5.1.1). */
  int event() {
    return switch (-number / HUNDRED) {
      case 1 -> ScpiStatus.COMMAND_ERROR;
      case 2 -> ScpiStatus.EXECUTION_ERROR;
      case 4 -> ScpiStatus.QUERY_ERROR;
      default -> ScpiStatus.DEVICE_ERROR;
    };
  }

  /** Returns whether the rest of a message cannot be trusted after it. */
  boolean endsMessage() {
    return event() == ScpiStatus.COMMAND_ERROR;
  }

  /** Thrown where a message unit cannot be carried out. */
  static final class Fault extends Exception {
    private final ScpiError error;

    Fault(ScpiError error) {
      super(error.response());
      this.error = error;
    }

    ScpiError error() {
      return error;
    }
  }
}
