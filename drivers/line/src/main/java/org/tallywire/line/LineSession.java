package org.tallywire.line;

import java.util.Optional;
import org.jspecify.annotations.Nullable;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Frame;
import org.tallywire.api.FrameException;
import org.tallywire.api.LinkException;
import org.tallywire.api.Session;
import org.tallywire.api.SessionHost;

/**
 * The bridge's side of the conversation (sections 4 to 7 of the protocol): hello, channels, send,
 * then readings, acknowledged when they are on disk.
 */
final class LineSession implements Session {

  private static final int LISTS = 4;
  private static final int OPENINGS = 5;
  private static final int VERSION_REFUSED = 301;

  private final SessionHost host;
  private final HeartBeat beat;
  private final Outgoing outgoing;
  private final Requests requests;
  private final Channels channels = new Channels();
  private final Intake intake;
  private final ClockRequest clock;

  /** The hello of this session; null while it is waited for. */
  private @Nullable Hello hello;

  private int wrongLists;

  /** How often the session has begun since readings were last asked for well. */
  private int openings;

  private boolean outOfState;

  LineSession(SessionHost host) {
    this.host = host;
    this.beat = new HeartBeat(host);
    this.outgoing = new Outgoing(host, beat);
    this.requests = new Requests(host, outgoing);
    this.intake = new Intake(host, requests, outgoing, channels);
    this.clock = new ClockRequest(host, requests);
  }

  @Override
  public void start() throws LinkException {
    greet();
  }

  @Override
  public void frame(Frame frame) throws FrameException, LinkException {
    if (frame.bytes()[0] == '>') {
      return; // our own line, echoed: no sign of life
    }
    boolean digests = hello != null && hello.can().contains("digest");
    Optional<FrameException> damage = Digest.damage(frame, digests);
    if (damage.isPresent()) {
      throw damage.get();
    }
    beat.heard();
    LineMessage line = LineMessage.parse(frame);
    if (line.mark() == '!') {
      unasked(frame, line);
      return;
    }
    try {
      answer(frame, line);
    } catch (FrameException e) {
      requests.answeredBadly(line, String.valueOf(e.getMessage()));
      throw e;
    }
  }

  @Override
  public void durable() throws LinkException {
    intake.durable();
  }

  @Override
  public void tick() throws LinkException {
    if (requests.tick()) {
      ready();
    }
    clock.askIfDue(intake.underWay());
    if (beat.due()) {
      outgoing.send(new LineMessage('>', "beat", LineMessage.fieldsOf()), "heart-beat");
    }
  }

  @Override
  public long nextTick() {
    return Math.min(Math.min(requests.nextTick(), clock.nextTick()), beat.nextTick());
  }

  private void unasked(Frame frame, LineMessage line) throws FrameException, LinkException {
    if (line.kind().equals("start")) {
      Hello.boot(frame, line);
      greet();
      return;
    }
    if (hello == null || !ofThisBoot(frame, line)) {
      return;
    }
    switch (line.kind()) {
      case "reading" -> intake.reading(frame, line);
      case "lost" -> {
        Hello.boot(frame, line);
        intake.lost(frame, line);
      }
      case "beat" -> {
        Hello.boot(frame, line);
        line.whole(frame, "held", 0, Long.MAX_VALUE);
        intake.beat(line.whole(frame, "last", 0, Long.MAX_VALUE));
      }
      default -> {
        // L-32a: kinds of a later minor version are ignored
      }
    }
  }

  private void answer(Frame frame, LineMessage line) throws FrameException, LinkException {
    if (!ofThisBoot(frame, line)) {
      return;
    }
    switch (line.kind()) {
      case "hello" -> hello(frame, line);
      case "channel" -> channel(frame, line);
      case "ok" -> ok(frame, line);
      case "clock" -> clock(frame, line);
      case "error" -> error(frame, line);
      default -> {
        // L-32a: as above
      }
    }
  }

  /** Begins anew if a line is of another boot than the session (L-15b). */
  private boolean ofThisBoot(Frame frame, LineMessage line) throws FrameException, LinkException {
    if (hello == null
        || line.text("boot").isEmpty()
        || Hello.boot(frame, line).equals(hello.boot())) {
      return true;
    }
    greet();
    return false;
  }

  private void greet() throws LinkException {
    openings++;
    if (openings > OPENINGS) {
      throw new LinkException(
          FaultCode.LINK_REFUSED,
          "the session had to begin anew %d times before any reading: the instrument starts again"
                  .formatted(OPENINGS)
              + " or changes its boot id all the time");
    }
    hello = null;
    int underWay = intake.underWay();
    intake.stop();
    clock.stop();
    beat.stop();
    host.status("waiting for the instrument to say who it is");
    requests.ask("hello", LineMessage.fieldsOf("version", Hello.VERSION), underWay);
  }

  private void hello(Frame frame, LineMessage line) throws FrameException, LinkException {
    if (!requests.answers(frame, line, "hello")) {
      return;
    }
    Hello said = Hello.read(frame, line);
    requests.close();
    hello = said;
    beat.start(said.beat());
    host.identified(said.instrument());
    host.status("asking what it measures");
    wrongLists = 0;
    askForChannels();
  }

  private void askForChannels() throws LinkException {
    channels.clear();
    requests.ask("channels", LineMessage.fieldsOf(), 0);
  }

  private void channel(Frame frame, LineMessage line) throws FrameException, LinkException {
    if (!requests.answers(frame, line, "channels") || hello == null) {
      return;
    }
    int listed = channels.listed();
    Optional<String> wrong = channels.take(frame, line);
    if (wrong.isPresent()) {
      wrongList(frame, wrong.get());
    } else if (channels.isWhole()) {
      channels.settle(frame, hello.boot(), host.notes());
      requests.close();
      intake.begin(hello);
    } else if (channels.listed() > listed) {
      requests.answerGoesOn();
    }
  }

  /** Asks for the list again, not for ever (L-17b). */
  private void wrongList(Frame frame, String why) throws FrameException, LinkException {
    wrongLists++;
    if (wrongLists == LISTS) {
      throw new LinkException(
          FaultCode.LINK_REFUSED,
          "the instrument's list of channels was wrong %d times: %s".formatted(LISTS, why));
    }
    askForChannels();
    throw LineMessage.syntax(frame, why + "; the list is asked for again");
  }

  private void ok(Frame frame, LineMessage line) throws FrameException, LinkException {
    if (!requests.answers(frame, line, "send") || hello == null) {
      return;
    }
    intake.ok(frame, line, hello.minor() > 0);
    openings = 0;
    outOfState = false;
    requests.close();
    clock.begin(hello);
    ready();
    clock.askIfDue(intake.underWay());
  }

  private void clock(Frame frame, LineMessage line) throws FrameException {
    if (requests.answers(frame, line, "clock")) {
      clock.answer(frame, line);
      requests.close();
      ready();
    }
  }

  private void ready() {
    host.status("ready" + clock.words());
  }

  /** Does what section 7 says, by the hundreds of the code. */
  private void error(Frame frame, LineMessage line) throws FrameException, LinkException {
    if (!requests.concerns(frame, line)) {
      return; // L-30d
    }
    long code = line.whole(frame, "code", 0, Long.MAX_VALUE);
    String words =
        "the instrument answered \"%s\" with error %d%s"
            .formatted(requests.kind(), code, line.text("text").map(t -> ": " + t).orElse(""));
    FrameException fault =
        new FrameException(
            code == VERSION_REFUSED ? FaultCode.VERSION_REFUSED : FaultCode.INSTRUMENT_ERROR,
            words,
            frame.bytes());
    long hundreds = code / 100;
    if (code == VERSION_REFUSED || hundreds == 1) {
      throw fault;
    } else if (hundreds == 2) {
      refused(code, words);
      throw fault;
    } else if (hundreds == 3) {
      outOfState(words);
      throw fault;
    } else {
      host.status(words + "; it is asked again");
      throw fault;
    }
  }

  /** Ends the session, or goes on without the answer where it can. */
  private void refused(long code, String words) throws LinkException {
    if (requests.waitsFor("clock")) {
      requests.close();
      clock.refused();
      ready();
    } else if (code == 202 && intake.namesOne()) {
      throw intake.denial(words);
    } else {
      throw new LinkException(
          FaultCode.LINK_REFUSED, words + "; without an answer there is no reading");
    }
  }

  /** Begins anew, but not twice before readings were asked for well. */
  private void outOfState(String words) throws LinkException {
    if (outOfState) {
      throw new LinkException(
          FaultCode.LINK_REFUSED, words + ", though the session has just begun anew");
    }
    outOfState = true;
    greet();
  }
}
