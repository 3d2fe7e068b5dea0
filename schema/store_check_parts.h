/* schema/store_check_parts.h - what the files of the check share.
 *
 * Private to schema/store_check*.c.
 */
#ifndef SCHEMA_STORE_CHECK_PARTS_H
#define SCHEMA_STORE_CHECK_PARTS_H

#include "schema/store_check.h"
#include "schema/store_internal.h"

/* A solo as its row says, and where it lies. */
struct checked_solo {
    int64_t id, segment, notes;
    uint32_t start;
    bool laid; /* it lies there, by the list of the segment too */
};

/* A segment, and whether its list of solos makes sense. */
struct checked_segment {
    int64_t id, notes;
    bool sound;
};

struct checking {
    struct store *store;
    const struct store_check_events *events;
    struct store_checked *out;
    struct fault *why;
    struct checked_solo *solos; /* by id */
    size_t solo_count, solo_room;
    struct checked_segment *segments; /* by id */
    size_t segment_count, segment_room;
    struct store_asked asked, facts, words; /* statements */
    int64_t done, total;                    /* steps */
};

/* What follows from the notes of some segments, which are looked at together:
 * in all that is listed by note, those of each segment from its base on. */
struct share {
    struct checking *c;
    size_t first, end; /* segments FIRST..END - 1 of those there are */
    size_t *bases;
    char *text;         /* GRAM_UNIT bytes a note */
    uint16_t *expected; /* bits of the tokens not seen yet */
    size_t stray;       /* postings of no segment, or behind its end */
    /* Postings that should not be there, for each note. */
    uint8_t *extra;
    struct salients salients; /* those that should be there */
    uint8_t *wrong; /* salient places that are missing, others or too much */
};

enum { NOT_KNOWN = 0x8000 /* in share.expected: its solo cannot be read */ };

/* Say what is wrong with the solo or file ID, 0 none. */
enum status check_tell(struct checking *c, enum store_part part, int64_t id,
                       const char *what);
/* A step of work is behind us. */
void check_step(struct checking *c);
/* Turn damage that ended a step into a problem: ST_OK then, else ST. */
enum status check_survive(struct checking *c, enum store_part part, int64_t id,
                          enum status st);
struct checked_solo *check_solo(struct checking *c, int64_t id);

/* The segment ID; NULL where there is none. */
const struct checked_segment *check_segment_of(const struct checking *c,
                                               int64_t id);
/* See which salient places of SHARE are not what they should be
 * (store_check_salient.c). */
enum status check_salients(struct share *share);

/* The steps.  Each returns ST_OK unless the check cannot go on. */
enum status check_layout(struct checking *c); /* store_check_layout.c */
enum status check_grams(struct checking *c);  /* store_check_grams.c */

#endif
