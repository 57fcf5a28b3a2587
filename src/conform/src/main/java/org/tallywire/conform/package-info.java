/** The rules of the line protocol against any instrument and any bridge: plays the other side. */
@NullMarked
package org.tallywire.conform;

import org.jspecify.annotations.NullMarked;
