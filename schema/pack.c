/* schema/pack.c - see pack.h. */
#include "schema/pack.h"

#include <limits.h>
#include <stdint.h>
#include <stdlib.h>
#include <zlib.h>

enum {
    SIZE_BYTES = 4,
    /* The most that one byte can stand for ("zlib Technical Details",
     * zlib.net: 1032 to 1). */
    RATIO_MAX = 1032
};

enum status pack_bytes(const unsigned char *bytes, size_t size,
                       unsigned char **out, size_t *packed, struct fault *why)
{
    uLongf room = compressBound((uLong)size);

    *out = NULL;
    if (size > INT_MAX)
        return fault_set(why, ST_INTERNAL, "a solo of too many bytes");
    *out = malloc(SIZE_BYTES + room);
    if (!*out)
        return fault_nomem(why);
    for (int i = 0; i < SIZE_BYTES; i++)
        (*out)[i] = (unsigned char)(size >> (8 * i));
    /* With that much room only memory can be out. */
    if (compress2(*out + SIZE_BYTES, &room, bytes, (uLong)size,
                  Z_BEST_SPEED) != Z_OK) {
        free(*out);
        *out = NULL;
        return fault_nomem(why);
    }
    *packed = SIZE_BYTES + room;
    return ST_OK;
}

enum status unpack_bytes(const unsigned char *packed, size_t size,
                         unsigned char **out, size_t *count,
                         struct fault *why)
{
    uLongf room = 0;
    int rc;

    *out = NULL;
    for (size_t i = 0; i < SIZE_BYTES && i < size; i++)
        room |= (uLongf)packed[i] << (8 * i);
    if (size < SIZE_BYTES || room > INT_MAX || room / RATIO_MAX > size)
        return fault_set(why, ST_LIBRARY, "packed bytes of no sense");
    *out = malloc(room + 1);
    if (!*out)
        return fault_nomem(why);
    *count = room;
    rc = uncompress(*out, &room, packed + SIZE_BYTES,
                    (uLong)(size - SIZE_BYTES));
    if (rc == Z_OK && room == *count)
        return ST_OK;
    free(*out);
    *out = NULL;
    return rc == Z_MEM_ERROR
               ? fault_nomem(why)
               : fault_set(why, ST_LIBRARY, "packed bytes of no sense");
}
