/** Opens serial ports and TCP connections as links; jSerialComm appears nowhere else. */
@NullMarked
package org.tallywire.link;

import org.jspecify.annotations.NullMarked;
