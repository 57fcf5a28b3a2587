/** The life of a test set as records, and the rules of booking. */
@NullMarked
package org.tallywire.testset;

import org.jspecify.annotations.NullMarked;
