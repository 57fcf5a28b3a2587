package org.tallywire.simulator.face;

import java.util.ArrayDeque;
import java.util.Deque;
import java.util.Optional;

/**
 * The status registers and the error queue: IEEE 488.2 chapter 11, SCPI-1999 volume 1 chapter 9
 * (from memory).
 */
final class ScpiStatus {

  /** Bits of the standard event status register. */
  static final int OPERATION_COMPLETE = 1;

  static final int QUERY_ERROR = 4;
  static final int DEVICE_ERROR = 8;
  static final int EXECUTION_ERROR = 16;
  static final int COMMAND_ERROR = 32;
  static final int POWER_ON = 128;

  /** Bits of the status byte. */
  static final int ERRORS = 4;

  static final int QUESTIONABLE = 8;
  static final int MESSAGE = 16;
  static final int EVENT = 32;
  static final int MASTER = 64;
  static final int OPERATION = 128;

  /** Errors that the queue holds; the last place is for {@code -350}. */
  static final int MOST_ERRORS = 16;

  private final Deque<ScpiError> errors = new ArrayDeque<>();
  private final Group operation = new Group();
  private final Group questionable = new Group();
  private int events;
  private int eventEnable;
  private int serviceEnable;

  /** A status structure that passes events on as the condition's bit goes from 0 to 1. */
  static final class Group {

    /** Bit 15 is always 0, so that every answer is a number from 0 (SCPI-1999, 9.1). */
    static final int ALL = 0x7FFF;

    private int condition;
    private int event;
    private int enable;

    int condition() {
      return condition;
    }

    /** Returns the event register and clears it. */
    int takeEvent() {
      int taken = event;
      event = 0;
      return taken;
    }

    int enable() {
      return enable;
    }

    void enable(int mask) {
      enable = mask & ALL;
    }

    /** Sets or clears a bit of the condition register. */
    void condition(int bit, boolean on) {
      int before = condition;
      condition = on ? before | bit : before & ~bit;
      event |= condition & ~before;
    }

    private boolean summary() {
      return (event & enable) != 0;
    }
  }

  Group operation() {
    return operation;
  }

  Group questionable() {
    return questionable;
  }

  void powerOn() {
    events |= POWER_ON;
  }

  void operationComplete() {
    events |= OPERATION_COMPLETE;
  }

  /** Queues an error and sets its event bit; a full queue keeps its oldest (SCPI-1999, 21.8.1). */
  void report(ScpiError error) {
    events |= error.event();
    if (errors.size() < MOST_ERRORS) {
      errors.add(error);
    } else {
      errors.removeLast();
      errors.add(ScpiError.QUEUE_OVERFLOW);
      events |= ScpiError.QUEUE_OVERFLOW.event();
    }
  }

  /** Returns the oldest error and takes it out. */
  Optional<ScpiError> takeError() {
    return Optional.ofNullable(errors.poll());
  }

  int errorCount() {
    return errors.size();
  }

  /** Returns the standard event status register and clears it. */
  int takeEvents() {
    int taken = events;
    events = 0;
    return taken;
  }

  int eventEnable() {
    return eventEnable;
  }

  void eventEnable(int mask) {
    eventEnable = mask;
  }

  int serviceEnable() {
    return serviceEnable;
  }

  /** Bit 6 cannot be set: it is the summary of the others. */
  void serviceEnable(int mask) {
    serviceEnable = mask & ~MASTER;
  }

  /** Returns the status byte as {@code *STB?} answers it. */
  int statusByte(boolean messageAvailable) {
    int summary =
        (errors.isEmpty() ? 0 : ERRORS)
            | (questionable.summary() ? QUESTIONABLE : 0)
            | (messageAvailable ? MESSAGE : 0)
            | ((events & eventEnable) != 0 ? EVENT : 0)
            | (operation.summary() ? OPERATION : 0);
    return (summary & serviceEnable) != 0 ? summary | MASTER : summary;
  }

  /** Clears events and errors, not what enables them ({@code *CLS}). */
  void clear() {
    events = 0;
    operation.takeEvent();
    questionable.takeEvent();
    errors.clear();
  }

  /** Clears what enables the SCPI registers ({@code STATus:PRESet}). */
  void preset() {
    operation.enable(0);
    questionable.enable(0);
  }
}
