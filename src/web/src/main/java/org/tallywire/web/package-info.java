/** The live page: what the journal holds and what the stations are doing, in a browser. */
@NullMarked
package org.tallywire.web;

import org.jspecify.annotations.NullMarked;
