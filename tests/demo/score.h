/* tests/demo/score.h - MusicXML 4.0 for a composed solo. */
#ifndef DEMO_SCORE_H
#define DEMO_SCORE_H
#include "tests/demo/notate.h"

#include <libxml/xmlwriter.h>

/* Write the score into a new buffer.  Caller owns the result (release with
 * xmlBufferFree()); NULL when it cannot be written. */
xmlBufferPtr score_write(const struct solo_spec *spec,
                         const struct chart *chart, const struct line *line);
/* Sounding name of the key, such as "Eb major". */
void score_key_name(const struct solo_spec *spec, char *out, size_t size);
#endif
