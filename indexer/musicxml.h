/* indexer/musicxml.h - an XML document -> struct solo. */
#ifndef INDEXER_MUSICXML_H
#define INDEXER_MUSICXML_H

#include "indexer/container.h"
#include "schema/solo.h"

struct musicxml_options {
    /* The melody part wanted, by name or id, case does not matter; NULL: the
     * first part with a pitched note that is neither grace nor cue. */
    const char *part;
};

/* Read the document in C.  ST_INPUT with line and reason in WHY where it is
 * not MusicXML; what was not understood inside is in the solo's warnings.
 * A file without notes is a solo with no notes.  The notes are placed on
 * their chords (solo_place_notes()).  The caller owns *OUT (solo_free()). */
enum status musicxml_read(struct solo **out, struct container *c,
                          const struct musicxml_options *options,
                          struct fault *why);

/* The same from a file on disk. */
enum status musicxml_read_file(struct solo **out, const char *path,
                               const struct musicxml_options *options,
                               struct fault *why);

#endif
