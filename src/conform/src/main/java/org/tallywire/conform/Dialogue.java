package org.tallywire.conform;

import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.Random;
import java.util.function.Consumer;
import org.jspecify.annotations.Nullable;
import org.tallywire.api.FaultCode;
import org.tallywire.api.LinkException;
import org.tallywire.api.TimeSource;
import org.tallywire.line.LineMessage;

/**
 * The kit as a strict bridge in conversation with an instrument: asks, waits for as long as the
 * rules give, sends its beats. Every line heard goes past the witness. Used by one thread.
 */
final class Dialogue extends Conversation implements AutoCloseable {

  private static final int MOST_FIRST_REQUEST = 900_000;

  private final Opener opener;
  private final TimeSource time;
  private final LineRate rate;
  private final Witness witness;
  private final Consumer<String> said;
  private final long began;
  private final List<String> earlier = new ArrayList<>();
  private @Nullable Talk talk;
  private @Nullable Hello session;
  private boolean beating;
  private long saidAt;
  private long request;
  private volatile boolean stopped;

  /**
   * Opens nothing yet.
   *
   * @param said takes each line said or heard, with the seconds since now
   */
  Dialogue(
      Opener opener,
      TimeSource time,
      LineRate rate,
      Witness witness,
      long seed,
      Consumer<String> said) {
    this.said = said;
    this.began = time.nanos();
    this.opener = opener;
    this.time = time;
    this.rate = rate;
    this.witness = witness;
    // another run before us must not have asked the same (L-16d)
    this.request = 1L + new Random(seed ^ time.now().toEpochMilli()).nextInt(MOST_FIRST_REQUEST);
  }

  /** The run is to end, though not all was looked at. */
  static final class Stopped extends RuntimeException {

    private static final long serialVersionUID = 1;

    Stopped() {
      super("stopped");
    }
  }

  /** What the instrument said of itself; what it said wrongly is replaced by what is usual. */
  record Hello(LineMessage line, String boot, Duration beat, long store, int longest) {

    static Hello of(LineMessage line) {
      return new Hello(
          line,
          line.text("boot").orElse(""),
          Duration.ofMillis(whole(line, "beat", 100, 600_000, 2_000)),
          whole(line, "store", 1, 1_000_000_000, 1_000_000_000),
          (int) whole(line, "line", 100, 240, 240));
    }

    /** Returns a boot id of the right form that is not this one. */
    String otherBoot() {
      return (boot.startsWith("x") ? "y" : "x") + (boot.isEmpty() ? "" : boot.substring(1));
    }

    boolean can(String word) {
      return List.of(line.text("can").orElse("").split(",", -1)).contains(word);
    }

    private static long whole(LineMessage line, String key, long from, long to, long otherwise) {
      String value = line.fields().getOrDefault(key, "");
      return HeardFields.isWhole(value, from, to) ? Long.parseLong(value) : otherwise;
    }
  }

  TimeSource time() {
    return time;
  }

  LineRate rate() {
    return rate;
  }

  Witness witness() {
    return witness;
  }

  Hello session() {
    if (session == null) {
      throw new IllegalStateException("no hello yet");
    }
    return session;
  }

  boolean hasSession() {
    return session != null;
  }

  /** Opens the link, or closes it and opens it again. */
  void open() throws LinkException {
    close();
    beating = false;
    talk = new Talk(opener.open(), time, this::noted);
    noted("(a link was opened)");
    witness.opened();
  }

  @Override
  public void close() {
    if (talk != null) {
      earlier.addAll(talk.transcript());
      talk.close();
      talk = null;
    }
  }

  private void noted(String line) {
    said.accept(Lines.timed(time.nanos() - began, Lines.visible(line)));
  }

  /** Lets the run end with {@link Stopped} soon; for any thread. */
  void stop() {
    stopped = true;
  }

  /** Returns all lines said and heard so far. */
  List<String> transcript() {
    List<String> all = new ArrayList<>(earlier);
    if (talk != null) {
      all.addAll(talk.transcript());
    }
    return all.stream().map(Lines::visible).toList();
  }

  /** Returns a request with a number not used before. */
  LineMessage request(String kind, String... fields) {
    List<String> all = new ArrayList<>(List.of("req", Long.toString(++request)));
    all.addAll(List.of(fields));
    return new LineMessage('>', kind, LineMessage.fieldsOf(all.toArray(new String[0])));
  }

  LineMessage helloLine() {
    return request("hello", "version", "1.1");
  }

  void say(LineMessage line) throws LinkException {
    witness.said(line, time.nanos());
    sayBytes(line.bytes());
  }

  /** Says bytes, in pieces that a slow line takes within a second. */
  void sayBytes(byte[] bytes) throws LinkException {
    talk().sayBytes(bytes, rate.isTcp() ? bytes.length : Math.max(64, rate.baud() / 20));
    saidAt = time.nanos();
  }

  /** Stops or starts our beats. */
  void beats(boolean on) {
    beating = on;
  }

  @Override
  void sayBeat() throws LinkException {
    say(new LineMessage('>', "beat", LineMessage.fieldsOf()));
  }

  @Override
  void heard(Talk.Heard heard) {
    witness.heard(heard);
  }

  /** Waits for a line of the answer to a request; which rule is broken if none comes. */
  Talk.Heard.Line answer(LineMessage asked, int bytesSaid, String citation)
      throws Broken, LinkException {
    Duration limit = answerLimit(bytesSaid, asked);
    return await(line -> answers(line, asked), limit)
        .orElseThrow(
            () ->
                new Broken(
                    citation,
                    "no answer within %d ms to %s".formatted(limit.toMillis(), Lines.text(asked))));
  }

  Duration answerLimit(int bytesSaid, LineMessage asked) {
    int credit = asked.kind().equals("send") ? 1 : 0;
    return rate.late(rate.limit(bytesSaid, credit + (session == null ? 0 : underWay())));
  }

  private int underWay() {
    return witness.delivered().underWay();
  }

  static boolean answers(LineMessage line, LineMessage asked) {
    return line.mark() == '<' && line.text("req").equals(asked.text("req"));
  }

  /** Says a request and waits for a line of its answer, which must be of the kind. */
  Talk.Heard.Line ask(LineMessage asked, String kind, String citation)
      throws Broken, LinkException {
    say(asked);
    return expect(asked, asked.bytes().length, kind, citation);
  }

  /** Waits for the answer to a request that was said. */
  Talk.Heard.Line expect(LineMessage asked, int bytesSaid, String kind, String citation)
      throws Broken, LinkException {
    return expect(asked, Lines.text(asked), bytesSaid, kind, citation);
  }

  /** Waits for the answer to a request that was said in the bytes given. */
  Talk.Heard.Line expect(LineMessage asked, byte[] bytes, String kind, String citation)
      throws Broken, LinkException {
    return expect(asked, shown(bytes), bytes.length, kind, citation);
  }

  private Talk.Heard.Line expect(
      LineMessage asked, String text, int bytesSaid, String kind, String citation)
      throws Broken, LinkException {
    Talk.Heard.Line answer = answer(asked, bytesSaid, citation);
    if (!answer.message().kind().equals(kind)) {
      throw new Broken(
          citation, "expected <%s to %s, heard %s".formatted(kind, text, answer.text()));
    }
    if (kind.equals("hello")) {
      take(answer);
    }
    return answer;
  }

  /** Says a request that must be answered by an error with this code. */
  void refused(LineMessage asked, int code, String citation) throws Broken, LinkException {
    say(asked);
    refusal(asked, Lines.text(asked), code, citation);
  }

  /** Waits for the error that answers what was said. */
  void refusal(LineMessage asked, String shown, int code, String citation)
      throws Broken, LinkException {
    Optional<Talk.Heard.Line> answer =
        await(line -> answers(line, asked), answerLimit(asked.bytes().length, asked));
    String heard = answer.map(Talk.Heard.Line::text).orElse("nothing");
    if (answer.isEmpty()
        || !answer.get().message().kind().equals("error")
        || !answer.get().message().fields().getOrDefault("code", "").equals("" + code)) {
      throw new Broken(
          citation,
          String.format(
              Locale.ROOT, "expected <error code=%d to %s, heard %s", code, shown, heard));
    }
  }

  /** Begins a session: a hello that must be answered, with the boot id of before. */
  Hello hello() throws Broken, LinkException {
    LineMessage hello = helloLine();
    ask(hello, "hello", "L-12b");
    return session();
  }

  /**
   * Says bytes that must not be answered, and a hello that must be.
   *
   * @param request the number that an answer to the bytes would repeat, or empty
   * @param silence the rule that an answer breaks
   * @param taken the rule that is broken if the hello is not answered
   */
  void unanswered(byte[] bytes, String request, String silence, String taken, String what)
      throws Broken, LinkException {
    LineMessage hello = helloLine();
    witness.mayBeAnswered(request);
    sayBytes(bytes);
    say(hello);
    Duration limit = answerLimit(bytes.length + hello.bytes().length, hello);
    Optional<Talk.Heard.Line> heard = await(line -> line.mark() == '<', limit);
    if (heard.isPresent() && !answers(heard.get().message(), hello)) {
      await(line -> answers(line, hello), limit); // so that it is not heard by the next check
      throw new Broken(
          silence, "%s was answered by %s: %s".formatted(what, heard.get().text(), shown(bytes)));
    }
    if (heard.isEmpty() || !heard.get().message().kind().equals("hello")) {
      throw new Broken(
          taken,
          "after %s, a right hello was not answered by <hello within %d ms: %s"
              .formatted(what, limit.toMillis(), shown(bytes)));
    }
    take(heard.get());
    if (!request.isEmpty()) {
      witness.mustNotBeAnswered(
          request, new Broken(silence, "%s was answered: %s".formatted(what, shown(bytes))));
    }
  }

  private static String shown(byte[] bytes) {
    return Lines.shown(bytes).replaceAll("(\\\\x0A)+$", "");
  }

  /** Takes an answer to a hello: a session begins. */
  void take(Talk.Heard.Line answer) throws Broken {
    if (!answer.message().kind().equals("hello")) {
      throw new Broken("L-12b", "expected <hello to a hello, heard " + answer.text());
    }
    Hello hello = Hello.of(answer.message());
    Hello before = session;
    session = hello;
    beating = true;
    witness.greeted(hello.boot(), hello.store());
    if (before != null && !before.boot().equals(hello.boot())) {
      throw new Broken(
          "L-14a",
          ("the boot id was %s and is now %s, though nobody switched the instrument off: it"
                  + " restarted, or makes a new id for each hello")
              .formatted(before.boot(), hello.boot()));
    }
  }

  /** Forgets the boot id, before a restart. */
  void forget() {
    session = null;
    witness.opened();
  }

  @Override
  long untilBeat() {
    return beating && session != null
        ? saidAt + session.beat().toNanos() / 2 - time.nanos()
        : Long.MAX_VALUE;
  }

  @Override
  long now() {
    return time.nanos();
  }

  @Override
  Talk talk() throws LinkException {
    if (stopped) {
      throw new Stopped();
    }
    if (talk == null) {
      throw new LinkException(FaultCode.LINK_LOST, "the link is closed");
    }
    return talk;
  }
}
