/** The whole, built, started and closed in order; the command {@code tallywire}. */
@NullMarked
package org.tallywire.bridge;

import org.jspecify.annotations.NullMarked;
