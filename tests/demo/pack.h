/* tests/demo/pack.h - plain and packed files, the same bytes every time. */
#ifndef DEMO_PACK_H
#define DEMO_PACK_H
#include <stdbool.h>
#include <stddef.h>

/* Write LEN bytes to PATH, replacing what was there. */
bool pack_plain(const char *path, const void *bytes, size_t len);
/* Write an .mxl: META-INF/container.xml and the score under NAME, which is
 * deflated unless STORED. */
bool pack_mxl(const char *path, const char *name, const void *bytes,
              size_t len, bool stored);
#endif
