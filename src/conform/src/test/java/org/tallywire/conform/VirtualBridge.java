package org.tallywire.conform;

import java.io.ByteArrayOutputStream;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.OptionalLong;
import org.tallywire.api.Command;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Frame;
import org.tallywire.api.FrameException;
import org.tallywire.api.Framer;
import org.tallywire.api.Gap;
import org.tallywire.api.Instrument;
import org.tallywire.api.Link;
import org.tallywire.api.LinkException;
import org.tallywire.api.Reading;
import org.tallywire.api.SequenceNumber;
import org.tallywire.api.Session;
import org.tallywire.api.SessionHost;
import org.tallywire.api.TimeSource;
import org.tallywire.kit.ManualTime;
import org.tallywire.line.LineDriver;

/**
 * The real driver of the line protocol with a disk in memory, in virtual time: a bridge, right or
 * with one defect. Its links are over TCP, where a closing is seen, or serial, where it is not.
 */
final class VirtualBridge implements VirtualLink.Counterpart, BridgeConformance.Source {

  private static final Duration WRITE = Duration.ofMillis(1);
  private static final Duration PAUSE = Duration.ofMillis(150);
  private static final Duration TCP_LINE_TIME = Duration.ofMillis(150);

  private final ManualTime time;
  private final BridgeDefect defect;
  private final int baud;
  private final Map<String, Long> disk = new HashMap<>();
  private final List<Object> arrived = new ArrayList<>();
  private final ByteArrayOutputStream said = new ByteArrayOutputStream();

  /** What a defect remembers within a connection. */
  private final Map<String, String> memory = new HashMap<>();

  private final Map<String, String> notes = new HashMap<>();
  private final LineDriver driver = new LineDriver();

  private Framer framer;
  private Session session;
  private boolean open;
  private long opensAt;
  private int links;

  VirtualBridge(ManualTime time, BridgeDefect defect, int baud) {
    this.time = time;
    this.defect = defect;
    this.baud = baud;
    this.framer = driver.newFramer();
    this.session = driver.open(new Host());
  }

  @Override
  public Link next(Duration within) throws LinkException {
    links++;
    if (!defect.comesBack() && links > 1) {
      time.pass(within);
      throw new LinkException(FaultCode.LINK_SILENT, "nobody came");
    }
    time.pass(PAUSE);
    begin();
    return new VirtualLink(time, this);
  }

  @Override
  public boolean showsClosing() {
    return baud == 0;
  }

  Map<String, String> memory() {
    return memory;
  }

  /** Returns the last number on disk, of whatever instrument, under a boot id. */
  long last(String boot) {
    return disk.getOrDefault(boot, 0L);
  }

  /** Says a line by itself, as a defect may. */
  void say(String body) {
    said.writeBytes(Wire.bytes(defect.check(Wire.checked(body)) + "\n"));
  }

  @Override
  public void receive(byte[] bytes) {
    time.pass(WRITE); // else two that answer each other at once would do so for ever
    byte[] heard = defect.bytes(bytes);
    framer.feed(heard, heard.length, time.now(), new Ear());
  }

  @Override
  public boolean act(ByteArrayOutputStream ear) {
    try {
      if (!open && time.nanos() - opensAt >= 0) {
        begin();
      }
      if (open) {
        take();
        if (time.nanos() - session.nextTick() >= 0) {
          session.tick();
        }
      }
    } catch (LinkException e) {
      ended(e);
    }
    ear.writeBytes(said.toByteArray());
    said.reset();
    return open || baud > 0;
  }

  @Override
  public long nextDue() {
    return open ? session.nextTick() : opensAt;
  }

  private void begin() {
    arrived.clear();
    memory.clear();
    framer = driver.newFramer();
    session = driver.open(new Host());
    open = true;
    try {
      session.start();
    } catch (LinkException e) {
      throw new IllegalStateException(e);
    }
  }

  private void ended(LinkException e) {
    if (!defect.minds(e, this)) {
      return;
    }
    open = false;
    opensAt = time.nanos() + PAUSE.toNanos();
  }

  private void take() throws LinkException {
    List<Object> now = List.copyOf(arrived);
    arrived.clear();
    for (Object one : now) {
      if (one instanceof Frame frame) {
        hear(frame);
      }
    }
    if (!now.isEmpty()) {
      session.durable();
    }
  }

  private void hear(Frame frame) throws LinkException {
    try {
      for (String line : defect.in(frame.text(), this)) {
        session.frame(new Frame(Wire.bytes(line), frame.receivedAt()));
      }
    } catch (FrameException e) {
      if (e.code() == FaultCode.VERSION_REFUSED || e.code() == FaultCode.CONTRADICTION) {
        throw new LinkException(FaultCode.LINK_REFUSED, "refused", e);
      }
    }
  }

  private final class Ear implements Framer.Sink {

    @Override
    public void frame(Frame frame) {
      if (open) {
        arrived.add(frame);
      }
    }

    @Override
    public void fault(FrameException fault) {
      if (open) {
        String text = new String(fault.bytes(), StandardCharsets.ISO_8859_1);
        arrived.add(
            defect
                .repair(text)
                .<Object>map(line -> new Frame(Wire.bytes(line), time.now()))
                .orElse(fault));
      }
    }
  }

  private final class Host implements SessionHost {

    @Override
    public TimeSource time() {
      return time;
    }

    @Override
    public Duration lineTime(int bytes) {
      return baud == 0 ? TCP_LINE_TIME : Duration.ofNanos(bytes * 10L * 1_000_000_000L / baud);
    }

    @Override
    public Map<String, String> notes() {
      return notes;
    }

    @Override
    public void send(Command command) {
      String line = new String(command.bytes(), StandardCharsets.ISO_8859_1).stripTrailing();
      defect
          .out(line.substring(0, line.length() - 5), VirtualBridge.this)
          .forEach(VirtualBridge.this::say);
    }

    @Override
    public void identified(Instrument instrument) {}

    @Override
    public void restarted(String sentence) {}

    @Override
    public OptionalLong lastRecorded(Instrument instrument, String epoch) {
      Long last = disk.get(epoch);
      return last == null ? OptionalLong.empty() : defect.after(last);
    }

    @Override
    public void reading(Reading reading) {
      keep(reading.sequence().orElseThrow(), reading.sequence().orElseThrow().number());
    }

    @Override
    public void gap(Gap gap) {
      memory.put("gap", gap.reason().word());
      keep(gap.from(), gap.to());
    }

    private void keep(SequenceNumber from, long to) {
      disk.merge(from.epoch(), to, Math::max);
    }

    @Override
    public void speed(int baud) {}

    @Override
    public void repeated() {}

    @Override
    public void status(String words) {}
  }
}
