package org.tallywire.bridge;

import java.util.regex.Matcher;
import java.util.regex.Pattern;

/** Members of records, found by their name as a consumer without our code would. */
final class Records {

  private Records() {}

  /** Returns the first member of that name, as text. */
  static String member(String record, String name) {
    Matcher matcher = Pattern.compile("\"" + name + "\":\"([^\"]*)\"").matcher(record);
    return matcher.find() ? matcher.group(1) : "";
  }
}
