package org.tallywire.declared;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.regex.Pattern;
import org.tallywire.api.Driver;
import org.tallywire.api.DriverDescription;
import org.tallywire.api.Example;
import org.tallywire.api.Framer;
import org.tallywire.api.Session;
import org.tallywire.api.SessionHost;

/**
 * A driver that a file describes; made by {@link DeclaredFile}. Safe for use by many threads. What
 * a file means, by rules:
 *
 * <ul>
 *   <li>DRV-1. A file holds no code. Everything in it is bounded: the file (256 KiB, 12 levels), a
 *       line ({@code longest}, at most 2048 bytes), a block (at most 200 lines, 4096 bytes), a
 *       number (32 characters), a regular expression (a time that grows with the line alone).
 *   <li>DRV-2. All problems of a file are told at once, each with line and column.
 *   <li>DRV-3. A line ends with CR, LF or both in any mix, or with the bytes that {@code end}
 *       gives. Lines that are empty or hold blanks alone are dropped without a word.
 *   <li>DRV-4. With {@code start}, what stands between lines is noise: a fault. A start byte within
 *       a line begins it again.
 *   <li>DRV-5. A line that is too long, holds a byte that is no character, or has a wrong check
 *       value, is a fault and gives nothing. So does one that does not go on for {@code pause}.
 *   <li>DRV-6. With {@code echo}, what a question sends is dropped when it comes back, alone or at
 *       the beginning of a line.
 *   <li>DRV-7. After the opening, the first line of a meter that only talks, has neither check
 *       value nor start byte and was not quiet for 100 ms before that line, may be half of one, and
 *       is a fault.
 *   <li>DRV-8. The first rule that knows a line counts; a line that no rule knows is a fault.
 *   <li>DRV-9. A block begins with its first line, whose fields and what they remember are
 *       forgotten when it ends. One that begins again before it ended is a fault, and what it had
 *       so far is gone; any other fault within a block ends it without a reading. What is
 *       remembered outside blocks stays until the link is closed.
 *   <li>DRV-10. A question that is not answered in time is sent again, {@code tries} times in all;
 *       then the instrument is silent, and the link is opened anew. Of several addresses those that
 *       are silent are left out until they are due again; only when all are silent the link is.
 *   <li>DRV-11. A line that nobody asked for is a fault where there are questions, unless {@code
 *       listen} is there.
 *   <li>DRV-12. A reading with a count has a sequence number: the count, and a round more for each
 *       time it ran over. Its epoch is made here and kept while the bridge runs. A skipped number
 *       is a gap. A count that runs backwards, but for a round that ends within a tenth of one, is
 *       a new epoch, and so is the first number with other content: the instrument has started
 *       again. Another repeated number with other content is given again, so that it is declared a
 *       conflict.
 *   <li>DRV-13. A reading without a count has no number; the bridge makes its identity. What is
 *       lost then leaves no trace.
 *   <li>DRV-14. A line with a count or a time of its own that is the last reading's line byte for
 *       byte is a repeat and dropped; one with date and time also if it is among the last 200, as
 *       when a store is printed again. One with neither is a new reading, unless {@code
 *       repeats-within} is there and it came within that time.
 *   <li>DRV-15. Numbers are exact and keep the digits that were sent; multiplying by a power of ten
 *       moves the point.
 *   <li>DRV-16. Each address on a shared line is an instrument of its own; an answer that says
 *       another address than was asked is a fault.
 *   <li>DRV-17. What a meter sent of itself counts for the link over which it did; a reading comes
 *       under the file's constants and the station's {@code serial} until then.
 * </ul>
 */
public final class DeclaredDriver implements Driver {

  static final String ADDRESSES = "addresses";
  static final String SERIAL = "serial";

  private static final int MOST_ADDRESSES = 64;
  private static final Pattern ADDRESS = Pattern.compile("[!-+\\--<>-~]{1,16}");
  private static final int LONGEST_SERIAL = 64;

  private final Declaration declaration;
  private final Map<String, String> serials;
  private final List<byte[]> echoes = new ArrayList<>();

  /** Takes the serial numbers by their addresses; one without address for a line of its own. */
  DeclaredDriver(Declaration declaration, Map<String, String> serials) {
    this.declaration = declaration;
    this.serials = serials;
    if (declaration.echo()) {
      List<Question> all = new ArrayList<>(declaration.atStart());
      all.addAll(declaration.asks());
      for (Question question : all) {
        serials.keySet().forEach(a -> echoes.add(declaration.bytes(question, a)));
      }
    }
  }

  /** Returns a driver with the settings that are usual. */
  static DeclaredDriver usual(Declaration declaration) {
    Map<String, String> usual = new LinkedHashMap<>();
    declaration.description().settings().forEach(s -> usual.put(s.name(), s.usual()));
    return new DeclaredDriver(declaration, serials(declaration, usual));
  }

  @Override
  public DriverDescription description() {
    return declaration.description();
  }

  @Override
  public Framer newFramer() {
    return new DeclaredFramer(declaration.shape(), echoes, declaration.firstMayBeHalf());
  }

  @Override
  public Session open(SessionHost host) {
    return new DeclaredSession(declaration, serials, host);
  }

  @Override
  public DeclaredDriver configured(Map<String, String> settings) {
    Map<String, String> all = new LinkedHashMap<>();
    description().settings().forEach(s -> all.put(s.name(), s.usual()));
    for (String name : settings.keySet()) {
      if (!all.containsKey(name)) {
        throw new IllegalArgumentException(
            "the driver \"%s\" has no setting \"%s\"; it has %s"
                .formatted(description().name(), name, all.keySet()));
      }
    }
    all.putAll(settings);
    return new DeclaredDriver(declaration, serials(declaration, all));
  }

  @Override
  public List<Example> examples() {
    return declaration.examples();
  }

  /** Returns the serial numbers by their addresses, from such as {@code 01=4711, 02}. */
  private static Map<String, String> serials(
      Declaration declaration, Map<String, String> settings) {
    if (!declaration.isAddressed()) {
      return Map.of("", serial(settings.getOrDefault(SERIAL, "")));
    }
    Map<String, String> serials = new LinkedHashMap<>();
    for (String entry : settings.getOrDefault(ADDRESSES, "").split(",", -1)) {
      String[] parts = entry.strip().split("=", 2);
      String address = parts[0].strip();
      if (!ADDRESS.matcher(address).matches()) {
        throw new IllegalArgumentException(
            ("addresses: \"%s\" is no address of 1 to 16 printable characters; write for example"
                    + " \"01, 02\", or \"01=4711, 02=4712\" with serial numbers")
                .formatted(address));
      }
      String serial = parts.length == 2 ? parts[1].strip() : "address " + address;
      if (serials.put(address, serial(serial)) != null) {
        throw new IllegalArgumentException("addresses: %s stands twice".formatted(address));
      }
    }
    if (serials.size() > MOST_ADDRESSES) {
      throw new IllegalArgumentException(
          "addresses: %d of them; a line has at most %d".formatted(serials.size(), MOST_ADDRESSES));
    }
    return serials;
  }

  private static String serial(String serial) {
    if (serial.length() > LONGEST_SERIAL) {
      throw new IllegalArgumentException(
          "a serial number of %d characters; it has at most %d"
              .formatted(serial.length(), LONGEST_SERIAL));
    }
    return serial;
  }
}
