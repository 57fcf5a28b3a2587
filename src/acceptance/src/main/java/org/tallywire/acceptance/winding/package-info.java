/** Connections of windings: what their terminals read, and which connection some readings fit. */
@NullMarked
package org.tallywire.acceptance.winding;

import org.jspecify.annotations.NullMarked;
