/**
 * Drivers that are a file: how a meter talks, written in YAML or JSON, without code. The rules
 * DRV-1 and on, in {@link org.tallywire.declared.DeclaredDriver}, say what a file means.
 */
@NullMarked
package org.tallywire.declared;

import org.jspecify.annotations.NullMarked;
