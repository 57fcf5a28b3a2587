/*
 * An instrument of the Tallywire line protocol 1.1, without its hardware.
 * The hardware is reached through three functions; nothing here blocks, and
 * nothing here starts a measurement or switches an output (L-36).
 */
#ifndef INSTRUMENT_H
#define INSTRUMENT_H

#include "line.h"

#ifndef STORE_SIZE
#define STORE_SIZE 100 /* readings held */
#endif
#ifndef CHANNELS
#define CHANNELS 4 /* values in a reading, at most */
#endif
#ifndef BEAT_MS
#define BEAT_MS 2000 /* 100 to 600000 */
#endif
#ifndef LINE_TIME_MS
#define LINE_TIME_MS 250 /* 240 bytes: 2400000 / baud */
#endif
#ifndef WITH_CLOCK
#define WITH_CLOCK 1 /* optional part: >clock, and `at` in readings */
#endif
#ifndef WITH_DIGEST
#define WITH_DIGEST 1 /* optional part: digest of readings */
#endif

#define CREDIT_MOST 64 /* L-19a */
#define TIME_ROOM 25   /* 2026-11-25T09:00:01.250Z */

typedef struct {
  uint8_t number; /* 1 to 99 */
  const char *quantity, *unit;
  const char *resolution, *min, *max; /* decimals, or NULL */
} instrument_channel;

/* What the firmware gives. Everything in it must stay as it is (L-17c). */
typedef struct {
  const char *maker, *model, *serial, *firmware; /* UTF-8, 64 characters at most (L-31a) */
  const char *boot; /* new at each start, never the same again (L-14) */
  const instrument_channel *channels;
  uint8_t channel_count; /* 1 to CHANNELS */
  uint32_t (*millis)(void); /* counts up, may overflow */
  void (*put_bytes)(const char *bytes, size_t count);
  void (*time_of_day)(char text[TIME_ROOM]); /* UTC, as above; unused without WITH_CLOCK */
} instrument_setup;

typedef enum {
  VALUE_LEFT_OUT, VALUE_NUMBER, VALUE_OVER_RANGE, VALUE_UNDER_RANGE,
  VALUE_OPEN, VALUE_INVALID, VALUE_ABORTED
} value_sort;

typedef enum { STATUS_OK, STATUS_NOT_SETTLED, STATUS_SUSPECT, STATUS_ABORTED } reading_status;

/* 46.2039 is number 462039 with 4 decimals: its digits are the resolution (L-22a). */
typedef struct {
  int32_t number;
  uint8_t decimals; /* 0 to 9 */
  uint8_t sort;     /* value_sort */
} instrument_value;

typedef struct {
  const char *test, *windings, *phase; /* constants, or NULL where they do not apply */
  uint8_t tap;                         /* 0: does not apply */
  uint8_t status;                      /* reading_status */
  bool sent;                           /* at least once (L-24c); set when it is stored */
#if WITH_CLOCK
  char at[TIME_ROOM]; /* set when it is stored */
#endif
  instrument_value values[CHANNELS]; /* in the order of the channels */
} instrument_reading;

typedef struct {
  const instrument_setup *setup;
  line_reader reader;
  line_writer writer;
  instrument_reading store[STORE_SIZE]; /* reading n is at n % STORE_SIZE */
  uint32_t last;                        /* last number given */
  uint32_t oldest;                      /* oldest reading held; last + 1 if none is */
  uint32_t acknowledged;                /* up to here on the bridge's disk */
  uint32_t sent;                        /* highest number ever sent */
  bool session;                         /* hello answered, and the bridge not silent */
  bool sending;                         /* >send answered in this session */
  char send_req[10];                    /* that request, and its check value: */
  uint16_t send_check;                  /* to know it when it is repeated (L-16d) */
  uint32_t first, next;                 /* its answer, the number to send next */
  uint8_t credit, under_way;
  uint32_t ends[CREDIT_MOST];           /* last number of each line under way */
  uint32_t heard_at, said_at, moved_at; /* line in, line out, reading or ack or turn (L-24b) */
} instrument;

/* False if a hello or channel line of this setup is too long. Sends nothing. */
bool instrument_start(instrument *in, const instrument_setup *setup);

/* Says !start. Once, when there is a line (L-15a). */
void instrument_announce(instrument *in);

/* Numbers and stores a reading; false if it has no value or its line is too long. */
bool instrument_store(instrument *in, const instrument_reading *reading);

/* Takes bytes that came. */
void instrument_receive(instrument *in, const uint8_t *bytes, size_t count);

/* Sends one line if one is due; call it often, and again while it gives true. */
bool instrument_poll(instrument *in);

/* Where the platform can tell: the line is gone, and what was half received. */
void instrument_line_lost(instrument *in);

#endif
