/**
 * Sends what the journal holds to an MQTT broker and remembers what the broker has acknowledged.
 * The MQTT library appears in no public signature.
 */
@NullMarked
package org.tallywire.publish;

import org.jspecify.annotations.NullMarked;
