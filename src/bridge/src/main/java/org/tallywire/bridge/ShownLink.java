package org.tallywire.bridge;

import java.time.Duration;
import java.util.Arrays;
import org.tallywire.api.Link;
import org.tallywire.api.LinkException;

/** A link whose bytes are shown; closing it is left to whoever opened the other one. */
final class ShownLink implements Link {

  private final Link link;
  private final TryView view;

  ShownLink(Link link, TryView view) {
    this.link = link;
    this.view = view;
  }

  @Override
  public void settle() throws LinkException {
    link.settle();
  }

  @Override
  public int read(byte[] buffer, Duration wait) throws LinkException {
    int count = link.read(buffer, wait);
    if (count > 0) {
      view.bytes('<', Arrays.copyOf(buffer, count));
    }
    return count;
  }

  @Override
  public void write(byte[] bytes) throws LinkException {
    link.write(bytes);
    view.bytes('>', bytes);
  }

  @Override
  public void speed(int baud) throws LinkException {
    link.speed(baud);
  }

  @Override
  public void close() {
    link.close();
  }
}
