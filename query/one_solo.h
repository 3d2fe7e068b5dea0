/* query/one_solo.h - the one solo a command is asked about. */
#ifndef QUERY_ONE_SOLO_H
#define QUERY_ONE_SOLO_H

#include "query/session.h"

/* A solo as it stands in the library. */
struct one_solo {
    struct solo_list list; /* its record is the first item */
    struct solo *solo;
};

/* Open the library and load the solo that the ARGC arguments ARGV name: its
 * path, or any part of the path or the title that no other solo has.  ST_USAGE
 * where none or several may be meant (they become session->candidates),
 * ST_NOTHING where there is no such solo, else what the store says.  Release
 * with one_solo_close() in any case. */
enum status one_solo_open(struct one_solo *out, struct session *session,
                          int argc, char **argv, struct fault *why);
void one_solo_close(struct one_solo *one);

#endif
