package org.tallywire.scpi;

import java.util.List;
import java.util.Map;
import java.util.OptionalLong;
import org.tallywire.api.Reading;
import org.tallywire.api.Value;

/**
 * What the elements of a reading say.
 *
 * @param number the instrument's own, from 1, if it numbers its readings
 * @param text the elements as they came
 */
record Answer(
    OptionalLong number,
    Map<String, String> labels,
    List<Value> values,
    Reading.Status status,
    String text) {}
