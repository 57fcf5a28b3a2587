package org.tallywire.conform;

import java.util.List;
import java.util.Optional;
import java.util.Random;
import org.tallywire.api.LinkException;
import org.tallywire.line.LineMessage;

/** The hello: in every form, at any time, after anything. */
final class HelloChecks {

  private static final List<Integer> LENGTHS = List.of(1, 2, 7, 60, 239, 240, 241, 500, 2_000);
  private static final int UNKNOWN_FIELDS = 20;

  private final Dialogue with;
  private final long seed;

  HelloChecks(Dialogue with, long seed) {
    this.with = with;
    this.seed = seed;
  }

  List<Check> all() {
    return List.of(
        Check.of("a hello is answered", "L-12b L-16a", with::hello),
        Check.of("CR LF ends a line as LF does", "L-2b", this::carriageReturn),
        Check.of("nothing but the terminator ends a line", "L-1b", this::unended),
        Check.of("a check value in lower case is taken", "L-5b", this::lowerCase),
        Check.of("a hello in the middle of another line is taken", "L-7a", this::inMidLine),
        Check.of("marks before a line and inside its values", "L-7a", this::marks),
        Check.of("a line that is whole from two marks begins at the first", "L-7a", this::twoMarks),
        Check.of(
            "a hello after 1 to 2000 bytes of garbage is taken (seed %d)".formatted(seed),
            "L-7b L-12b L-6b",
            this::afterGarbage),
        Check.of("empty lines are ignored", "L-7c", this::emptyLines),
        Check.of("version 1.99 with unknown fields is answered", "L-32a L-12c", this::later),
        Check.of("version 1.0 is answered", "L-12c", () -> version("1.0")),
        Check.of("version 2.0 is refused with 301", "L-12c L-30a", () -> otherMajor("2.0")),
        Check.of("version 0.9 is refused with 301", "L-12c", () -> otherMajor("0.9")),
        Check.of(
            "a hello without version is refused with 202", "L-12d L-30a", this::withoutVersion));
  }

  private void carriageReturn() throws Broken, LinkException {
    LineMessage hello = with.helloLine();
    heardAs(hello, Wire.bytes(Lines.text(hello) + "\r\n"), "L-2b");
  }

  /** L-1b: neither CR nor a pause ends a line. */
  private void unended() throws Broken, LinkException {
    LineMessage hello = with.helloLine();
    with.witness().said(hello, with.now());
    with.sayBytes(Wire.bytes(Lines.text(hello) + "\r"));
    with.beats(false);
    Optional<Talk.Heard.Line> early =
        with.await(
            line -> Dialogue.answers(line, hello), with.rate().limit(hello.bytes().length, 0));
    if (early.isPresent()) {
      with.sayBytes(Wire.bytes("\n"));
      throw new Broken(
          "L-1b",
          "a hello was answered before its LF was sent, after CR or a pause: "
              + early.get().text());
    }
    with.sayBytes(Wire.bytes("\n"));
    with.expect(hello, hello.bytes().length, "hello", "L-1b");
  }

  private void lowerCase() throws Broken, LinkException {
    LineMessage hello = with.helloLine();
    while (!Lines.text(hello).matches(".*[A-F][0-9]?[0-9]?[0-9]?")) {
      hello = with.helloLine();
    }
    heardAs(hello, Lines.lowerCase(hello), "L-5b");
  }

  private void inMidLine() throws Broken, LinkException {
    LineMessage hello = with.helloLine();
    heardAs(hello, Wire.joined(Wire.bytes(">channels re"), hello.bytes()), "L-7a");
  }

  private void marks() throws Broken, LinkException {
    LineMessage hello = with.helloLine();
    heardAs(hello, Wire.joined(Wire.bytes("!<>x>"), hello.bytes()), "L-7a");
    LineMessage inside = with.request("hello", "version", "1.1", "note", "a>b!c<d>hello");
    with.ask(inside, "hello", "L-7a");
  }

  /** From both marks the check value is right: {@code >beat*1063} alone would not be answered. */
  private void twoMarks() throws Broken, LinkException {
    with.hello();
    with.ask(
        new LineMessage(
            '>', "hello", LineMessage.fieldsOf("req", "77", "version", "1.1", "note", "lkqb>beat")),
        "hello",
        "L-7a");
  }

  private void afterGarbage() throws Broken, LinkException {
    Random random = new Random(seed);
    for (int length : LENGTHS) {
      for (boolean ended : new boolean[] {false, true}) {
        byte[] garbage = new byte[length];
        random.nextBytes(garbage);
        for (int i = 0; i < length; i++) {
          garbage[i] = garbage[i] == '\n' ? (byte) '>' : garbage[i];
        }
        if (ended) {
          garbage[length - 1] = '\n';
        }
        with.unanswered(
            garbage,
            "",
            "L-8a",
            "L-7b",
            "%d bytes of garbage %s"
                .formatted(length, ended ? "with a terminator" : "without a terminator"));
      }
    }
  }

  private void emptyLines() throws Broken, LinkException {
    with.unanswered(Wire.bytes("\n\r\n\n"), "", "L-7c", "L-7c", "three empty lines");
  }

  private void later() throws Broken, LinkException {
    LineMessage plain = with.request("hello", "version", "1.99");
    StringBuilder body = new StringBuilder(Lines.text(plain));
    body.setLength(body.length() - 5);
    for (int i = 0; i < UNKNOWN_FIELDS && body.length() + 10 < with.session().longest(); i++) {
      body.append(" f%d=%d".formatted(i, i));
    }
    with.witness().said(plain, with.now());
    with.sayBytes(Wire.line(body.toString()));
    with.expect(plain, body.length(), "hello", "L-32a");
  }

  private void version(String version) throws Broken, LinkException {
    with.ask(with.request("hello", "version", version), "hello", "L-12c");
  }

  private void otherMajor(String version) throws Broken, LinkException {
    with.refused(with.request("hello", "version", version), 301, "L-12c");
    with.hello();
  }

  private void withoutVersion() throws Broken, LinkException {
    with.refused(with.request("hello"), 202, "L-30a");
    with.hello();
  }

  private void heardAs(LineMessage hello, byte[] bytes, String citation)
      throws Broken, LinkException {
    with.witness().said(hello, with.now());
    with.sayBytes(bytes);
    with.expect(hello, bytes, "hello", citation);
  }
}
