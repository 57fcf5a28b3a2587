/**
 * The types everybody shares and the plug-in interface of instrument drivers; imports nothing of
 * ours.
 */
@NullMarked
package org.tallywire.api;

import org.jspecify.annotations.NullMarked;
