package org.tallywire.conform;

import java.util.List;
import org.tallywire.api.LinkException;
import org.tallywire.line.LineMessage;

/** Lines that are damaged, too long or not of the grammar. */
final class LineChecks {

  private static final int LIMIT = 240;
  private static final int VERY_LONG = 100_000;
  private static final int SECONDS_FOR_LONG = 10;
  private static final int BITS = 10;

  private static final List<String> FAULTS =
      List.of("Note=1", "note", "=1", "note=a=b", " note=1", "averyverylongkey1=1", "1a=1");
  private static final List<String> ESCAPES =
      List.of("%", "%4", "%zz", "%c3%a9", "%C3", "%C3%28", "%C0%80", "%ED%A0%80", "%F4%90%80%80");

  private final Dialogue with;

  LineChecks(Dialogue with) {
    this.with = with;
  }

  List<Check> all() {
    return List.of(
        Check.of("a line with a wrong check value is not answered", "L-8a L-5c", this::check),
        Check.of("a line without a check value is not answered", "L-5c L-8a", this::noCheck),
        Check.of("a line with a forbidden byte is not answered", "L-4b L-8a", this::alphabet),
        Check.of("a line of 241 bytes is not answered", "L-6b", () -> tooLong(LIMIT + 1)),
        Check.of(
            "a line of %d bytes is not answered, the hello after it is".formatted(veryLong()),
            "L-6b",
            () -> tooLong(veryLong())),
        Check.of("a line as long as it says it takes is answered", "L-6a L-13a", this::longest),
        Check.of("the same with CR LF", "L-6b L-2b", this::longestWithCarriageReturn),
        Check.of("a line with two CR before its LF is not answered", "L-2b L-4b", this::twoReturns),
        Check.of("an empty value is taken", "L-10c", this::emptyValue),
        Check.of("a line with the mark of an instrument is not answered", "L-3b", this::echo),
        Check.of("a fault in the grammar is answered with 101", "L-10c L-30a", this::faults),
        Check.of("a key that stands twice is answered with 101", "L-10c", this::twice),
        Check.of("an undefined escape is answered with 101", "L-9b L-10c", this::escapes),
        Check.of("every defined escape is taken", "L-9a", this::definedEscapes),
        Check.of("the order of the fields has no meaning", "L-10b", this::order));
  }

  private void check() throws Broken, LinkException {
    for (int bit = 0; bit < 4; bit++) {
      LineMessage line = with.request("channels");
      String text = Lines.text(line);
      byte[] bytes = line.bytes();
      // one bit of the kind, of the number, of the check value; the last: complemented, as by a
      // check value with another final XOR
      if (bit < 3) {
        int at = new int[] {3, text.indexOf("req=") + 4, bytes.length - 2}[bit];
        bytes = Wire.flipped(bytes, at);
      } else {
        int check = Integer.parseInt(text.substring(text.length() - 4), 16) ^ 0xFFFF;
        bytes = Wire.bytes("%s%04X\n".formatted(text.substring(0, text.length() - 4), check));
      }
      unanswered(bytes, line, "L-8a", "a line with a wrong check value");
    }
  }

  private void noCheck() throws Broken, LinkException {
    LineMessage line = with.request("channels");
    String text = Lines.text(line);
    byte[] bytes = Wire.bytes(text.substring(0, text.length() - 5) + "\n");
    unanswered(bytes, line, "L-5c", "a line without a check value");
  }

  private void alphabet() throws Broken, LinkException {
    for (String wrong : List.of("\t", "\u0007", "\u007F", "\u00E9", "\u0000", "\r")) {
      LineMessage line = with.request("channels");
      byte[] bytes = Wire.line(body(line) + " note=a" + wrong + "b");
      unanswered(bytes, line, "L-4b", "a line with a byte outside 0x20 to 0x7E");
    }
  }

  private void tooLong(int length) throws Broken, LinkException {
    LineMessage line = with.request("channels");
    StringBuilder body = new StringBuilder(body(line));
    while (body.length() + 5 < length) {
      // as fields, so that only the length is wrong
      int left = length - 5 - body.length();
      String field = " f%d=%s".formatted(body.length() % 100_000, "x".repeat(90));
      body.append(left >= field.length() + 10 ? field : field(left));
    }
    unanswered(Wire.line(body.toString()), line, "L-6b", "a line of %d bytes".formatted(length));
  }

  private static String field(int length) {
    return length < 4 ? "x".repeat(length) : " z=" + "x".repeat(length - 3);
  }

  private int veryLong() {
    LineRate rate = with.rate();
    return rate.isTcp() ? VERY_LONG : Math.min(VERY_LONG, rate.baud() / BITS * SECONDS_FOR_LONG);
  }

  private void longest() throws Broken, LinkException {
    longest("\n", "L-13a");
  }

  private void longestWithCarriageReturn() throws Broken, LinkException {
    longest("\r\n", "L-6b");
  }

  private void longest(String terminator, String citation) throws Broken, LinkException {
    LineMessage line = with.helloLine();
    int left = with.session().longest() - body(line).length() - 5;
    greeted(line, Wire.bytes(Wire.checked(body(line) + field(left)) + terminator), citation);
  }

  private void twoReturns() throws Broken, LinkException {
    LineMessage line = with.request("channels");
    unanswered(Wire.bytes(Lines.text(line) + "\r\r\n"), line, "L-2b", "a line with CR CR LF");
  }

  private void emptyValue() throws Broken, LinkException {
    LineMessage line = with.helloLine();
    greeted(line, Wire.line(body(line) + " note="), "L-10c");
  }

  /** Says bytes that are a hello, which must be answered. */
  private void greeted(LineMessage hello, byte[] bytes, String citation)
      throws Broken, LinkException {
    with.witness().said(hello, with.now());
    with.sayBytes(bytes);
    with.expect(hello, bytes, "hello", citation);
  }

  private void echo() throws Broken, LinkException {
    byte[] bytes = Wire.line("!beat boot=%s last=0 held=0".formatted(with.session().boot()));
    with.unanswered(bytes, "", "L-3b", "L-3b", "a beat of an instrument");
  }

  private void faults() throws Broken, LinkException {
    for (String fault : FAULTS) {
      syntax(fault, "L-10c");
    }
  }

  private void twice() throws Broken, LinkException {
    syntax("note=1 note=2", "L-10c");
    with.hello();
  }

  private void escapes() throws Broken, LinkException {
    for (String value : ESCAPES) {
      syntax("note=" + value, "L-9b");
    }
  }

  private void syntax(String field, String citation) throws Broken, LinkException {
    LineMessage line = with.request("channels");
    byte[] bytes = Wire.line(body(line) + " " + field);
    with.witness().said(line, with.now());
    with.sayBytes(bytes);
    with.refusal(line, Lines.shown(bytes).replaceAll("\\\\x0A$", ""), 101, citation);
  }

  private void definedEscapes() throws Broken, LinkException {
    with.ask(
        with.request("hello", "version", "1.1", "note", "a b=*%\u00E9\u20AC\uD83D\uDE00\n"),
        "hello",
        "L-9a");
    LineMessage line = with.helloLine();
    // a byte that might stand as itself may be escaped as well
    greeted(line, Wire.line(body(line) + " note=%41%7F"), "L-9a");
  }

  private void order() throws Broken, LinkException {
    LineMessage line = with.helloLine();
    String number = line.fields().getOrDefault("req", "");
    greeted(line, Wire.line(">hello note=1 version=1.1 req=" + number), "L-10b");
  }

  private void unanswered(byte[] bytes, LineMessage line, String citation, String what)
      throws Broken, LinkException {
    String number = line.fields().getOrDefault("req", "");
    String taken = citation.equals("L-6b") ? "L-6b" : "L-7b";
    with.unanswered(bytes, number, citation, taken, what);
  }

  private static String body(LineMessage line) {
    String text = Lines.text(line);
    return text.substring(0, text.length() - 5);
  }
}
