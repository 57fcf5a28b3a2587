package org.tallywire.link;

import com.fazecast.jSerialComm.SerialPort;
import java.io.File;
import java.util.Optional;
import org.tallywire.api.LinkAddress;
import org.tallywire.api.SerialSettings;
import org.tallywire.api.SerialSettings.FlowControl;
import org.tallywire.api.SerialSettings.StopBits;

/** A line's settings in the serial library's words, and those which it would leave out silently. */
final class SerialParameters {

  private static final boolean POSIX = File.separatorChar == '/';
  private static final int FEWEST_BITS = 5;

  private SerialParameters() {}

  /** Says which settings a port here cannot have, and what to write instead. */
  static Optional<String> objection(LinkAddress.Serial address) {
    SerialSettings settings = address.settings();
    if (POSIX && settings.flow() == FlowControl.DTR_DSR) {
      return Optional.of(
          "this system has no flow control by DTR and DSR; use a cable that leads the instrument's"
              + " lines to RTS and CTS, and write rts-cts");
    }
    boolean raised =
        (settings.flow() != FlowControl.RTS_CTS || address.lines().rts())
            && (settings.flow() != FlowControl.DTR_DSR || address.lines().dtr());
    if (!raised) {
      return Optional.of(
          "flow control %s moves a line that is to be kept low; set the line on, or flow to none"
              .formatted(settings.flow().word()));
    }
    boolean five = settings.dataBits() == FEWEST_BITS;
    if (settings.stopBits() == StopBits.ONE_AND_A_HALF && !five) {
      return Optional.of(
          "1.5 stop bits go with 5 data bits only; write 2: who wants 1.5 takes 2 as well");
    }
    if (settings.stopBits() == StopBits.TWO && five) {
      return Optional.of("with 5 data bits a port sends 1.5 stop bits, not 2; write 1.5");
    }
    return Optional.empty();
  }

  /** Sets them at a port that is not open yet; returns whether the library knows them. */
  static boolean set(SerialPort port, SerialSettings settings) {
    boolean known =
        port.setComPortParameters(
            settings.baud(),
            settings.dataBits(),
            stopBits(settings.stopBits()),
            parity(settings.parity()));
    boolean flowKnown = port.setFlowControl(flow(settings.flow()));
    return known && flowKnown;
  }

  private static int parity(SerialSettings.Parity parity) {
    return switch (parity) {
      case NONE -> SerialPort.NO_PARITY;
      case EVEN -> SerialPort.EVEN_PARITY;
      case ODD -> SerialPort.ODD_PARITY;
      case MARK -> SerialPort.MARK_PARITY;
      case SPACE -> SerialPort.SPACE_PARITY;
    };
  }

  /**
   * On POSIX the library makes one stop bit of its "1.5"; there the flag for two means 1.5 where
   * there are five data bits (16550 data sheet), and is only allowed for that, see {@link
   * #objection}.
   */
  private static int stopBits(StopBits stopBits) {
    return switch (stopBits) {
      case ONE -> SerialPort.ONE_STOP_BIT;
      case ONE_AND_A_HALF -> POSIX ? SerialPort.TWO_STOP_BITS : SerialPort.ONE_POINT_FIVE_STOP_BITS;
      case TWO -> SerialPort.TWO_STOP_BITS;
    };
  }

  private static int flow(FlowControl flow) {
    return switch (flow) {
      case NONE -> SerialPort.FLOW_CONTROL_DISABLED;
      case RTS_CTS -> SerialPort.FLOW_CONTROL_RTS_ENABLED | SerialPort.FLOW_CONTROL_CTS_ENABLED;
      case DTR_DSR -> SerialPort.FLOW_CONTROL_DTR_ENABLED | SerialPort.FLOW_CONTROL_DSR_ENABLED;
      case XON_XOFF ->
          SerialPort.FLOW_CONTROL_XONXOFF_IN_ENABLED | SerialPort.FLOW_CONTROL_XONXOFF_OUT_ENABLED;
    };
  }
}
