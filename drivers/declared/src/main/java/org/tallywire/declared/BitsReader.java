package org.tallywire.declared;

import java.util.Map;
import java.util.Optional;
import java.util.TreeMap;
import java.util.regex.Pattern;
import org.tallywire.api.Reading;

/** Reads what the bits of a status mean, named by their numbers or by their masks. */
final class BitsReader {

  private static final Pattern NUMBER = Pattern.compile("[12]?[0-9]|3[01]");
  private static final Pattern MASK = Pattern.compile("0[xX][0-9A-Fa-f]{1,8}");

  private BitsReader() {}

  static Map<Integer, Reading.Status> bits(Section keys, Map<String, Reading.Status> words) {
    Map<Integer, Reading.Status> bits = new TreeMap<>();
    Optional<Section> section = keys.section("bits");
    if (section.isEmpty()) {
      return bits;
    }
    Section named = section.get();
    if (named.keys().isEmpty()) {
      keys.problem("bits", "names no bit; write bits: {0: not-settled}");
    }
    boolean masks = named.keys().stream().anyMatch(key -> MASK.matcher(key).matches());
    for (String key : named.keys()) {
      Optional<Integer> bit = bit(named, key, masks);
      Optional<Reading.Status> status = named.word(key, words);
      if (bit.isPresent() && status.isPresent() && bits.put(bit.get(), status.get()) != null) {
        named.problem(key, "is bit %d, which stands there already".formatted(bit.get()));
      }
    }
    return bits;
  }

  private static Optional<Integer> bit(Section named, String key, boolean masks) {
    if (MASK.matcher(key).matches()) {
      long mask = Long.parseLong(key.substring(2), 16);
      if (Long.bitCount(mask) == 1) {
        return Optional.of(Long.numberOfTrailingZeros(mask));
      }
      named.problem(
          key,
          "is the mask of %d bits; write one for each bit, such as 0x01, 0x02, 0x04"
              .formatted(Long.bitCount(mask)));
      return Optional.empty();
    }
    if (!NUMBER.matcher(key).matches()) {
      named.problem(
          key,
          "is no bit; write its number, 0 for the lowest up to 31, or its hexadecimal mask, such as"
              + " 0x10");
      return Optional.empty();
    }
    if (masks) {
      named.problem(key, "is a bit's number beside masks; write it as a mask too, such as 0x10");
      return Optional.empty();
    }
    return Optional.of(Integer.valueOf(key));
  }
}
