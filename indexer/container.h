/* indexer/container.h - the bytes of a file -> the bytes of one XML document.
 *
 * A file that starts with "PK" is a zip (.mxl): the document is the first
 * rootfile of META-INF/container.xml; where that is missing, malformed or
 * names no entry that is there, the first entry outside META-INF whose name
 * ends in .xml or .musicxml.  Everything else is the document itself.
 */
#ifndef INDEXER_CONTAINER_H
#define INDEXER_CONTAINER_H

#include <stdbool.h>
#include <stdint.h>

#include "schema/status.h"

/* Limits on hostile files; all in bytes. */
enum {
    CONTAINER_FILE_MAX = 64 * 1024 * 1024,      /* a file on disk */
    CONTAINER_DOCUMENT_MAX = 256 * 1024 * 1024, /* one XML document */
    CONTAINER_ENTRIES_MAX = 4096                /* entries looked at */
};

/* A whole file in memory. */
struct file_bytes {
    unsigned char *bytes;
    size_t size;
};

/* Read PATH.  ST_INPUT (too large, not a regular file, cannot be opened or
 * read: the reason is in WHY, without the path), ST_NOMEM.  Release with
 * file_bytes_free(). */
enum status file_bytes_read(struct file_bytes *out, const char *path,
                            struct fault *why);
void file_bytes_free(struct file_bytes *file);

struct container; /* opaque */

/* Find the document in FILE, which must outlive the container.  On failure
 * ST_INPUT or ST_NOMEM, and *OUT is NULL.  Release with container_close().
 * Calls xml_watch(). */
enum status container_open(struct container **out,
                           const struct file_bytes *file, struct fault *why);
/* The next bytes of the document: *GOT is 0 at its end.  A document larger
 * than CONTAINER_DOCUMENT_MAX, a damaged or encrypted entry: ST_INPUT. */
enum status container_read(struct container *c, void *buffer, size_t size,
                           size_t *got, struct fault *why);
/* The document once more, from its first byte on.  ST_INPUT where the zip does
 * not have it any more. */
enum status container_rewind(struct container *c, struct fault *why);
/* True when a fallback was used because META-INF/container.xml could not be;
 * a line that says so is in *NOTE (borrowed, valid until close). */
bool container_fell_back(const struct container *c, const char **note);
void container_close(struct container *c); /* NULL is allowed */

/* Watch what libxml2 does in this thread from here on: it prints nothing, and
 * memory that it did not get is remembered.  Called before libxml2 is; where
 * xml_ran_out() then, libxml2 may not be called in this thread. */
void xml_watch(void);
/* Did libxml2 ask for memory in vain since xml_watch()?  What it gave is then
 * not to be relied on, whatever it says. */
bool xml_ran_out(void);

#endif
