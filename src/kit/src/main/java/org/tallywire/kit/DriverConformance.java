package org.tallywire.kit;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Random;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.tallywire.api.Driver;
import org.tallywire.api.Frame;
import org.tallywire.api.FrameException;
import org.tallywire.api.Framer;
import org.tallywire.api.LinkException;
import org.tallywire.api.Reading;
import org.tallywire.api.Session;

/**
 * The rules every driver keeps, as tests: extend it, say which driver and give a recording of what
 * its instrument sends.
 */
public abstract class DriverConformance {

  private static final int CUTS = 200;

  /** Returns the driver under test. */
  protected abstract Driver driver();

  /**
   * Returns what an instrument sends from the opening of the link on, answers included, such that
   * the driver makes at least one reading of it.
   */
  protected abstract byte[] recording();

  @Test
  @DisplayName("FRAME-1: bytes give the same readings whole, byte by byte and in random cuts")
  void everyCutGivesTheSameReadings() throws Exception {
    List<Reading> whole = play(List.of(recording())).readings();
    assertFalse(whole.isEmpty(), "the recording gives no reading: record a longer one");

    List<byte[]> single = new ArrayList<>();
    for (byte b : recording()) {
      single.add(new byte[] {b});
    }
    assertEquals(whole, play(single).readings(), "fed byte by byte");

    long seed = new Random().nextLong();
    Random random = new Random(seed);
    for (int i = 0; i < CUTS; i++) {
      assertEquals(whole, play(cut(recording(), random)).readings(), "random cuts, seed " + seed);
    }
  }

  @Test
  @DisplayName("FRAME-2: noise before the first frame costs no reading, and is counted")
  void noiseBeforeTheFirstFrame() throws Exception {
    List<Reading> whole = play(List.of(recording())).readings();
    Played noisy = play(List.of(new byte[] {0, (byte) 0xFF, (byte) 0xF8, 'x', '\n'}, recording()));
    assertEquals(whole, noisy.readings());
    assertTrue(noisy.faults() > 0, "noise was swallowed without a fault");
  }

  @Test
  @DisplayName("FRAME-3: an endless line is cut at the limit and the next frame is read")
  void endlessLine() throws Exception {
    List<Reading> whole = play(List.of(recording())).readings();
    byte[] endless = new byte[driver().newFramer().limit() * 5];
    Arrays.fill(endless, (byte) 'x');
    Played played = play(List.of(endless, new byte[] {'\n'}, recording()));
    assertEquals(whole, played.readings());
    assertTrue(played.faults() > 0, "the endless line was swallowed without a fault");
  }

  @Test
  @DisplayName("FRAME-4: half a frame, then a new link: the half is forgotten")
  void halfAFrameAtTheEnd() throws Exception {
    Framer framer = driver().newFramer();
    byte[] half = Arrays.copyOf(recording(), recording().length - 3);
    play(framer, List.of(half));
    framer.reset();
    assertEquals(
        play(List.of(recording())).readings(), play(framer, List.of(recording())).readings());
  }

  private Played play(List<byte[]> pieces) throws LinkException {
    return play(driver().newFramer(), pieces);
  }

  private Played play(Framer framer, List<byte[]> pieces) throws LinkException {
    ManualTime time = new ManualTime();
    RecordingHost host = new RecordingHost(time);
    Session session = driver().open(host);
    session.start();
    List<Object> cut = new ArrayList<>();
    Framer.Sink sink =
        new Framer.Sink() {
          @Override
          public void frame(Frame frame) {
            cut.add(frame);
          }

          @Override
          public void fault(FrameException fault) {
            cut.add(fault);
          }
        };
    for (byte[] piece : pieces) {
      framer.feed(piece, piece.length, time.now(), sink);
    }
    int faults = 0;
    for (Object one : cut) {
      if (one instanceof Frame frame) {
        try {
          session.frame(frame);
        } catch (FrameException e) {
          faults++;
        }
      } else {
        faults++;
      }
    }
    session.durable();
    return new Played(host.readings(), faults);
  }

  private static List<byte[]> cut(byte[] bytes, Random random) {
    List<byte[]> pieces = new ArrayList<>();
    int from = 0;
    while (from < bytes.length) {
      int to = Math.min(bytes.length, from + 1 + random.nextInt(64));
      pieces.add(Arrays.copyOfRange(bytes, from, to));
      from = to;
    }
    return pieces;
  }

  private record Played(List<Reading> readings, int faults) {}
}
