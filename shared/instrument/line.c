#include "line.h"

#include <string.h>

static const char DIGITS[] = "0123456789ABCDEF";

uint16_t line_check(const char *bytes, size_t count) {
  uint16_t check = 0xFFFF;
  for (size_t i = 0; i < count; i++) {
    check = (uint16_t)(check ^ ((uint16_t)(uint8_t)bytes[i] << 8));
    for (int bit = 0; bit < 8; bit++) {
      check = (uint16_t)((check & 0x8000) ? ((uint32_t)check << 1) ^ 0x1021 : (uint32_t)check << 1);
    }
  }
  return check;
}

uint32_t line_digest(const char *bytes, size_t count) {
  uint32_t digest = 0xFFFFFFFF;
  for (size_t i = 0; i < count; i++) {
    digest ^= (uint8_t)bytes[i];
    for (int bit = 0; bit < 8; bit++) {
      digest = (digest & 1) ? (digest >> 1) ^ 0x82F63B78 : digest >> 1;
    }
  }
  return ~digest;
}

/* ---- cutting lines ---- */

/* The value of a hexadecimal digit, or -1. */
static int hex(char c, bool lower_too) {
  if (c >= '0' && c <= '9') return c - '0';
  if (c >= 'A' && c <= 'F') return c - 'A' + 10;
  if (lower_too && c >= 'a' && c <= 'f') return c - 'a' + 10;
  return -1;
}

/* No line begins at the first byte any more; perhaps one does at a later mark. */
static void drop_to_next_mark(line_reader *reader) {
  size_t at = 1;
  while (at < reader->length && reader->bytes[at] != '>') at++;
  reader->length = (uint16_t)(reader->length - at);
  memmove(reader->bytes, reader->bytes + at, reader->length);
  reader->spoilt = true;
}

/*
 * L-7a: tries the line from each start mark in turn. The first that is whole is
 * taken; if there is none, the first that is undamaged and a syntax fault.
 */
static const char *choose(line_reader *reader) {
  if (reader->length < 6) return NULL;
  size_t end = reader->length - 5u, at = end; /* where the '*' must be */
  int check = 0;
  if (reader->bytes[end] != '*') return NULL;
  for (size_t i = end + 1; i < reader->length; i++) {
    int digit = hex(reader->bytes[i], true); /* L-5b */
    if (digit < 0) return NULL;
    check = check * 16 + digit;
  }
  reader->bytes[end] = '\0';
  while (at > 0 && reader->bytes[at - 1] >= 0x20 && reader->bytes[at - 1] <= 0x7E) at--; /* L-4b */
  if (reader->length - at > LINE_LONGEST) at = reader->length - LINE_LONGEST; /* L-6 */
  const char *fault = NULL;
  for (; at < end; at++) {
    const char *line = reader->bytes + at;
    if (*line != '>' || line_check(line, end - at) != check) continue; /* L-3, L-5c */
    if (line_well_formed(line)) return line;
    if (fault == NULL) fault = line;
  }
  return fault;
}

const char *line_take(line_reader *reader, uint8_t byte) {
  if (byte != '\n') { /* L-2a */
    reader->bytes[reader->length++] = (char)byte;
    if (reader->length > LINE_LONGEST + 1) drop_to_next_mark(reader); /* L-6b */
    return NULL;
  }
  if (reader->length > 0 && reader->bytes[reader->length - 1] == '\r') reader->length--; /* L-2b */
  const char *line = choose(reader);
  if (line == NULL && (reader->length > 0 || reader->spoilt)) reader->discarded++; /* L-8b, L-7c */
  reader->length = 0;
  reader->spoilt = false;
  return line;
}

/* ---- reading fields ---- */

static bool is_lower(char c) { return c >= 'a' && c <= 'z'; }
static bool is_digit(char c) { return c >= '0' && c <= '9'; }

/* The byte that the escape at p stands for, or -1 (L-9). */
static int escaped(const char *p) {
  if (p[0] != '%' || hex(p[1], false) < 0 || hex(p[2], false) < 0) return -1;
  return hex(p[1], false) * 16 + hex(p[2], false);
}

/* Behind the character of UTF-8 whose escapes begin at p; NULL if it is none. */
static const char *behind_character(const char *p) {
  int lead = escaped(p), tails, low = 0x80, high = 0xBF;
  if (lead < 0 || (lead > 0x7F && lead < 0xC2) || lead > 0xF4) return NULL;
  tails = lead < 0x80 ? 0 : lead < 0xE0 ? 1 : lead < 0xF0 ? 2 : 3;
  if (lead == 0xE0) low = 0xA0;
  if (lead == 0xED) high = 0x9F;
  if (lead == 0xF0) low = 0x90;
  if (lead == 0xF4) high = 0x8F;
  for (p += 3; tails > 0; tails--, p += 3) {
    int tail = escaped(p);
    if (tail < low || tail > high) return NULL;
    low = 0x80;
    high = 0xBF;
  }
  return p;
}

/* The value of a key in the rest of a line, NULL if there is none. */
static const char *find(const char *rest, const char *key, size_t length) {
  for (const char *p = strchr(rest, ' '); p != NULL; p = strchr(p + 1, ' ')) {
    if (strncmp(p + 1, key, length) == 0 && p[1 + length] == '=') return p + 2 + length;
  }
  return NULL;
}

bool line_well_formed(const char *line) {
  const char *p = line + 1, *begin = p;
  while (is_lower(*p) || (p > begin && (is_digit(*p) || *p == '-'))) p++;
  if (p == begin || p - begin > 24) return false;
  while (*p == ' ') {
    begin = ++p;
    while (is_lower(*p) || (p > begin && is_digit(*p))) p++;
    if (p == begin || p - begin > 16 || *p != '=') return false;
    if (find(p, begin, (size_t)(p - begin)) != NULL) return false; /* L-10a */
    p++;
    while (*p != '\0' && *p != ' ' && *p != '*' && *p != '=') {
      p = *p == '%' ? behind_character(p) : p + 1;
      if (p == NULL) return false; /* L-9b */
    }
  }
  return *p == '\0';
}

bool line_is(const char *line, const char *kind) {
  size_t length = strlen(kind);
  return strncmp(line + 1, kind, length) == 0 &&
         (line[1 + length] == ' ' || line[1 + length] == '\0');
}

bool line_field(const char *line, const char *key, char *value, size_t room) {
  const char *p = find(line, key, strlen(key));
  if (p == NULL || find(p, key, strlen(key)) != NULL) return false;
  size_t count = 0;
  while (*p != '\0' && *p != ' ') {
    int byte = *p == '%' ? escaped(p) : *p;
    if (byte <= 0 || count + 1 >= room) return false;
    p += *p == '%' ? 3 : 1;
    value[count++] = (char)byte;
  }
  value[count] = '\0';
  return true;
}

bool line_digits(const char *text, size_t count, uint64_t *number) {
  if (count == 0 || count > 18 || (count > 1 && text[0] == '0')) return false;
  *number = 0;
  for (size_t i = 0; i < count; i++) {
    if (!is_digit(text[i])) return false;
    *number = *number * 10 + (uint64_t)(text[i] - '0');
  }
  return true;
}

bool line_number(const char *line, const char *key, uint64_t *number) {
  char text[19];
  return line_field(line, key, text, sizeof text) && line_digits(text, strlen(text), number);
}

/* ---- building ---- */

static void put(line_writer *writer, char c) {
  if (writer->length >= LINE_LONGEST - 5) {
    writer->too_long = true;
  } else {
    writer->bytes[writer->length++] = c;
  }
}

static void put_plain(line_writer *writer, const char *text) {
  while (*text != '\0') put(writer, *text++);
}

static void put_key(line_writer *writer, const char *key) {
  put(writer, ' ');
  put_plain(writer, key);
  put(writer, '=');
}

/* At least so many decimal digits. */
static void put_digits(line_writer *writer, uint32_t number, int least) {
  char digits[10];
  int count = 0;
  while (number > 0 || count < least) {
    digits[count++] = DIGITS[number % 10];
    number /= 10;
  }
  while (count > 0) put(writer, digits[--count]);
}

void line_begin(line_writer *writer, const char *mark_and_kind) {
  writer->length = 0;
  writer->too_long = false;
  put_plain(writer, mark_and_kind);
}

void line_put_text(line_writer *writer, const char *key, const char *text) {
  put_key(writer, key);
  for (; *text != '\0'; text++) {
    uint8_t byte = (uint8_t)*text;
    if (byte <= 0x20 || byte >= 0x7F || byte == '%' || byte == '*' || byte == '=') { /* L-9a */
      put(writer, '%');
      put(writer, DIGITS[byte >> 4]);
      put(writer, DIGITS[byte & 15]);
    } else {
      put(writer, (char)byte);
    }
  }
}

void line_put_number(line_writer *writer, const char *key, uint32_t number) {
  put_key(writer, key);
  put_digits(writer, number, 1);
}

void line_put_decimal(line_writer *writer, const char *key, int32_t number, uint8_t decimals) {
  uint32_t size = number < 0 ? 0u - (uint32_t)number : (uint32_t)number, one = 1;
  for (uint8_t i = 0; i < decimals; i++) one *= 10;
  put_key(writer, key);
  if (number < 0) put(writer, '-');
  put_digits(writer, size / one, 1);
  if (decimals > 0) put(writer, '.');
  if (decimals > 0) put_digits(writer, size % one, decimals);
}

static void put_hex(line_writer *writer, uint32_t number, int digits) {
  while (digits-- > 0) put(writer, DIGITS[(number >> (4 * digits)) & 15]);
}

void line_put_digest(line_writer *writer) {
  uint32_t digest = line_digest(writer->bytes, writer->length);
  put_key(writer, "digest");
  put_hex(writer, digest, 8);
}

bool line_end(line_writer *writer) {
  if (writer->too_long) return false;
  uint16_t check = line_check(writer->bytes, writer->length);
  writer->bytes[writer->length++] = '*';
  for (int shift = 12; shift >= 0; shift -= 4) {
    writer->bytes[writer->length++] = DIGITS[(check >> shift) & 15];
  }
  writer->bytes[writer->length++] = '\n'; /* L-2c */
  return true;
}
