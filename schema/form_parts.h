/* schema/form_parts.h - the sections of a form by its harmony.
 *
 * Sections of a quarter of the form or of eight bars (of four in an AABA of
 * sixteen, of twelve where those return), with one letter where the same bars
 * return (common practice, no source).
 */
#ifndef SCHEMA_FORM_PARTS_H
#define SCHEMA_FORM_PARTS_H

#include "schema/form.h"

/* Do the bars A and B of the form, from 0, hold the same chords?  FIRST: they
 * start sections, and a chord that goes on into them is not theirs. */
typedef bool form_like(const void *context, int32_t a, int32_t b, bool first);

/* The sections of a form of LENGTH bars (> 0) into PARTS, which has room for
 * FORM_PARTS_MAX; how many. */
size_t form_divide(int32_t length, form_like *like, const void *context,
                   struct form_part *parts);

/* The same for a form of LENGTH bars that starts with the play FIRST_PLAY of
 * SOLO: bars are alike where most complete choruses (or the one that there is)
 * have the same chords there, extensions aside.  *COUNT is 0 where the form
 * does not fit.  ST_OK or ST_NOMEM. */
enum status form_divide_solo(const struct solo *solo, int32_t length,
                             int32_t first_play, struct form_part *parts,
                             size_t *count, struct fault *why);

#endif
