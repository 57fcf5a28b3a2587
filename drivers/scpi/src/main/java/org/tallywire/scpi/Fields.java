package org.tallywire.scpi;

import java.math.BigDecimal;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;
import org.tallywire.api.Decimals;
import org.tallywire.api.FaultCode;
import org.tallywire.api.FrameException;
import org.tallywire.api.Reading;
import org.tallywire.api.Value;

/**
 * What the elements of an answer mean, in order. What stands for no number is told apart before
 * anything is multiplied (SCPI-1999 volume 1, 7.2.1.4 and 7.2.1.5).
 */
final class Fields {

  private static final int LONGEST_TEXT = 64;
  private static final int SHOWN = 200;

  private final List<Field> fields;

  private Fields(List<Field> fields) {
    this.fields = List.copyOf(fields);
  }

  /**
   * Reads them as they are written in a configuration, with commas between.
   *
   * @throws IllegalArgumentException with a sentence that says which is wrong
   */
  static Fields of(String written) {
    List<Field> fields = new ArrayList<>();
    for (String one : written.split(",", -1)) {
      fields.add(Field.of(one.strip().replaceAll("\\s+", " ")));
    }
    if (fields.stream().noneMatch(Field.Measured.class::isInstance)) {
      throw new IllegalArgumentException("there is no value among them, as \"turns-ratio 1\"");
    }
    long labels = fields.stream().filter(Field.Label.class::isInstance).count();
    if (fields.stream().filter(Field.Label.class::isInstance).distinct().count() != labels) {
      throw new IllegalArgumentException("a label is there twice");
    }
    return new Fields(fields);
  }

  /** Tells whether the instrument numbers its readings. */
  boolean numbered() {
    return fields.stream().anyMatch(Field.Numbering.class::isInstance);
  }

  /**
   * Returns what the elements say, or nothing where the instrument says not-a-number for the
   * reading's number, or 0: it has none yet.
   */
  Optional<Answer> read(List<Element> elements, byte[] message) throws FrameException {
    if (elements.size() != fields.size()) {
      throw syntax(
          "an answer of %d elements where the setting \"fields\" names %d"
              .formatted(elements.size(), fields.size()),
          message);
    }
    Taken taken = new Taken(message);
    for (int i = 0; i < fields.size(); i++) {
      taken.take(fields.get(i), elements.get(i), i + 1);
    }
    return taken.answer();
  }

  private static FrameException syntax(String words, byte[] message) {
    return new FrameException(
        FaultCode.FRAME_SYNTAX, words, Arrays.copyOf(message, Math.min(SHOWN, message.length)));
  }

  /** One answer as it is put together. */
  private static final class Taken {

    private final byte[] message;
    private final Map<String, String> labels = new LinkedHashMap<>();
    private final List<Value> values = new ArrayList<>();
    private final List<Value> leftOut = new ArrayList<>();
    private OptionalLong number = OptionalLong.empty();
    private boolean none;
    private Reading.Status status = Reading.Status.OK;

    Taken(byte[] message) {
      this.message = message;
    }

    Optional<Answer> answer() {
      if (none) {
        return Optional.empty();
      }
      String text = new String(message, StandardCharsets.ISO_8859_1);
      return Optional.of(
          new Answer(number, labels, values.isEmpty() ? leftOut : values, status, text));
    }

    void take(Field field, Element element, int place) throws FrameException {
      if (field instanceof Field.Numbering) {
        number(element, place);
      } else if (field instanceof Field.Status) {
        status(element, place);
      } else if (field instanceof Field.Label label) {
        label(label, element, place);
      } else if (field instanceof Field.Measured measured) {
        value(measured, element, place);
      }
    }

    private void number(Element element, int place) throws FrameException {
      if (element instanceof Element.NoNumber) {
        none = true;
        return;
      }
      long found = whole(element, place);
      none |= found == 0;
      if (number.isPresent() && number.getAsLong() != found) {
        throw syntax(
            "its elements are of two readings: number %d and number %d"
                .formatted(number.getAsLong(), found),
            message);
      }
      number = OptionalLong.of(found);
    }

    private long whole(Element element, int place) throws FrameException {
      if (element instanceof Element.Numeric numeric) {
        try {
          long found = numeric.number().longValueExact();
          if (found >= 0) {
            return found;
          }
        } catch (ArithmeticException tooLong) {
          throw unlike(place, "the reading's number, a whole one");
        }
      }
      throw unlike(place, "the reading's number, a whole one");
    }

    private void status(Element element, int place) throws FrameException {
      String word = text(element, place).toLowerCase(Locale.ROOT).replace('_', '-');
      status =
          Reading.Status.of(word)
              .orElseThrow(() -> unlike(place, "a status: ok, not-settled, suspect or aborted"));
    }

    private void label(Field.Label label, Element element, int place) throws FrameException {
      if (element instanceof Element.NoNumber) {
        return; // it does not apply
      }
      String text = text(element, place);
      if (text.length() > LONGEST_TEXT) {
        throw unlike(place, "a label of at most %d characters".formatted(LONGEST_TEXT));
      }
      if (!text.isEmpty()) {
        labels.put(label.name(), text);
      }
    }

    private String text(Element element, int place) throws FrameException {
      if (element instanceof Element.Text text) {
        return text.text();
      }
      if (element instanceof Element.Word word) {
        return word.text();
      }
      if (element instanceof Element.Numeric numeric) {
        return numeric.text().startsWith("+") ? numeric.text().substring(1) : numeric.text();
      }
      throw unlike(place, "a text");
    }

    private void value(Field.Measured field, Element element, int place) throws FrameException {
      if (element instanceof Element.NoNumber no) {
        Value missing = new Value.Missing(field.quantity(), field.unit(), no.reason());
        boolean leave = field.optional() && no.reason() == Value.Reason.INVALID;
        (leave ? leftOut : values).add(missing);
      } else if (element instanceof Element.Numeric numeric) {
        BigDecimal number = field.factor().map(numeric.number()::multiply).orElse(numeric.number());
        if (Decimals.parse(number.toPlainString()).isEmpty()) {
          throw unlike(place, "a number of at most 32 characters when multiplied");
        }
        values.add(new Value.Measured(field.quantity(), number, field.unit(), field.factor()));
      } else {
        throw unlike(place, "a number, NR1, NR2 or NR3");
      }
    }

    private FrameException unlike(int place, String wanted) {
      return syntax("element %d is not %s".formatted(place, wanted), message);
    }
  }
}
