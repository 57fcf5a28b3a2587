package org.tallywire.conform;

import java.time.DateTimeException;
import java.time.Instant;
import java.util.ArrayList;
import java.util.HashSet;
import java.util.List;
import java.util.Optional;
import java.util.Set;
import org.tallywire.api.LinkException;
import org.tallywire.line.LineMessage;

/** Requests and their answers, before any reading is asked for. */
final class RequestChecks {

  /** The check on which every look at a value rests. */
  static final String CHANNELS = "the channels are complete";

  private static final long BEYOND = 999_999_999_999L;
  private static final int MOST_CHANNELS = 99;

  private final Dialogue with;

  RequestChecks(Dialogue with) {
    this.with = with;
  }

  List<Check> all() {
    return List.of(
        Check.of(CHANNELS, "L-17a", this::channels),
        Check.of("the channels are the same when asked again", "L-17c", this::sameChannels),
        Check.of("a request of an unknown kind is answered with 201", "L-30b L-16a", this::unknown),
        Check.of("an unknown kind without req is not answered", "L-30c L-32a", this::unasked),
        Check.of("a req that cannot be read is not answered", "L-30c", this::unreadable),
        Check.of("an acknowledgement and a beat are not answered", "L-16b", this::notRequests),
        Check.of("the same request again is answered again", "L-16d", this::again),
        Check.of("the same req with other content is a new request", "L-16g", this::otherContent),
        Check.of("req may be 0, 007 and 999999999", "L-16a", this::extremes),
        Check.of("a send with another boot id is refused with 302", "L-19c L-30a", this::wrongBoot),
        Check.of("a send out of range is refused with 202", "L-19c L-30a", this::outOfRange),
        Check.of("a send with a field missing is refused with 202", "L-19c", this::missing),
        Check.of("what is wrong with a send is looked at in order", "L-19c", this::order),
        Check.of("a send with a leading zero is refused with 202", "L-38 L-19c", this::zeros),
        Check.of("the clock answers at once and does not go back", "L-34b", this::clock));
  }

  /** Asks for the channels; the answer as texts without request number and check value. */
  private List<String> ask(LineMessage asked) throws Broken, LinkException {
    with.say(asked);
    List<String> lines = new ArrayList<>();
    Set<String> numbers = new HashSet<>();
    Set<String> places = new HashSet<>();
    int of = MOST_CHANNELS;
    while (lines.size() < of) {
      Talk.Heard.Line line = channel(asked, lines.size(), of);
      LineMessage message = line.message();
      String count = message.fields().getOrDefault("of", "");
      int stated = HeardFields.isWhole(count, 1, MOST_CHANNELS) ? Integer.parseInt(count) : of;
      if (!lines.isEmpty() && stated != of) {
        throw new Broken("L-17a", "two different counts in one list: " + line.text());
      }
      of = stated;
      if (!numbers.add(message.fields().getOrDefault("ch", ""))
          || !places.add(message.fields().getOrDefault("n", ""))) {
        throw new Broken("L-17a", "a channel or a place stands twice in the list: " + line.text());
      }
      lines.add(line.text().replaceAll("\\*[0-9A-Fa-f]{4}$", "").replaceAll(" req=[0-9]+", ""));
    }
    lines.sort(null);
    return lines;
  }

  private Talk.Heard.Line channel(LineMessage asked, int heard, int of)
      throws Broken, LinkException {
    Optional<Talk.Heard.Line> line =
        with.await(l -> Dialogue.answers(l, asked), with.answerLimit(asked.bytes().length, asked));
    if (line.isEmpty()) {
      throw new Broken(
          "L-17a",
          heard == 0
              ? "no answer to " + Lines.text(asked)
              : "only %d of %d channels came to %s".formatted(heard, of, Lines.text(asked)));
    }
    if (!line.get().message().kind().equals("channel")) {
      throw new Broken("L-17a", "expected <channel, heard " + line.get().text());
    }
    return line.get();
  }

  private void channels() throws Broken, LinkException {
    with.hello();
    ask(with.request("channels"));
    LineMessage fence = with.request("x-fence");
    with.say(fence);
    Talk.Heard.Line next = with.answer(fence, fence.bytes().length, "L-30b");
    if (next.message().kind().equals("channel")) {
      throw new Broken("L-17a", "more channels came than the list says: " + next.text());
    }
  }

  private void sameChannels() throws Broken, LinkException {
    List<String> first = ask(with.request("channels"));
    same(first, ask(with.request("channels")));
    with.hello();
    same(first, ask(with.request("channels")));
  }

  private static void same(List<String> first, List<String> second) throws Broken {
    for (int i = 0; i < Math.max(first.size(), second.size()); i++) {
      String before = i < first.size() ? first.get(i) : "nothing";
      String now = i < second.size() ? second.get(i) : "nothing";
      if (!before.equals(now)) {
        throw new Broken(
            "L-17c", "asked again, the list differs: it was %s, now %s".formatted(before, now));
      }
    }
  }

  private void unknown() throws Broken, LinkException {
    with.refused(with.request("x-unknown", "a", "1"), 201, "L-30b");
  }

  private void unasked() throws Broken, LinkException {
    with.unanswered(Wire.line(">x-unknown a=1"), "", "L-30c", "L-32a", "an unknown kind");
  }

  private void unreadable() throws Broken, LinkException {
    for (String number : List.of("", "12a", "-1", "1234567890")) {
      byte[] line = Wire.line(">channels req=" + number);
      with.unanswered(line, "", "L-30c", "L-30c", "a line whose req cannot be read");
    }
    with.unanswered(Wire.line(">channels"), "", "L-30c", "L-30c", "a request without req");
    String one = number(with.request("channels"));
    byte[] two =
        Wire.line(">channels req=%s req=%s".formatted(one, number(with.request("channels"))));
    with.unanswered(two, one, "L-30c", "L-30c", "a request with two req");
  }

  private void notRequests() throws Broken, LinkException {
    String boot = with.session().boot();
    String other = with.session().otherBoot();
    for (String body :
        List.of(
            ">beat",
            ">ack boot=%s seq=0 credit=1".formatted(boot),
            ">ack boot=%s seq=%d credit=0".formatted(other, BEYOND),
            ">ack")) {
      with.unanswered(Wire.line(body), "", "L-16b", "L-16b", "a line that is no request");
    }
  }

  private void again() throws Broken, LinkException {
    LineMessage hello = with.helloLine();
    same(hello, "hello");
    LineMessage channels = with.request("channels");
    List<String> first = ask(channels);
    List<String> second;
    try {
      second = ask(channels);
    } catch (Broken e) {
      throw new Broken("L-16d", "the same request again: " + e.getMessage());
    }
    if (!first.equals(second)) {
      throw new Broken("L-16d", "the same request again was answered with another list");
    }
  }

  private void same(LineMessage asked, String kind) throws Broken, LinkException {
    String first = with.ask(asked, kind, "L-12b").text();
    String second = with.ask(asked, kind, "L-16d").text();
    if (!first.equals(second)) {
      throw new Broken(
          "L-16d",
          "the same request again was answered by %s, before by %s".formatted(second, first));
    }
  }

  private void otherContent() throws Broken, LinkException {
    LineMessage hello = with.helloLine();
    with.ask(hello, "hello", "L-12b");
    LineMessage other =
        new LineMessage('>', "channels", LineMessage.fieldsOf("req", number(hello)));
    with.ask(other, "channel", "L-16g");
    with.hello(); // behind the rest of the list
  }

  private void extremes() throws Broken, LinkException {
    for (String number : List.of("0", "007", "999999999")) {
      with.ask(
          new LineMessage('>', "hello", LineMessage.fieldsOf("req", number, "version", "1.1")),
          "hello",
          "L-16a");
    }
  }

  private void wrongBoot() throws Broken, LinkException {
    with.hello();
    String boot = with.session().boot();
    for (String other :
        List.of("none-of-yours", boot.length() > 1 ? boot.substring(1) : boot + "x")) {
      with.refused(send(other, "0", "1"), 302, "L-19c");
    }
  }

  private void outOfRange() throws Broken, LinkException {
    with.hello();
    String boot = with.session().boot();
    with.refused(send(boot, "" + BEYOND, "1"), 202, "L-19c");
    with.refused(send(boot, "0", "0"), 202, "L-19c");
    with.refused(send(boot, "0", "65"), 202, "L-19c");
    with.refused(send(boot, "x", "1"), 202, "L-19c");
    with.refused(send(boot, "0", "-1"), 202, "L-19c");
  }

  private void missing() throws Broken, LinkException {
    with.hello();
    String boot = with.session().boot();
    with.refused(with.request("send", "boot", boot, "after", "0"), 202, "L-19c");
    with.refused(with.request("send", "boot", boot, "credit", "1"), 202, "L-19c");
    with.refused(with.request("send", "after", "0", "credit", "1"), 202, "L-19c");
  }

  private void order() throws Broken, LinkException {
    with.hello();
    String other = with.session().otherBoot();
    with.refused(send(other, "0", "65"), 202, "L-19c");
    with.refused(send(other, "" + BEYOND, "1"), 302, "L-19c");
  }

  private void zeros() throws Broken, LinkException {
    with.hello();
    String boot = with.session().boot();
    with.refused(send(boot, "00", "1"), 202, "L-38");
    with.refused(send(boot, "0", "01"), 202, "L-38");
  }

  private static String number(LineMessage request) {
    return request.fields().getOrDefault("req", "");
  }

  private LineMessage send(String boot, String after, String credit) {
    return with.request("send", "boot", boot, "after", after, "credit", credit);
  }

  private void clock() throws Broken, NotSeen, LinkException {
    if (!with.hello().can("clock")) {
      throw new NotSeen("the hello does not say can=clock");
    }
    Optional<Instant> before = Optional.empty();
    for (int i = 0; i < 3; i++) {
      Talk.Heard.Line answer = with.ask(with.request("clock"), "clock", "L-34b");
      Optional<Instant> now = moment(answer.message());
      if (now.isPresent() && before.isPresent() && now.get().isBefore(before.get())) {
        throw new Broken("L-34b", "the clock went back: " + answer.text());
      }
      before = now;
    }
  }

  /** Returns what a clock says; that it says anything at all is looked at in every line. */
  private static Optional<Instant> moment(LineMessage clock) {
    String uptime = clock.fields().getOrDefault("uptime", "");
    try {
      return HeardFields.isWhole(uptime, 0, Long.MAX_VALUE)
          ? Optional.of(Instant.ofEpochMilli(Long.parseLong(uptime)))
          : clock.text("at").map(Instant::parse);
    } catch (DateTimeException e) {
      return Optional.empty();
    }
  }
}
