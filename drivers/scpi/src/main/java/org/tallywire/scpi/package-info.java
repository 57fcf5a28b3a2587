/**
 * Instruments that answer queries of IEEE 488.2 and SCPI; begin with {@link ScpiSession}. What is
 * said of the two standards here is from memory.
 */
@NullMarked
package org.tallywire.scpi;

import org.jspecify.annotations.NullMarked;
