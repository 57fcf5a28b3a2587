package org.tallywire.fault;

import java.io.DataInputStream;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.util.Arrays;

/**
 * An MQTT packet as it is on the wire (MQTT 3.1.1, section 2).
 *
 * @param bytes all of it
 * @param header how many bytes stand before the body
 */
@SuppressWarnings("ArrayRecordComponent") // never compared
record Packet(byte[] bytes, int header) {

  private static final int LARGEST = 1 << 24;

  /** Reads one; an EOFException where the stream ends. */
  static Packet read(DataInputStream in) throws IOException {
    byte[] head = new byte[5];
    int used = 0;
    head[used++] = in.readByte();
    int length = 0;
    byte digit;
    do {
      digit = in.readByte();
      length |= (digit & 0x7F) << (7 * (used - 1));
      head[used++] = digit;
    } while (digit < 0 && used < head.length);
    if (length > LARGEST) {
      throw new IOException("a packet of %d bytes".formatted(length));
    }
    byte[] all = Arrays.copyOf(head, used + length);
    in.readFully(all, used, length);
    return new Packet(all, used);
  }

  int first() {
    return bytes[0] & 0xFF;
  }

  boolean isPublish() {
    return first() >> 4 == 3;
  }

  boolean isAcknowledgement() {
    return first() == 0x40;
  }

  String topic() {
    return new String(bytes, header + 2, topicLength(), StandardCharsets.UTF_8);
  }

  String payload() {
    return new String(body(), StandardCharsets.UTF_8);
  }

  /** Returns the payload's bytes. */
  byte[] body() {
    int id = (first() & 6) == 0 ? 0 : 2;
    return Arrays.copyOfRange(bytes, header + 2 + topicLength() + id, bytes.length);
  }

  private int topicLength() {
    return (bytes[header] & 0xFF) << 8 | (bytes[header + 1] & 0xFF);
  }
}
