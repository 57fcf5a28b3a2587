/** Seals exported records and says whether a sealed file was changed. */
@NullMarked
package org.tallywire.report;

import org.jspecify.annotations.NullMarked;
