/*
 * Lines of the Tallywire line protocol: cutting them out of a stream of bytes,
 * reading their fields, building them. No malloc, no stdio, fixed buffers.
 * Rules (L-1, L-7a ...) are those of shared/protocol.md.
 */
#ifndef LINE_H
#define LINE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define LINE_LONGEST 240 /* L-6a: start mark and check value included */

/* Receives bytes. All zero is a good beginning. */
typedef struct {
  char bytes[LINE_LONGEST + 2]; /* the end of what came since the last terminator */
  uint16_t length;
  bool spoilt;        /* there was more before that */
  uint32_t discarded; /* L-8b: terminators that ended no undamaged line */
} line_reader;

/* Builds one line. A line that would get too long is never sent in part. */
typedef struct {
  char bytes[LINE_LONGEST + 1]; /* room for the LF */
  uint16_t length;
  bool too_long;
} line_writer;

/* CRC-16/IBM-3740 (L-5a) and CRC-32C (L-33a). */
uint16_t line_check(const char *bytes, size_t count);
uint32_t line_digest(const char *bytes, size_t count);

/*
 * Takes one byte. Where it ends an undamaged line of a bridge, gives that line
 * without '*' and check value; it is good until the next call.
 */
const char *line_take(line_reader *reader, uint8_t byte);

/* False for a syntax fault: against the grammar, or a key twice (L-9b, L-10). */
bool line_well_formed(const char *line);

bool line_is(const char *line, const char *kind);

/* The unescaped value of a key that stands once; false if not so, or no room. */
bool line_field(const char *line, const char *key, char *value, size_t room);

/* The same for a whole number: no sign, no leading zero, at most 18 digits. */
bool line_number(const char *line, const char *key, uint64_t *number);

/* Any text as a whole number, by the same rule. */
bool line_digits(const char *text, size_t count, uint64_t *number);

void line_begin(line_writer *writer, const char *mark_and_kind);
void line_put_text(line_writer *writer, const char *key, const char *text);
void line_put_number(line_writer *writer, const char *key, uint32_t number);
void line_put_decimal(line_writer *writer, const char *key, int32_t number, uint8_t decimals);
void line_put_digest(line_writer *writer);

/* Adds check value and LF; false if the line is too long to be sent. */
bool line_end(line_writer *writer);

#endif
