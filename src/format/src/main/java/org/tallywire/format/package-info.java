/** Records to and from JSON; nameplates, criteria and other files people write, from YAML. */
@NullMarked
package org.tallywire.format;

import org.jspecify.annotations.NullMarked;
