package org.tallywire.line;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.List;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import org.tallywire.api.FaultCode;
import org.tallywire.api.FrameException;
import org.tallywire.api.LinkException;

/** The list of channels: rule L-17. */
class ChannelsTest {

  private final Talk talk = new Talk();

  @ParameterizedTest
  @ValueSource(
      strings = {
        "<channel req=2 n=2 of=3 ch=2 quantity=excitation-current unit=mA",
        "<channel req=2 n=2 of=2 ch=1 quantity=excitation-current unit=mA",
        "<channel req=2 n=2 of=2 ch=1 quantity=turns-ratio unit=1",
        "<channel req=2 n=1 of=2 ch=1 quantity=turns-ratio unit=1 max=15000",
        "<channel req=2 n=1 of=2 ch=2 quantity=turns-ratio unit=1"
      })
  @DisplayName("L-17b: two counts, a channel twice, two contents: the list is asked for again")
  void wrongList(String second) throws Exception {
    talk.hear(Wire.HELLO);
    talk.sent();
    talk.hear(Wire.CHANNEL_1);
    FrameException fault = assertThrows(FrameException.class, () -> talk.hear(second));
    assertEquals(FaultCode.FRAME_SYNTAX, fault.code());
    assertEquals(List.of(">channels req=3"), talk.sent());
    talk.hear(Wire.CHANNEL_2); // the rest of the wrong list
    assertEquals(List.of(), talk.sent());
    talk.hear(Wire.CHANNEL_1.replace("req=2", "req=3"));
    talk.hear(Wire.CHANNEL_2.replace("req=2", "req=3"));
    assertEquals(List.of(">send req=4 boot=b1 after=0 credit=15"), talk.sent());
  }

  @Test
  @DisplayName("L-17b: a list that is always wrong is not asked for for ever")
  void alwaysWrong() throws Exception {
    talk.hear(Wire.HELLO);
    for (int req = 2; req < 5; req++) {
      String one = Wire.CHANNEL_1.replace("req=2", "req=" + req);
      talk.hear(one);
      assertThrows(FrameException.class, () -> talk.hear(one.replace("n=1", "n=2")));
    }
    String last = Wire.CHANNEL_1.replace("req=2", "req=5");
    talk.hear(last);
    LinkException end =
        assertThrows(LinkException.class, () -> talk.hear(last.replace("n=1", "n=2")));
    assertEquals(FaultCode.LINK_REFUSED, end.code());
  }

  @Test
  @DisplayName("L-16d: the same lines again, in answer to a repeat, are no contradiction")
  void sameLinesAgain() throws Exception {
    talk.hear(Wire.HELLO);
    talk.sent();
    talk.hear(Wire.CHANNEL_2);
    talk.hear(Wire.CHANNEL_2);
    talk.hear(Wire.CHANNEL_1 + " colour=red");
    assertEquals(List.of(">send req=3 boot=b1 after=0 credit=15"), talk.sent());
  }

  @ParameterizedTest
  @ValueSource(strings = {"resolution=x", "min=1e3", "max=", "quantity=Ratio", "n=3", "ch=100"})
  @DisplayName("L-17a: a line that breaks the rules is a syntax fault and no part of the answer")
  void wrongLine(String field) throws Exception {
    talk.hear(Wire.HELLO);
    talk.sent();
    String key = field.substring(0, field.indexOf('='));
    String line =
        (Wire.CHANNEL_1 + " resolution=0.1 min=-1 max=5")
            .replaceFirst(" " + key + "=[^ ]*", " " + field);
    FrameException fault = assertThrows(FrameException.class, () -> talk.hear(line));
    assertEquals(FaultCode.FRAME_SYNTAX, fault.code());
    talk.hear(Wire.CHANNEL_2);
    assertEquals(List.of(), talk.sent());
  }

  @ParameterizedTest
  @ValueSource(strings = {"unit=mA", "quantity=test-voltage unit=1", "unit=1 resolution=0.1"})
  @DisplayName("L-17c: two lists under one boot id: an alarm, and no reading by the second")
  void contradiction(String fields) throws Exception {
    talk.receive();
    talk.hear("!start boot=b1");
    talk.hear(Wire.HELLO.replace("req=1", "req=4"));
    talk.hear(Wire.CHANNEL_2.replace("req=2", "req=5"));
    String quantity = fields.startsWith("quantity") ? "" : "quantity=turns-ratio ";
    String other = "<channel req=5 n=1 of=2 ch=1 " + quantity + fields;
    FrameException fault = assertThrows(FrameException.class, () -> talk.hear(other));
    assertEquals(FaultCode.CONTRADICTION, fault.code());
    assertThrows(FrameException.class, () -> talk.hear(Wire.reading(1)));
    assertEquals(List.of(), talk.host.readings());
  }

  @Test
  @DisplayName("L-17c: the same list in another order holds; under another boot id any list does")
  void noContradiction() throws Exception {
    talk.receive();
    talk.hear("!start boot=b1");
    talk.hear(Wire.HELLO.replace("req=1", "req=4"));
    talk.hear(Wire.CHANNEL_1.replace("req=2 n=1", "req=5 n=2"));
    talk.hear(Wire.CHANNEL_2.replace("req=2 n=2", "req=5 n=1"));
    assertTrue(talk.sent().contains(">send req=6 boot=b1 after=0 credit=15"));
    talk.hear("!start boot=b2");
    talk.hear(Wire.HELLO.replace("req=1", "req=7").replace("boot=b1", "boot=b2"));
    talk.hear("<channel req=8 n=1 of=1 ch=1 quantity=test-voltage unit=V");
    assertTrue(talk.sent().contains(">send req=9 boot=b2 after=0 credit=15"));
  }
}
