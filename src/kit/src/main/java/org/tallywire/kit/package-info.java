/**
 * Rules against a driver; a link, a host and a clock that do as they are told; and sentences of a
 * grammar.
 */
@NullMarked
package org.tallywire.kit;

import org.jspecify.annotations.NullMarked;
