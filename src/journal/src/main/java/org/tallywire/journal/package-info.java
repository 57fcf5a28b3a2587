/**
 * Keeps every record durably and in order, and remembers how far each follower has read. SQLite
 * appears in no public signature.
 */
@NullMarked
package org.tallywire.journal;

import org.jspecify.annotations.NullMarked;
