#include "instrument.h"

#include <string.h>

#define SILENCE_MS (BEAT_MS * 5ul / 2 + LINE_TIME_MS) /* L-28c */
#define REPEAT_MS (BEAT_MS * 3ul)                     /* L-24b */
#define BEAT_DUE_MS (BEAT_MS * 3ul / 4)               /* L-28a: early, so that it is never late */

static const char *const STATUS[] = {"ok", "not-settled", "suspect", "aborted"};
static const char *const VALUE[] = {
    "", "", "over-range", "under-range", "open", "invalid", "aborted"};

/* ---- lines out ---- */

static bool say(instrument *in) {
  if (!line_end(&in->writer)) return false;
  in->setup->put_bytes(in->writer.bytes, in->writer.length);
  in->said_at = in->setup->millis();
  return true;
}

static void begin_answer(instrument *in, const char *kind, const char *req) {
  line_begin(&in->writer, kind);
  line_put_text(&in->writer, "req", req); /* L-16a */
}

static void begin_own(instrument *in, const char *kind) {
  line_begin(&in->writer, kind);
  line_put_text(&in->writer, "boot", in->setup->boot);
}

static void answer_error(instrument *in, const char *req, uint32_t code, const char *text) {
  begin_answer(in, "<error", req);
  line_put_number(&in->writer, "code", code);
  line_put_text(&in->writer, "text", text);
  say(in);
}

static void build_hello(instrument *in, const char *req) {
  begin_answer(in, "<hello", req);
  line_put_text(&in->writer, "version", "1.1");
  line_put_text(&in->writer, "maker", in->setup->maker);
  line_put_text(&in->writer, "model", in->setup->model);
  line_put_text(&in->writer, "serial", in->setup->serial);
  line_put_text(&in->writer, "firmware", in->setup->firmware);
  line_put_text(&in->writer, "boot", in->setup->boot);
  line_put_number(&in->writer, "line", LINE_LONGEST);
  line_put_number(&in->writer, "store", STORE_SIZE);
  line_put_number(&in->writer, "beat", BEAT_MS);
#if WITH_CLOCK && WITH_DIGEST
  line_put_text(&in->writer, "can", "clock,digest");
#elif WITH_CLOCK
  line_put_text(&in->writer, "can", "clock");
#elif WITH_DIGEST
  line_put_text(&in->writer, "can", "digest");
#endif
}

static void build_channel(instrument *in, const char *req, uint8_t index) {
  const instrument_channel *channel = &in->setup->channels[index];
  begin_answer(in, "<channel", req);
  line_put_number(&in->writer, "n", index + 1u);
  line_put_number(&in->writer, "of", in->setup->channel_count);
  line_put_number(&in->writer, "ch", channel->number);
  line_put_text(&in->writer, "quantity", channel->quantity);
  line_put_text(&in->writer, "unit", channel->unit);
  if (channel->resolution != NULL) line_put_text(&in->writer, "resolution", channel->resolution);
  if (channel->min != NULL) line_put_text(&in->writer, "min", channel->min);
  if (channel->max != NULL) line_put_text(&in->writer, "max", channel->max);
}

static void build_reading(instrument *in, const instrument_reading *r, uint32_t seq, bool resent) {
  begin_own(in, "!reading");
  line_put_number(&in->writer, "seq", seq);
#if WITH_CLOCK
  line_put_text(&in->writer, "at", r->at);
  line_put_text(&in->writer, "clock", "free");
#else
  line_put_text(&in->writer, "clock", "none");
#endif
  line_put_text(&in->writer, "status", STATUS[r->status]);
  if (r->test != NULL) line_put_text(&in->writer, "test", r->test);
  if (r->windings != NULL) line_put_text(&in->writer, "windings", r->windings);
  if (r->phase != NULL) line_put_text(&in->writer, "phase", r->phase);
  if (r->tap != 0) line_put_number(&in->writer, "tap", r->tap);
  for (uint8_t i = 0; i < in->setup->channel_count; i++) {
    const instrument_value *value = &r->values[i];
    uint8_t ch = in->setup->channels[i].number;
    char key[4] = {'v', (char)('0' + ch / 10), (char)('0' + ch % 10), '\0'};
    if (ch < 10) key[1] = key[2], key[2] = '\0';
    if (value->sort == VALUE_NUMBER) {
      line_put_decimal(&in->writer, key, value->number, value->decimals);
    } else if (value->sort != VALUE_LEFT_OUT) {
      line_put_text(&in->writer, key, VALUE[value->sort]); /* L-22b */
    }
  }
#if WITH_DIGEST
  line_put_digest(&in->writer); /* L-33: last but for resent */
#endif
  if (resent) line_put_text(&in->writer, "resent", "1"); /* L-24c */
}

/* ---- the store and what is under way ---- */

/* Back to the oldest reading beyond this number that is not acknowledged. */
static void go_back(instrument *in, uint32_t after) {
  in->next = (after > in->acknowledged ? after : in->acknowledged) + 1;
  in->under_way = 0;
  in->moved_at = in->setup->millis();
}

/* Sends reading `next`, or !lost in place of it and all others dropped (L-26b). */
static void send_next(instrument *in) {
  uint32_t end = in->next;
  if (in->next < in->oldest) {
    end = in->oldest - 1;
    begin_own(in, "!lost");
    line_put_number(&in->writer, "from", in->next);
    line_put_number(&in->writer, "to", end);
#if WITH_DIGEST
    line_put_digest(&in->writer); /* L-33a */
#endif
  } else {
    instrument_reading *r = &in->store[end % STORE_SIZE];
    build_reading(in, r, end, r->sent);
    r->sent = true;
  }
  say(in);
  in->ends[in->under_way++] = end;
  if (end > in->sent) in->sent = end;
  in->next = end + 1;
  in->moved_at = in->said_at;
}

bool instrument_store(instrument *in, const instrument_reading *reading) {
  instrument_reading r = *reading;
  bool any = false;
  for (uint8_t i = 0; i < in->setup->channel_count; i++) any |= r.values[i].sort != VALUE_LEFT_OUT;
#if WITH_CLOCK
  in->setup->time_of_day(r.at);
#endif
  r.sent = false;
  build_reading(in, &r, in->last + 1, true); /* as long as it will ever be */
  if (!any || in->writer.too_long) return false; /* L-22c, L-6a */
  if (in->last < in->oldest) in->moved_at = in->setup->millis(); /* the first one held, L-24b */
  if (in->last + 1 - in->oldest == STORE_SIZE) in->oldest++;     /* L-26a */
  in->last++;
  in->store[in->last % STORE_SIZE] = r;
  return true;
}

/* ---- lines in ---- */

static void end_session(instrument *in) { in->session = in->sending = false; }

static void on_hello(instrument *in, const char *line, const char *req) {
  char version[38]; /* two numbers of 18 digits */
  uint64_t major, minor;
  end_session(in); /* L-18, L-37 */
  bool stated = line_field(line, "version", version, sizeof version);
  const char *dot = stated ? strchr(version, '.') : NULL;
  if (dot == NULL || !line_digits(version, (size_t)(dot - version), &major) ||
      !line_digits(dot + 1, strlen(dot + 1), &minor)) {
    answer_error(in, req, 202, "version");
  } else if (major != 1) {
    answer_error(in, req, 301, "version 1 only"); /* L-12c */
  } else {
    build_hello(in, req);
    in->session = say(in);
  }
}

static void on_send(instrument *in, const char *line, const char *req) {
  char boot[33];
  uint64_t after, credit;
  if (!line_field(line, "boot", boot, sizeof boot) || !line_number(line, "after", &after) ||
      !line_number(line, "credit", &credit) || credit < 1 || credit > CREDIT_MOST) {
    answer_error(in, req, 202, "boot, after or credit");
  } else if (strcmp(boot, in->setup->boot) != 0) {
    answer_error(in, req, 302, "other boot id");
  } else if (!in->session) {
    answer_error(in, req, 302, "hello first"); /* L-28c: nothing before the next >hello */
  } else if (after > in->last) {
    answer_error(in, req, 202, "after is beyond the last"); /* L-19c */
  } else {
    uint16_t check = line_check(line, strlen(line));
    bool again = in->sending && strcmp(req, in->send_req) == 0 && check == in->send_check;
    strcpy(in->send_req, req);
    in->send_check = check;
    in->credit = (uint8_t)credit;
    in->sending = true;
    go_back(in, (uint32_t)after);     /* L-24b: what was asked for */
    if (!again) in->first = in->next; /* L-16d: asked again, the same answer */
    begin_answer(in, "<ok", req);
    line_put_number(&in->writer, "first", in->first);
    line_put_number(&in->writer, "last", in->last);
    say(in);
  }
}

static void on_ack(instrument *in, const char *line) {
  char boot[33];
  uint64_t seq, credit;
  if (!line_field(line, "boot", boot, sizeof boot) || strcmp(boot, in->setup->boot) != 0 ||
      !line_number(line, "seq", &seq) || seq > in->sent ||
      !line_number(line, "credit", &credit) || credit < 1 || credit > CREDIT_MOST) {
    return; /* L-23d */
  }
  if (seq > in->acknowledged) in->acknowledged = (uint32_t)seq; /* L-23a */
  if (in->oldest <= in->acknowledged) in->oldest = in->acknowledged + 1;
  if (in->next <= in->acknowledged) in->next = in->acknowledged + 1;
  uint8_t done = 0;
  while (done < in->under_way && in->ends[done] <= in->acknowledged) done++;
  in->under_way = (uint8_t)(in->under_way - done);
  memmove(in->ends, in->ends + done, in->under_way * sizeof in->ends[0]);
  in->credit = (uint8_t)credit; /* L-23c */
  in->moved_at = in->setup->millis();
}

static void on_channels(instrument *in, const char *req) {
  for (uint8_t i = 0; i < in->setup->channel_count; i++) {
    build_channel(in, req, i);
    say(in);
  }
}

#if WITH_CLOCK
static void on_clock(instrument *in, const char *req) {
  char at[TIME_ROOM];
  in->setup->time_of_day(at);
  begin_answer(in, "<clock", req);
  line_put_text(&in->writer, "clock", "free");
  line_put_text(&in->writer, "at", at);
  say(in);
}
#endif

/* L-16a: 1 to 9 digits; they are repeated as they came. */
static bool read_req(const char *line, char req[10]) {
  if (!line_field(line, "req", req, 10)) return false;
  return req[0] != '\0' && req[strspn(req, "0123456789")] == '\0';
}

static void on_line(instrument *in, const char *line) {
  char req[10];
  bool well_formed = line_well_formed(line);
  in->heard_at = in->setup->millis(); /* L-28b */
  if (line_is(line, "ack") || line_is(line, "beat")) { /* L-16b: no answer, whatever is in it */
    if (well_formed && line_is(line, "ack")) on_ack(in, line);
  } else if (!read_req(line, req)) {
    return; /* L-30c */
  } else if (!well_formed) {
    answer_error(in, req, 101, "syntax"); /* L-10c */
  } else if (line_is(line, "hello")) {
    on_hello(in, line, req);
  } else if (line_is(line, "channels")) {
    on_channels(in, req);
  } else if (line_is(line, "send")) {
    on_send(in, line, req);
#if WITH_CLOCK
  } else if (line_is(line, "clock")) {
    on_clock(in, req);
#endif
  } else {
    answer_error(in, req, 201, "unknown request"); /* L-30b */
  }
}

/* ---- called by the firmware ---- */

bool instrument_start(instrument *in, const instrument_setup *setup) {
  memset(in, 0, sizeof *in);
  in->setup = setup;
  in->oldest = in->next = 1;
  build_hello(in, "999999999");
  bool fits = !in->writer.too_long && setup->channel_count >= 1 && setup->channel_count <= CHANNELS;
  for (uint8_t i = 0; fits && i < setup->channel_count; i++) {
    build_channel(in, "999999999", i);
    fits = !in->writer.too_long;
  }
  return fits;
}

void instrument_announce(instrument *in) {
  begin_own(in, "!start");
  say(in);
}

void instrument_receive(instrument *in, const uint8_t *bytes, size_t count) {
  for (size_t i = 0; i < count; i++) {
    const char *line = line_take(&in->reader, bytes[i]);
    if (line != NULL) on_line(in, line);
  }
}

bool instrument_poll(instrument *in) {
  uint32_t now = in->setup->millis();
  if (in->session && (uint32_t)(now - in->heard_at) > SILENCE_MS) end_session(in); /* L-28c */
  if (!in->session) return false;
  if (in->sending) {
    if (in->oldest <= in->last && (uint32_t)(now - in->moved_at) >= REPEAT_MS) {
      go_back(in, 0); /* L-24b: whatever is held */
    }
    if (in->under_way < in->credit && in->next <= in->last) {
      send_next(in);
      return true;
    }
  }
  if ((uint32_t)(now - in->said_at) < BEAT_DUE_MS) return false;
  begin_own(in, "!beat");
  line_put_number(&in->writer, "last", in->last);
  line_put_number(&in->writer, "held", in->last + 1 - in->oldest);
  line_put_number(&in->writer, "damaged", in->reader.discarded);
  say(in);
  return true;
}

void instrument_line_lost(instrument *in) {
  end_session(in);
  in->reader.length = 0;
  in->reader.spoilt = false;
}
