package org.tallywire.conform;

import org.tallywire.api.Link;
import org.tallywire.api.LinkException;

/** Opens the link to the side under test; each call opens it anew. */
@FunctionalInterface
public interface Opener {

  /** Opens the link. */
  Link open() throws LinkException;
}
