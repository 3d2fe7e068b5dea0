/* schema/gather.h - a text that is put together piece by piece.
 *
 * What open_memstream() would be, had it a way to say that memory ran out:
 * glibc's gives a shorter text, or NULL from a fclose() that succeeds.
 */
#ifndef SCHEMA_GATHER_H
#define SCHEMA_GATHER_H

#include <stdbool.h>
#include <stddef.h>

/* Begin with all zero.  Once FAILED, nothing more is taken. */
struct gather {
    char *text;
    size_t used, room;
    bool failed;
};

void gather_put(struct gather *gather, const char *piece);
void gather_format(struct gather *gather, const char *format, ...)
    __attribute__((format(printf, 2, 3)));

/* The whole text, which the caller owns, or NULL where memory ran out on the
 * way.  GATHER holds nothing any more. */
char *gather_take(struct gather *gather);

#endif
