/** Rules against a driver, and a link, a host and a clock that do as they are told. */
@NullMarked
package org.tallywire.kit;

import org.jspecify.annotations.NullMarked;
