package org.tallywire.declared;

import java.util.regex.Pattern;

/** What a field of a line may be called: the word by which the rules of a file speak of it. */
final class Fields {

  static final Pattern NAME = Pattern.compile("[A-Za-z][A-Za-z0-9]{0,31}");
  static final String NAME_IN_WORDS = "1 to 32 letters and digits, a letter first";

  /** The field that says who answers on a shared line. */
  static final String ADDRESS = "address";

  private Fields() {}
}
