package org.tallywire.conform;

import java.time.Duration;

/**
 * How an instrument is examined.
 *
 * @param baud bits per second, 0 over TCP
 * @param readings how many readings to wait for, 1 to 64
 * @param patience how long to wait for them, and for a restart
 * @param restart whether to ask the person to switch the instrument off and on
 * @param seed decides the garbage
 */
public record InstrumentOptions(
    int baud, int readings, Duration patience, boolean restart, long seed) {}
