/* schema/pack.h - bytes that take less room. */
#ifndef SCHEMA_PACK_H
#define SCHEMA_PACK_H

#include <stddef.h>

#include "schema/status.h"

/* Pack SIZE bytes into *OUT, which the caller owns, as zlib's format (RFC
 * 1950) behind the size, 4 bytes, little-endian.  ST_NOMEM; ST_INTERNAL for
 * more than 2 GiB. */
enum status pack_bytes(const unsigned char *bytes, size_t size,
                       unsigned char **out, size_t *packed, struct fault *why);
/* And back.  Bytes that pack_bytes() did not write: ST_LIBRARY.  They cannot make it
 * take more than some thousand times their own room. */
enum status unpack_bytes(const unsigned char *packed, size_t size,
                         unsigned char **out, size_t *count,
                         struct fault *why);

#endif
