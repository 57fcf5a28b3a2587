/** Uncertainty of a figure and what it leaves of a limit: the GUM, JCGM 106 and ILAC-G8. */
@NullMarked
package org.tallywire.acceptance.uncertainty;

import org.jspecify.annotations.NullMarked;
