/* schema/pack.c - see pack.h. */
#include "schema/pack.h"

#include <limits.h>
#include <stdint.h>
#include <stdlib.h>
#define ZLIB_CONST
#include <zlib.h>

enum {
    SIZE_BYTES = 4,
    /* The longest piece that is copied in one go (RFC 1951, section 3.2.5):
     * while there is room for one, inflate() looks at less. */
    COPY_MAX = 258,
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

/* Unpack SIZE bytes, and that must give ROOM bytes, to OUT, where COPY_MAX more
 * have room. */
static int inflate_bytes(unsigned char *out, size_t room,
                         const unsigned char *bytes, size_t size)
{
    z_stream z = { .next_in = bytes,
                   .avail_in = (uInt)size,
                   .next_out = out,
                   .avail_out = (uInt)(room + COPY_MAX) };
    int rc = inflateInit(&z);

    if (rc != Z_OK)
        return rc;
    rc = inflate(&z, Z_FINISH);
    inflateEnd(&z);
    if (rc == Z_STREAM_END)
        return z.total_out == room ? Z_OK : Z_DATA_ERROR;
    return rc == Z_OK ? Z_BUF_ERROR : rc;
}

enum status unpack_bytes(const unsigned char *packed, size_t size,
                         unsigned char **out, size_t *count,
                         struct fault *why)
{
    size_t room = 0;
    int rc;

    *out = NULL;
    for (size_t i = 0; i < SIZE_BYTES && i < size; i++)
        room |= (size_t)packed[i] << (8 * i);
    if (size < SIZE_BYTES || size > INT_MAX || room > INT_MAX ||
        room / RATIO_MAX > size)
        return fault_set(why, ST_LIBRARY, "packed bytes of no sense");
    *out = malloc(room + COPY_MAX);
    if (!*out)
        return fault_nomem(why);
    *count = room;
    rc = inflate_bytes(*out, room, packed + SIZE_BYTES, size - SIZE_BYTES);
    if (rc == Z_OK)
        return ST_OK;
    free(*out);
    *out = NULL;
    return rc == Z_MEM_ERROR
               ? fault_nomem(why)
               : fault_set(why, ST_LIBRARY, "packed bytes of no sense");
}
