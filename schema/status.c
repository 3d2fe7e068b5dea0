/* schema/status.c - fault records, exit codes and text made safe to show. */
#include "schema/status.h"

#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include "schema/utf8.h"

/* A raw message may shrink to a third while it is made safe (a three-byte
 * character becomes '?'), so this holds more than three full messages. */
enum {
    RAW_SIZE = 2048
};

static void fault_fill(struct fault *why, enum status st, long offset,
                       const char *format, va_list args)
    __attribute__((format(printf, 4, 0)));

static void fault_fill(struct fault *why, enum status st, long offset,
                       const char *format, va_list args)
{
    char raw[RAW_SIZE];

    if (vsnprintf(raw, sizeof raw, format, args) < 0)
        raw[0] = '\0';
    why->status = st;
    why->offset = offset;
    why->line = 0;
    text_make_safe(why->message, sizeof why->message, raw);
}

enum status fault_set(struct fault *why, enum status st, const char *format,
                      ...)
{
    va_list args;

    if (why) {
        va_start(args, format);
        fault_fill(why, st, -1, format, args);
        va_end(args);
    }
    return st;
}

enum status fault_at(struct fault *why, enum status st, long offset,
                     const char *format, ...)
{
    va_list args;

    if (why) {
        va_start(args, format);
        fault_fill(why, st, offset, format, args);
        va_end(args);
    }
    return st;
}

void fault_prefix(struct fault *why, const char *format, ...)
{
    char raw[RAW_SIZE];
    size_t used;
    va_list args;
    int n;

    if (!why)
        return;
    va_start(args, format);
    n = vsnprintf(raw, sizeof raw, format, args);
    va_end(args);
    if (n < 0)
        n = 0;
    used = (size_t)n < sizeof raw ? (size_t)n : sizeof raw - 1;
    snprintf(raw + used, sizeof raw - used, ": %s", why->message);
    text_make_safe(why->message, sizeof why->message, raw);
}

int status_exit_code(enum status st)
{
    switch (st) {
    case ST_OK:
        return 0;
    case ST_NOTHING:
        return 1;
    case ST_USAGE:
    case ST_SYNTAX:
        return 2;
    case ST_INPUT:
    case ST_LIBRARY:
        return 3;
    case ST_BUSY:
    case ST_IO:
    case ST_NOMEM:
    case ST_INTERRUPTED:
    case ST_INTERNAL:
        break;
    }
    return 4;
}

static bool is_break(uint32_t code)
{
    return code == '\n' || code == '\t' || code == '\r' || code == 0x2028 ||
           code == 0x2029;
}

/* A character that would steer a terminal or turn the line round. */
static bool is_harmful(uint32_t code)
{
    return code < 0x20 || (code >= 0x7f && code < 0xa0) ||
           (code >= 0x202a && code <= 0x202e) ||
           (code >= 0x2066 && code <= 0x2069);
}

/* The bytes of the character at TEXT; *INSTEAD is what stands for it, '\0' where
 * that is itself. */
static size_t safe_next(char *instead, const char *text, size_t len)
{
    uint32_t code;
    size_t read = utf8_next(&code, text, len);
    bool malformed = read == 1 && code == UTF8_REPLACEMENT;

    *instead = is_break(code)                  ? ' '
               : malformed || is_harmful(code) ? '?'
                                               : '\0';
    return read;
}

char *text_make_safe(char *out, size_t size, const char *text)
{
    size_t left = strlen(text), used = 0;

    if (size == 0)
        return out;
    while (left > 0) {
        size_t room = size - 1 - used, read = utf8_plain(text, left), wrote;
        char instead = '\0';

        if (read > room)
            read = room;
        if (read == 0)
            read = safe_next(&instead, text, left);
        wrote = instead ? 1 : read;
        if (wrote > room)
            break;
        if (instead)
            out[used] = instead;
        else
            memcpy(out + used, text, read);
        used += wrote;
        text += read;
        left -= read;
    }
    out[used] = '\0';
    return out;
}
