/** Insulation resistance and short-circuit impedance. */
@NullMarked
package org.tallywire.acceptance.related;

import org.jspecify.annotations.NullMarked;
