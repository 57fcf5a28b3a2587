package org.tallywire.link;

import java.nio.ByteBuffer;
import java.util.ArrayList;
import java.util.List;
import org.tallywire.api.ControlLines;
import org.tallywire.api.SerialSettings;

/** The commands of Telnet's COM-PORT-OPTION that set a line (RFC 2217, section 3 on). */
final class ComPort {

  static final int SET_BAUDRATE = 1;
  static final int SET_DATASIZE = 2;
  static final int SET_PARITY = 3;
  static final int SET_STOPSIZE = 4;
  static final int SET_CONTROL = 5;
  static final int FLOWCONTROL_SUSPEND = 8;
  static final int FLOWCONTROL_RESUME = 9;
  static final int SET_LINESTATE_MASK = 10;
  static final int SET_MODEMSTATE_MASK = 11;
  static final int PURGE_DATA = 12;

  /** What a server's answer has more than the command. */
  static final int FROM_SERVER = 100;

  private static final int PURGE_BOTH = 3;
  private static final int DTR_ON = 8;
  private static final int DTR_OFF = 9;
  private static final int RTS_ON = 11;
  private static final int RTS_OFF = 12;

  private ComPort() {}

  /**
   * A setting.
   *
   * @param command its number
   * @param value of it
   * @param words what a message calls it, for example {@code 7 data bits}
   */
  @SuppressWarnings("ArrayRecordComponent") // sent, never compared
  record Setting(int command, byte[] value, String words) {

    byte[] bytes() {
      return ComPort.command(command, value);
    }

    /** Tells whether an answer confirms it; some servers add zeros. */
    boolean isConfirmedBy(byte[] answer) {
      for (int i = 0; i < Math.max(value.length, answer.length); i++) {
        if (at(value, i) != at(answer, i)) {
          return false;
        }
      }
      return true;
    }

    private static int at(byte[] bytes, int place) {
      return place < bytes.length ? bytes[place] & 0xFF : 0;
    }
  }

  static byte[] command(int command, byte... value) {
    ByteBuffer body = ByteBuffer.allocate(2 + value.length);
    body.put((byte) TelnetOptions.COM_PORT).put((byte) command).put(value);
    return Telnet.subnegotiation(body.array());
  }

  static byte[] purge() {
    return command(PURGE_DATA, (byte) PURGE_BOTH);
  }

  static Setting speed(int baud) {
    return new Setting(
        SET_BAUDRATE,
        ByteBuffer.allocate(Integer.BYTES).putInt(baud).array(),
        "%d baud".formatted(baud));
  }

  /** Returns what sets the characters; a server must confirm each. */
  static List<Setting> line(SerialSettings settings) {
    return List.of(
        speed(settings.baud()),
        setting(SET_DATASIZE, settings.dataBits(), settings.dataBits() + " data bits"),
        setting(SET_PARITY, parity(settings.parity()), "parity " + settings.parity().letter()),
        setting(SET_STOPSIZE, stop(settings.stopBits()), settings.stopBits() + " stop bits"));
  }

  /** Returns what sets flow control and control lines; not all servers confirm it. */
  static List<Setting> control(SerialSettings settings, ControlLines lines) {
    String words = "flow control " + settings.flow().word();
    List<Setting> all = new ArrayList<>();
    switch (settings.flow()) {
      case NONE -> all.add(setting(SET_CONTROL, 1, words));
      case XON_XOFF -> all.add(setting(SET_CONTROL, 2, words));
      case RTS_CTS -> all.add(setting(SET_CONTROL, 3, words));
      case DTR_DSR -> {
        all.add(setting(SET_CONTROL, 19, words + " outbound"));
        all.add(setting(SET_CONTROL, 18, words + " inbound"));
      }
    }
    all.add(
        lines.dtr()
            ? setting(SET_CONTROL, DTR_ON, "DTR on")
            : setting(SET_CONTROL, DTR_OFF, "DTR off"));
    if (settings.flow() != SerialSettings.FlowControl.RTS_CTS) { // else RTS is the server's
      all.add(
          lines.rts()
              ? setting(SET_CONTROL, RTS_ON, "RTS on")
              : setting(SET_CONTROL, RTS_OFF, "RTS off"));
    }
    return all;
  }

  private static Setting setting(int command, int value, String words) {
    return new Setting(command, new byte[] {(byte) value}, words);
  }

  private static int parity(SerialSettings.Parity parity) {
    return switch (parity) {
      case NONE -> 1;
      case ODD -> 2;
      case EVEN -> 3;
      case MARK -> 4;
      case SPACE -> 5;
    };
  }

  private static int stop(SerialSettings.StopBits stopBits) {
    return switch (stopBits) {
      case ONE -> 1;
      case TWO -> 2;
      case ONE_AND_A_HALF -> 3;
    };
  }
}
