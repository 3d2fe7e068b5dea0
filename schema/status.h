/* schema/status.h - what can go wrong, said once.
 *
 * Every function that can fail returns an enum status.  The ones that can
 * say more fill a struct fault: what happened, where, and how to mend it.
 * Library code never prints and never exits; only the two programs do.
 */
#ifndef SCHEMA_STATUS_H
#define SCHEMA_STATUS_H

#include <stdarg.h>
#include <stddef.h>

enum status {
    ST_OK = 0,
    ST_NOTHING,     /* the question was understood; nothing was found */
    ST_USAGE,       /* unknown option, bad option value, missing argument */
    ST_SYNTAX,      /* a fragment, chord or filter that does not read */
    ST_INPUT,       /* a music file that cannot be read */
    ST_LIBRARY,     /* no library, a damaged index, a newer index */
    ST_BUSY,        /* another program is writing the index */
    ST_IO,          /* the machine failed: disk, permission, pipe */
    ST_NOMEM,       /* out of memory */
    ST_INTERRUPTED, /* the user asked to stop */
    ST_INTERNAL     /* a bug: an invariant of this program does not hold */
};

/* One fault.  MESSAGE is one line of plain English without a newline and
 * without the program's name; control characters from files are already
 * made harmless.  OFFSET is the byte of the user's text at which it stands,
 * -1 where that has no meaning; LINE is a line of a file, 0 if unknown. */
struct fault {
    enum status status;
    long offset;
    long line;
    char message[512];
};

/* Fill WHY (NULL is allowed) and return ST, so that a caller may write
 * `return fault_set(why, ST_INPUT, "...")`.  The offset is set to -1 and the
 * line to 0. */
enum status fault_set(struct fault *why, enum status st, const char *format,
                      ...) __attribute__((format(printf, 3, 4)));

/* The same, with the byte OFFSET of the user's text that is wrong. */
enum status fault_at(struct fault *why, enum status st, long offset,
                     const char *format, ...)
    __attribute__((format(printf, 4, 5)));

/* Out of memory, in the words used everywhere.  Here, so that whoever looks
 * at a caller alone sees that this is never ST_OK. */
static inline enum status fault_nomem(struct fault *why)
{
    fault_set(why, ST_NOMEM, "out of memory");
    return ST_NOMEM;
}

/* Put "PREFIX: " before the message of WHY (NULL is allowed). */
void fault_prefix(struct fault *why, const char *format, ...)
    __attribute__((format(printf, 2, 3)));

/* The exit status of a program that ends with ST: 0 done, 1 nothing found,
 * 2 bad usage, 3 bad input file or library, 4 anything else. */
int status_exit_code(enum status st);

/* Copy the NUL-terminated UTF-8 TEXT into OUT (SIZE bytes, always ended by
 * NUL): control characters (C0, DEL, C1 and the bidirectional overrides) and
 * bytes that are no UTF-8 become '?', newlines and tabs become blanks, and
 * what does not fit is cut at a character.  Returns OUT. */
char *text_make_safe(char *out, size_t size, const char *text);

#endif
