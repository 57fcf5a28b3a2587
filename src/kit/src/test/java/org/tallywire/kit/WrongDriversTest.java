package org.tallywire.kit;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.charset.StandardCharsets;
import java.time.Instant;
import java.util.Arrays;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Random;
import java.util.concurrent.CountDownLatch;
import java.util.function.Supplier;
import java.util.stream.Stream;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.DynamicTest;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.TestFactory;
import org.tallywire.api.Command;
import org.tallywire.api.Driver;
import org.tallywire.api.DriverDescription;
import org.tallywire.api.DriverDescription.Memory;
import org.tallywire.api.DriverDescription.Setting;
import org.tallywire.api.Example;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Frame;
import org.tallywire.api.FrameException;
import org.tallywire.api.Framer;
import org.tallywire.api.LinkException;
import org.tallywire.api.Quantity;
import org.tallywire.api.Reading;
import org.tallywire.api.SequenceNumber;
import org.tallywire.api.Session;
import org.tallywire.api.SessionHost;
import org.tallywire.api.TextLines;
import org.tallywire.api.Unit;

/** Drivers that are wrong on purpose, each caught by its rule. */
class WrongDriversTest {

  @Test
  @DisplayName("the driver that the others are spoilt from keeps every rule")
  void theRightOne() {
    long seed = new Random().nextLong();
    DriverReport report = DriverCheck.of(new Meter(), seed);
    assertTrue(report.isSound(), "seed %d: %s".formatted(seed, report.lines()));
    for (DriverRule rule : DriverRule.values()) {
      assertEquals(DriverReport.Outcome.PASSED, report.outcome(rule), rule.id());
    }
    assertTrue(
        report.notes().stream().anyMatch(n -> n.startsWith("this language has no check value")),
        report.notes().toString());
  }

  /** A wrong driver, the rule that it breaks and words of the report. */
  private record Wrong(String name, DriverRule rule, String words, Driver driver) {}

  @TestFactory
  Stream<DynamicTest> eachIsCaught() {
    long seed = new Random().nextLong();
    return wrong()
        .map(
            wrong ->
                DynamicTest.dynamicTest(
                    "%s: %s".formatted(wrong.rule().id(), wrong.name()),
                    () -> {
                      DriverReport report = DriverCheck.of(wrong.driver(), seed);
                      String all = "seed %d: %s".formatted(seed, report.lines());
                      assertEquals(DriverReport.Outcome.BROKEN, report.outcome(wrong.rule()), all);
                      assertTrue(
                          report.sentences(wrong.rule()).stream()
                              .anyMatch(s -> s.contains(wrong.words())),
                          all);
                    }));
  }

  /** What a spoilt conversation is made of. */
  private interface Opened {
    Session with(SessionHost host);
  }

  private static Driver spoilt(Opened opened) {
    return new Meter() {
      @Override
      public Session open(SessionHost host) {
        return opened.with(host);
      }
    };
  }

  private static Driver described(DriverDescription description) {
    return new Meter() {
      @Override
      public DriverDescription description() {
        return description;
      }

      @Override
      public Driver configured(Map<String, String> settings) {
        throw new IllegalArgumentException("\"every\" is whole seconds");
      }
    };
  }

  private static Driver framed(Supplier<Framer> framers) {
    return new Meter() {
      @Override
      public Framer newFramer() {
        return framers.get();
      }
    };
  }

  private static Stream<Wrong> wrong() {
    DriverDescription right = new Meter().description();
    return Stream.of(
        new Wrong(
            "a name with a blank",
            DriverRule.DESCRIPTION,
            "its name is \"a meter\"",
            described(new DriverDescription("a meter", "1.0", "a meter", 9_600))),
        new Wrong(
            "its usual settings are refused",
            DriverRule.DESCRIPTION,
            "refuses the usual values",
            described(right.withSettings(new Setting("every", "seconds", "ten")))),
        new Wrong(
            "no examples",
            DriverRule.EXAMPLES,
            "none of its 0 examples",
            new Meter() {
              @Override
              public List<Example> examples() {
                return List.of();
              }
            }),
        new Wrong(
            "an example with other digits",
            DriverRule.WHOLE,
            "in the example it is winding-resistance 1.5 Ohm",
            new Meter() {
              @Override
              public List<Example> examples() {
                return List.of(example("one", "7 1.50\r\n", "1.5"));
              }
            }),
        new Wrong(
            "another question than the example has",
            DriverRule.WHOLE,
            "to send \"R?\\r\\n\", and that sends \"READ?\\r\\n\"",
            spoilt(Asking::new)),
        new Wrong(
            "a framer that takes each piece for a line",
            DriverRule.CUTS,
            "byte by byte",
            framed(Pieced::new)),
        new Wrong(
            "a session that stops after one reading",
            DriverRule.JOINED,
            "then \"another\" on the same link",
            spoilt(Once::new)),
        new Wrong(
            "one framer for all links",
            DriverRule.SEVERAL,
            "while it is played on another link",
            framed(single())),
        new Wrong(
            "noise without a fault", DriverRule.NOISE, "swallowed", framed(() -> new Deaf(40))),
        new Wrong(
            "a framer that remembers half a line for ever, across links",
            DriverRule.TRUNCATED,
            "on the next link",
            framed(single())),
        new Wrong(
            "a check value that is declared and not checked",
            DriverRule.FLIPPED,
            "it gave winding-resistance",
            described(right.withCheck())),
        new Wrong(
            "a frame longer than the limit", DriverRule.TOO_LONG, "limit is 4", framed(Small::new)),
        new Wrong("it asks once", DriverRule.WITHHELD, "for ever", spoilt(Patient::new)),
        new Wrong("it asks without end", DriverRule.WITHHELD, "goes on", spoilt(Stubborn::new)),
        new Wrong("it spins", DriverRule.NEXT_TICK, "would spin", spoilt(Spinning::new)),
        new Wrong("a command without words", DriverRule.COMMANDS, "in words", spoilt(Mute::new)),
        new Wrong(
            "a reading of nobody", DriverRule.IDENTIFIED, "before identified", spoilt(Nobody::new)),
        new Wrong(
            "numbers are promised and not given",
            DriverRule.NUMBERS,
            "has a number",
            described(right.withMemory(Memory.NUMBERS))),
        new Wrong("a number given twice", DriverRule.NUMBERS, "came after", spoilt(Twice::new)),
        new Wrong(
            "a resistance in volts", DriverRule.QUANTITIES, "does not convert", spoilt(Volts::new)),
        new Wrong("it computes for ever", DriverRule.TIME, "frame", spoilt(Slow::new)),
        new Wrong("it waits", DriverRule.TIME, "waits by itself", spoilt(Sleepy::new)),
        new Wrong(
            "an exception of its own",
            DriverRule.EXCEPTIONS,
            "NumberFormatException",
            spoilt(Careless::new)));
  }

  private static Supplier<Framer> single() {
    TextLines one = new TextLines(40);
    return () -> one;
  }

  private static final class Asking extends Meter.Conversation {
    Asking(SessionHost host) {
      super(host);
    }

    @Override
    void ask() throws LinkException {
      host.send(new Command(Meter.bytes("READ?\r\n"), Command.Effect.QUERY, "the resistance"));
      next = host.time().nanos() + Meter.ANSWER.toNanos();
    }
  }

  private static final class Pieced implements Framer {
    @Override
    public int limit() {
      return 4000;
    }

    @Override
    public void feed(byte[] bytes, int length, Instant at, Sink sink) {
      String text = new String(bytes, 0, length, StandardCharsets.ISO_8859_1);
      sink.frame(new Frame(Meter.bytes(text.strip()), at));
    }

    @Override
    public void reset() {}
  }

  private static final class Once extends Meter.Conversation {
    Once(SessionHost host) {
      super(host);
    }

    @Override
    public long nextTick() {
      return known ? Long.MAX_VALUE : super.nextTick();
    }
  }

  /** Lines in which noise is dropped without a word. */
  private static class Deaf implements Framer {
    private final TextLines lines;

    Deaf(int limit) {
      lines = new TextLines(limit);
    }

    @Override
    public int limit() {
      return lines.limit();
    }

    @Override
    public void feed(byte[] bytes, int length, Instant at, Sink sink) {
      lines.feed(
          bytes,
          length,
          at,
          new Sink() {
            @Override
            public void frame(Frame frame) {
              sink.frame(frame);
            }

            @Override
            public void fault(FrameException fault) {
              // dropped
            }
          });
    }

    @Override
    public void reset() {
      lines.reset();
    }
  }

  private static final class Small extends Deaf {
    Small() {
      super(40);
    }

    @Override
    public int limit() {
      return 4;
    }
  }

  private static final class Patient extends Meter.Conversation {
    Patient(SessionHost host) {
      super(host);
    }

    @Override
    public long nextTick() {
      return known ? super.nextTick() : Long.MAX_VALUE;
    }
  }

  private static final class Stubborn extends Meter.Conversation {
    Stubborn(SessionHost host) {
      super(host);
    }

    @Override
    public void tick() throws LinkException {
      ask();
    }
  }

  private static final class Spinning extends Meter.Conversation {
    Spinning(SessionHost host) {
      super(host);
    }

    @Override
    public void tick() {}
  }

  private static final class Mute extends Meter.Conversation {
    Mute(SessionHost host) {
      super(host);
    }

    @Override
    void ask() throws LinkException {
      host.send(new Command(Meter.bytes("R?\r\n"), Command.Effect.QUERY, ""));
      next = host.time().nanos() + Meter.ANSWER.toNanos();
    }
  }

  private static final class Nobody extends Meter.Conversation {
    Nobody(SessionHost host) {
      super(host);
    }

    @Override
    void identify() {}
  }

  private static final class Twice extends Meter.Conversation {
    Twice(SessionHost host) {
      super(host);
    }

    @Override
    Reading reading(Frame frame, String count, String ohms) {
      Reading reading =
          reading(
              frame,
              Quantity.WINDING_RESISTANCE,
              ohms,
              Unit.OHM,
              Optional.of(new SequenceNumber("e", 1)));
      host.reading(reading);
      return reading;
    }
  }

  private static final class Volts extends Meter.Conversation {
    Volts(SessionHost host) {
      super(host);
    }

    @Override
    Reading reading(Frame frame, String count, String ohms) {
      return reading(frame, Quantity.WINDING_RESISTANCE, ohms, Unit.VOLT, Optional.empty());
    }
  }

  private static final class Slow extends Meter.Conversation {
    Slow(SessionHost host) {
      super(host);
    }

    @Override
    public void frame(Frame frame) {
      long sum = 0;
      while (sum >= 0) {
        sum = (sum + Arrays.hashCode(frame.bytes())) & Long.MAX_VALUE;
      }
    }
  }

  private static final class Sleepy extends Meter.Conversation {
    Sleepy(SessionHost host) {
      super(host);
    }

    @Override
    public void frame(Frame frame) throws LinkException {
      try {
        new CountDownLatch(1).await();
      } catch (InterruptedException e) {
        throw new LinkException(FaultCode.LINK_LOST, "interrupted", e);
      }
    }
  }

  private static final class Careless extends Meter.Conversation {
    Careless(SessionHost host) {
      super(host);
    }

    @Override
    public void frame(Frame frame) throws FrameException, LinkException {
      Integer.parseInt(frame.text().split(" ", -1)[0]);
      super.frame(frame);
    }
  }
}
