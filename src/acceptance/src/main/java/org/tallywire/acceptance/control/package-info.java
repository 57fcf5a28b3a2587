/** Control charts: whether a series of figures stays where its own history lies. */
@NullMarked
package org.tallywire.acceptance.control;

import org.jspecify.annotations.NullMarked;
