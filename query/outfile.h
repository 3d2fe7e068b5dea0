/* query/outfile.h - an answer that goes into a file of the user's.
 *
 * It is written beside its place and put there when it is whole, so that a
 * full disk or an error leaves what was there.  One at a time.
 */
#ifndef QUERY_OUTFILE_H
#define QUERY_OUTFILE_H

#include "query/printer.h"

struct outfile {
    FILE *stream;
    char *path, *part; /* owned; PART is written */
};

/* Let OUTPUT write the file PATH, without colours; NULL leaves it as it is.
 * ST_IO: it cannot be made, with why. */
enum status outfile_open(struct outfile *out, struct output *output,
                         const char *path, struct fault *why);
/* Put the file in its place where ST is ST_OK, else throw it away.  Returns
 * ST, or ST_IO where the file could not be written. */
enum status outfile_close(struct outfile *out, enum status st,
                          struct fault *why);

#endif
