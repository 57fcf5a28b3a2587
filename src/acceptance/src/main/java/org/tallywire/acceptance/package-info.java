/** Judges readings against a nameplate and a table of criteria: pure computation. */
@NullMarked
package org.tallywire.acceptance;

import org.jspecify.annotations.NullMarked;
