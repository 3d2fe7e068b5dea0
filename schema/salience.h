/* schema/salience.h - the places that may score most.
 *
 * Of a cell that stands ten thousand times, a list shows twenty: those that
 * open something, on a strong beat, over notes that fit.  How much a place may
 * score can be told before anything is asked, and the few places of which it is
 * much are salient: the index lists them, by how many notes they have and how
 * they begin, so that the best places of a cell are found before all others.
 *
 * A place here is scored as the notes say, with no chord, rhythm or part of the
 * form asked for and the usual weights (query/rank.h, schema/worth.h).  Where a
 * chord is asked, it scores no more.
 */
#ifndef SCHEMA_SALIENCE_H
#define SCHEMA_SALIENCE_H

#include <stddef.h>
#include <stdint.h>

#include "schema/solo.h"

enum {
    /* Notes of a place. */
    SALIENCE_LEAST = 3,
    SALIENCE_MOST = 12,
    /* What scores so many thousandths is salient: of a thousand invented notes
     * some 120 begin such a place of 3 to 5 notes, and fewer a longer one. */
    SALIENCE_FLOOR = 820,
    SALIENCE_STEP = 50, /* scores are so many millionths apart */
    /* Lists of places of one length. */
    SALIENCE_BEGINNINGS = 64,
    SALIENCE_LISTS = (SALIENCE_MOST - SALIENCE_LEAST + 1) * SALIENCE_BEGINNINGS,
    SALIENCE_NO_CHORD = 255
};

/* A salient place. */
struct salient {
    uint32_t first; /* note */
    uint16_t list;  /* salience_list() */
    uint16_t above; /* by how many steps its score is above the floor */
    uint8_t chord;  /* salience_chord() of the chord under it */
    uint8_t tones;  /* salience_tones() of its tones, 0 where there is none */
};

/* What PLACE scores, in millionths. */
static inline int salience_score(const struct salient *place)
{
    return 1000 * SALIENCE_FLOOR + SALIENCE_STEP * place->above;
}

/* The list of the places of NOTES notes that begin with these intervals, of
 * many others too. */
int salience_list(int notes, int first, int second);
/* What a place over a chord of CLASS (enum chord_class) that starts START
 * semitones above its root, taken modulo 12, has for a chord; over none that
 * has a root, SALIENCE_NO_CHORD. */
uint8_t salience_chord(int class, int start);
/* Of chord.tones; others may have the same. */
uint8_t salience_tones(uint16_t tones);

struct salients {
    struct salient *items;
    size_t count, room;
};

/* Append the salient places of SOLO, whose MARK and FOLLOW are these strands of
 * it (schema/strand.h), by their first note and then by their length, as if the
 * solo began at the note BASE.  The caller owns OUT->items.  ST_NOMEM. */
enum status salience_find(struct salients *out, const struct solo *solo,
                          const uint8_t *mark, const uint8_t *follow,
                          uint32_t base, struct fault *why);

#endif
