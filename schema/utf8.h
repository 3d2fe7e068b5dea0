/* schema/utf8.h - one character of UTF-8 at a time. */
#ifndef SCHEMA_UTF8_H
#define SCHEMA_UTF8_H

#include <stddef.h>
#include <stdint.h>

enum {
    UTF8_REPLACEMENT = 0xfffd
};

/* Decode the character at the start of the LEN bytes TEXT.  Returns its
 * bytes, 1..4; where they are no UTF-8 (Unicode Standard, table 3-7) returns
 * 1 and *CODE is UTF8_REPLACEMENT.  0 only where LEN is 0. */
size_t utf8_next(uint32_t *code, const char *text, size_t len);
/* How many of the LEN bytes at TEXT, from the first on, are printable ASCII:
 * each of them a character, harmless and one column wide. */
size_t utf8_plain(const char *text, size_t len);

#endif
