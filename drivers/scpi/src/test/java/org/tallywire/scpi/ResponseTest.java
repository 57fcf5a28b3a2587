package org.tallywire.scpi;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertInstanceOf;
import static org.junit.jupiter.api.Assertions.assertThrows;

import java.nio.charset.StandardCharsets;
import java.util.List;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;
import org.tallywire.api.FaultCode;
import org.tallywire.api.FrameException;
import org.tallywire.api.Value;

/** Response messages of IEEE 488.2-1992, chapter 8; the examples of the forms are from memory. */
class ResponseTest {

  private static List<Element> elements(String message) throws FrameException {
    return Response.elements(Wire.bytes(message));
  }

  @ParameterizedTest
  @DisplayName("8.7.2 to 8.7.4: NR1, NR2, NR3 are exact, with the digits that were sent")
  @CsvSource({
    "-12, -12",
    "+0, 0",
    "345, 345",
    "-1.2, -1.2",
    "+0.00, 0.00",
    "45.6789, 45.6789",
    "+1.23000E-03, 0.00123000",
    "-4.5E+02, -450",
    "1.0E0, 1.0",
    "+2.5402E+01, 25.402",
    "0007, 7",
    "1.5E3, 1500"
  })
  void numbers(String sent, String plain) throws FrameException {
    Element.Numeric number = assertInstanceOf(Element.Numeric.class, elements(sent).get(0), sent);
    assertEquals(plain, number.number().toPlainString());
  }

  @ParameterizedTest
  @DisplayName("SCPI-1999 7.2.1.4 and 7.2.1.5: 9.9E37, -9.9E37 and 9.91E37 are never numbers")
  @CsvSource({
    "9.9E37, OVER_RANGE", "+9.90000000E+37, OVER_RANGE", "+9.9E+37, OVER_RANGE",
    "-9.9E37, UNDER_RANGE", "-9.90000000E+37, UNDER_RANGE", "9.91E37, INVALID",
    "+9.91000000E+37, INVALID", "9.8999998E+37, OVER_RANGE", "9.9099999E+37, INVALID",
    "1.0E+38, OVER_RANGE"
  })
  void specialValues(String sent, Value.Reason reason) throws FrameException {
    assertEquals(List.of(new Element.NoNumber(reason)), elements(sent));
  }

  @ParameterizedTest
  @DisplayName("What is no decimal number of the grammar is a word and gives no number")
  @ValueSource(
      strings = {
        ".5",
        "1.",
        "1,5E",
        "1E5",
        "1.5e3",
        "0x10",
        "#H1F",
        "--1",
        "1.0E+99999",
        "NaN",
        "1.0E+36",
        "1.0E-40",
        "1 2"
      })
  void noNumbers(String sent) throws FrameException {
    elements(sent)
        .forEach(
            e -> {
              if (e instanceof Element.Numeric n) {
                assertEquals("1", n.text(), sent); // the first of "1,5E"
              } else {
                assertInstanceOf(Element.Word.class, e, sent);
              }
            });
  }

  @Test
  @DisplayName(
      "8.7.8: a quote inside a string stands twice; commas and semicolons in it part nothing")
  void strings() throws FrameException {
    assertEquals(
        List.of(new Element.Text("a \"b\", c; d"), new Element.Text(""), new Element.Word("VOLT")),
        elements("\"a \"\"b\"\", c; d\",\"\";VOLT"));
  }

  @Test
  @DisplayName("8.7.9: a definite block has as many bytes as its head says, whatever they are")
  void blocks() throws FrameException {
    List<Element> all = elements("1,#15HEL\nO,2;#10");
    assertEquals(
        "HEL\nO", new String(((Element.Block) all.get(1)).bytes(), StandardCharsets.US_ASCII));
    assertEquals(4, all.size());
    assertEquals(0, ((Element.Block) all.get(3)).bytes().length);
  }

  @ParameterizedTest
  @ValueSource(
      strings = {"", "1,,2", "1;", ",1", "\"open", "\"a\"b", "a\"b\"", "#19HELLO", "#15HELLO6"})
  void refused(String message) {
    FrameException fault = assertThrows(FrameException.class, () -> elements(message));
    assertEquals(FaultCode.FRAME_SYNTAX, fault.code());
  }
}
