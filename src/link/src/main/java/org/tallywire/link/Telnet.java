package org.tallywire.link;

import java.io.ByteArrayOutputStream;
import java.util.Arrays;

/**
 * Telnet's bytes (RFC 854, RFC 855): takes commands out of a stream and puts them into one. Only
 * for connections whose both ways are BINARY (RFC 856): a CR stays as it is. Used by one thread.
 */
final class Telnet {

  static final int SE = 240;
  static final int SB = 250;
  static final int WILL = 251;
  static final int WONT = 252;
  static final int DO = 253;
  static final int DONT = 254;
  static final int IAC = 255;

  /** More than any subnegotiation that is understood here; a longer one is cut off. */
  private static final int LONGEST = 256;

  private static final int OCTET = 0xFF;

  private final Listener listener;
  private final byte[] body = new byte[LONGEST];
  private State state = State.PLAIN;
  private int verb;
  private int length;

  Telnet(Listener listener) {
    this.listener = listener;
  }

  /** Is told what is no data. */
  interface Listener {

    /** WILL, WONT, DO or DONT came. */
    void option(int verb, int option);

    /** A subnegotiation came; its first byte is the option. */
    void subnegotiation(byte[] body);
  }

  private enum State {
    PLAIN,
    COMMAND,
    OPTION,
    BODY,
    BODY_COMMAND
  }

  /** Leaves the data alone at the start of the buffer; returns how many they are. */
  int decode(byte[] buffer, int count) {
    int data = 0;
    for (int i = 0; i < count; i++) {
      int octet = buffer[i] & OCTET;
      if (isData(octet)) {
        buffer[data] = (byte) octet;
        data++;
      }
    }
    return data;
  }

  private boolean isData(int octet) {
    switch (state) {
      case PLAIN -> {
        if (octet != IAC) {
          return true;
        }
        state = State.COMMAND;
      }
      case COMMAND -> {
        state = State.PLAIN;
        return command(octet);
      }
      case OPTION -> {
        state = State.PLAIN;
        listener.option(verb, octet);
      }
      case BODY -> {
        if (octet == IAC) {
          state = State.BODY_COMMAND;
        } else {
          collect(octet);
        }
      }
      case BODY_COMMAND -> {
        state = State.BODY;
        inBody(octet);
      }
    }
    return false;
  }

  private boolean command(int octet) {
    if (octet >= WILL && octet <= DONT) {
      verb = octet;
      state = State.OPTION;
    } else if (octet == SB) {
      length = 0;
      state = State.BODY;
    }
    return octet == IAC; // others, such as NOP, mean nothing here
  }

  private void inBody(int octet) {
    if (octet == IAC) {
      collect(octet);
    } else {
      state = State.PLAIN;
      if (octet == SE && length > 0) {
        listener.subnegotiation(Arrays.copyOf(body, length));
      }
    }
  }

  private void collect(int octet) {
    if (length < LONGEST) {
      body[length] = (byte) octet;
      length++;
    }
  }

  /** Returns data as they go over the wire. */
  static byte[] data(byte[] bytes) {
    ByteArrayOutputStream out = new ByteArrayOutputStream(bytes.length + 16);
    escaped(out, bytes);
    return out.toByteArray();
  }

  /** Returns a request or an answer about an option. */
  static byte[] about(int verb, int option) {
    return new byte[] {(byte) IAC, (byte) verb, (byte) option};
  }

  /** Returns a subnegotiation. */
  static byte[] subnegotiation(byte[] body) {
    ByteArrayOutputStream out = new ByteArrayOutputStream();
    out.write(IAC);
    out.write(SB);
    escaped(out, body);
    out.write(IAC);
    out.write(SE);
    return out.toByteArray();
  }

  private static void escaped(ByteArrayOutputStream out, byte[] bytes) {
    for (byte octet : bytes) {
      out.write(octet);
      if ((octet & OCTET) == IAC) {
        out.write(IAC);
      }
    }
  }
}
