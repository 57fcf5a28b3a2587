package org.tallywire.declared;

/** How a check value is computed over bytes. Pure. */
sealed interface CheckKind {

  /** Returns how many bits it has, 8 to 32 in steps of 8. */
  int bits();

  /** Returns the value over some bytes, 0 to 2 to the power of its bits, less 1. */
  long of(byte[] bytes);

  /** Exclusive or of all bytes, as in NMEA 0183 and IEC 62056-21. */
  record Xor(int initial) implements CheckKind {

    @Override
    public int bits() {
      return 8;
    }

    @Override
    public long of(byte[] bytes) {
      int value = initial;
      for (byte b : bytes) {
        value ^= b & 0xFF;
      }
      return value;
    }
  }

  /** What is done to a sum at its end. */
  enum Complement {
    NONE,
    /** Every bit turned over. */
    ONES,
    /** The negative: sum and check value together are 0. */
    TWOS
  }

  /** Sum of all bytes without what does not fit into the bits. */
  record Sum(int bits, Complement complement) implements CheckKind {

    @Override
    public long of(byte[] bytes) {
      long sum = 0;
      for (byte b : bytes) {
        sum += b & 0xFF;
      }
      long value =
          switch (complement) {
            case NONE -> sum;
            case ONES -> ~sum;
            case TWOS -> -sum;
          };
      return value & mask(bits);
    }
  }

  /** A cyclic redundancy check by the parameters of the public catalogue of CRCs. */
  record Crc(
      int bits, long polynomial, long initial, boolean reflectIn, boolean reflectOut, long finalXor)
      implements CheckKind {

    @Override
    public long of(byte[] bytes) {
      long top = 1L << (bits - 1);
      long crc = initial;
      for (byte b : bytes) {
        int in = reflectIn ? Integer.reverse(b) >>> 24 : b & 0xFF;
        crc ^= (long) in << (bits - 8);
        for (int bit = 0; bit < 8; bit++) {
          crc = ((crc & top) != 0 ? (crc << 1) ^ polynomial : crc << 1) & mask(bits);
        }
      }
      long out = reflectOut ? Long.reverse(crc) >>> (64 - bits) : crc;
      return (out ^ finalXor) & mask(bits);
    }
  }

  /** Returns so many ones. */
  static long mask(int bits) {
    return (1L << bits) - 1;
  }
}
