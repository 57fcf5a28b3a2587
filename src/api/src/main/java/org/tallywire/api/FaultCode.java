package org.tallywire.api;

import java.util.Locale;

/** Stable names for what can go wrong on a link or in what it carries. */
public enum FaultCode {
  /** There is no such port or host. */
  LINK_NOT_FOUND(Category.LINK),
  /** This account may not open it. */
  LINK_FORBIDDEN(Category.LINK),
  /** Somebody else has it open. */
  LINK_BUSY(Category.LINK),
  /** The other side refused the connection. */
  LINK_REFUSED(Category.LINK),
  /** It was open and is gone: unplugged, reset, closed by the other side. */
  LINK_LOST(Category.LINK),
  /** It is open but nothing, or nothing sensible, comes within the agreed time. */
  LINK_SILENT(Category.LINK),

  /** A frame was longer than its limit and was discarded up to the next terminator. */
  FRAME_TOO_LONG(Category.PROTOCOL),
  /** Bytes that cannot be part of any frame. */
  FRAME_NOISE(Category.PROTOCOL),
  /** The check value does not match the bytes. */
  FRAME_CHECK(Category.PROTOCOL),
  /** The check value matches, yet the content is not of the grammar. */
  FRAME_SYNTAX(Category.PROTOCOL),
  /** The other side speaks a version we refuse. */
  VERSION_REFUSED(Category.PROTOCOL),
  /** The other side contradicts itself, so that what it sends may not mean what it seems to. */
  CONTRADICTION(Category.PROTOCOL),
  /** A frame that has no business at this point of the conversation. */
  OUT_OF_ORDER(Category.PROTOCOL),
  /** The instrument answered with an error. */
  INSTRUMENT_ERROR(Category.PROTOCOL);

  private final Category category;

  FaultCode(Category category) {
    this.category = category;
  }

  /** Returns who has to act and what happens next. */
  public Category category() {
    return category;
  }

  /** Returns the word for it in records and log lines, for example {@code frame-check}. */
  public String word() {
    return name().toLowerCase(Locale.ROOT).replace('_', '-');
  }

  /** The two kinds of trouble between an instrument and us. */
  public enum Category {
    /** The link is closed and opened again with a growing pause, for ever. */
    LINK,
    /** No reading; counted, the raw bytes kept, in step again at the next frame. */
    PROTOCOL
  }
}
