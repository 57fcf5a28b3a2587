package org.tallywire.publish;

import java.io.EOFException;
import java.net.SocketException;
import java.util.List;
import java.util.Locale;
import javax.net.ssl.SSLException;
import org.eclipse.paho.client.mqttv3.MqttException;
import org.jspecify.annotations.Nullable;

/** A connection to the broker could not be made or is no longer of use. */
final class BrokerException extends Exception {

  private static final int BAD_PROTOCOL = MqttException.REASON_CODE_INVALID_PROTOCOL_VERSION;
  private static final int NOT_AUTHORISED = MqttException.REASON_CODE_NOT_AUTHORIZED;

  /** In the words of the system and, after "abort", of Java's TLS; our own are "Socket closed". */
  private static final List<String> ENDS =
      List.of(
          "reset",
          "broken pipe",
          "abort",
          "connection or outbound has been closed",
          "socket output is already shutdown",
          "closed by remote");

  private final boolean refused;
  private final boolean advised;

  private BrokerException(String message, boolean refused, @Nullable Throwable cause) {
    this(message, refused, false, cause);
  }

  private BrokerException(
      String message, boolean refused, boolean advised, @Nullable Throwable cause) {
    super(message, cause);
    this.refused = refused;
    this.advised = advised;
  }

  /** Makes one for a broker that will not have us as things are set up. */
  static BrokerException refusing(String message, Throwable cause) {
    return new BrokerException(message, true, cause);
  }

  static BrokerException because(String message) {
    return new BrokerException(message, false, null);
  }

  /** Makes one from the library's exception; {@code what} begins the sentence. */
  static BrokerException from(String what, @Nullable Throwable cause) {
    if (cause == null) {
      return because(what);
    }
    for (Throwable one = cause; one != null; one = one.getCause()) {
      if (one instanceof TlsException tls) {
        return new BrokerException(String.valueOf(tls.getMessage()), true, true, cause);
      }
    }
    if (!(cause instanceof MqttException mqtt)) {
      return new BrokerException("%s: %s".formatted(what, cause), false, cause);
    }
    int code = mqtt.getReasonCode();
    // CONNACK return codes, MQTT 3.1.1 table 3.1: 3 is "server unavailable", the others are
    // settings
    boolean refused =
        code >= BAD_PROTOCOL
            && code <= NOT_AUTHORISED
            && code != MqttException.REASON_CODE_BROKER_UNAVAILABLE;
    Throwable deeper = mqtt.getCause();
    String detail = deeper == null ? mqtt.getMessage() : mqtt.getMessage() + ", " + deeper;
    return new BrokerException("%s: %s (code %d)".formatted(what, detail, code), refused, cause);
  }

  /** Returns whether one of us will not have the other, so that a setting must be changed. */
  boolean refused() {
    return refused;
  }

  /**
   * Returns whether the other side ended the connection, as opposed to silence or a network that is
   * away.
   */
  boolean ended() {
    Throwable cause = getCause();
    for (int depth = 0; cause != null && depth < 8; depth++) {
      boolean net = cause instanceof SocketException || cause instanceof SSLException;
      if (cause instanceof EOFException || (net && isEnd(cause))) {
        return true;
      }
      cause = cause.getCause();
    }
    return false;
  }

  private static boolean isEnd(Throwable cause) {
    String text = String.valueOf(cause.getMessage()).toLowerCase(Locale.ROOT);
    return ENDS.stream().anyMatch(text::contains);
  }

  /** Returns whether the message says which setting, and what to do. */
  boolean advised() {
    return advised;
  }
}
