/** The driver of the Tallywire line protocol, written from {@code shared/protocol.md}. */
@NullMarked
package org.tallywire.line;

import org.jspecify.annotations.NullMarked;
