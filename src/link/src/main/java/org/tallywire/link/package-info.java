/**
 * Opens serial ports, also of servers on the network, TCP connections, programs and recordings as
 * links; jSerialComm appears nowhere else.
 */
@NullMarked
package org.tallywire.link;

import org.jspecify.annotations.NullMarked;
