/* schema/form.h - the form of a solo: its choruses and their sections.
 *
 * A form is a chord cycle of LENGTH bars that is played again and again from
 * some bar on.  Choruses are passes through it in the order in which bars are
 * played, so a chorus that is written once between repeat signs and played
 * twice counts as two.  What comes before the first chorus (pickup,
 * introduction) and after the last (tag, coda) belongs to none.
 *
 * Bars of the form are counted as a musician counts them: two parts of one
 * bar, divided by a repeat sign or a double bar, are one bar, and a pickup
 * that is played again as the end of the bar before the repeat is no bar of
 * its own.
 *
 * A note stands in a written bar.  Where that bar is played in several
 * choruses, its notes belong to the first of them.
 */
#ifndef SCHEMA_FORM_H
#define SCHEMA_FORM_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "schema/status.h"

struct solo;

/* What the form was told by. */
enum form_source {
    FORM_NONE,    /* no form was found */
    FORM_HARMONY, /* by the repetition of the chords */
    FORM_MARKS,   /* by rehearsal marks or words, borne out by the chords */
    FORM_USER     /* someone said so */
};

enum {
    FORM_LETTER_SIZE = 8,
    FORM_PARTS_MAX = 64
};

/* A section as it returns in every chorus. */
struct form_part {
    char letter[FORM_LETTER_SIZE]; /* "A" */
    int32_t bars;                  /* > 0 */
};

/* What there is to know of a form; all else follows from the bars. */
struct form_plan {
    int32_t length;     /* bars of a chorus; 0 none */
    int32_t first_play; /* where chorus 1 starts, an index into plays */
    int32_t tail;       /* bars at the end that belong to no chorus */
    int32_t confidence; /* 0..100 */
    int source;         /* enum form_source */
    /* In order from the first bar; the bars of the form after the last part
     * have no section. */
    const struct form_part *parts;
    size_t part_count; /* at most FORM_PARTS_MAX */
};

/* A section of one chorus. */
struct form_section {
    const char *letter; /* borrowed from the plan */
    int32_t first_play; /* index into plays */
    int32_t first_bar;  /* index into bars */
    int32_t bars;       /* fewer than in the plan where the chorus ends */
    int32_t occurrence; /* 1: the first with this letter in the chorus */
};

struct form_chorus {
    int32_t number;     /* from 1 */
    int32_t first_play; /* index into plays */
    int32_t first_bar;  /* index into bars */
    int32_t play_count; /* plays that belong to it */
    int32_t bars;       /* bars of the form that are played */
    bool complete;
    const struct form_section *sections;
    size_t section_count;
};

/* Where a written bar stands. */
struct form_place {
    int32_t chorus;                     /* from 1; 0: in none */
    int32_t chorus_bar;                 /* from 1; 0: in none */
    const struct form_section *section; /* NULL: in none */
};

/* Everything pointed to lies in the arena of the solo. */
struct form {
    struct form_plan plan;
    int32_t first_bar; /* index into bars of the first bar of chorus 1 */
    struct form_chorus *choruses;
    size_t chorus_count;
    struct form_place *places; /* of each bar; NULL where there is no form */
    int32_t *numbers;          /* of each play: form_number_bars() */
};

/* Number the bars as they are played: NUMBERS[i] is the bar, from 0, that the
 * play i of SOLO belongs to.  Plays that are parts of one bar have the same
 * number.  Returns how many bars there are. */
int32_t form_number_bars(const struct solo *solo, int32_t *numbers);

/* Does the play INDEX start a bar, rather than go on with one that is divided?
 * For a solo with a form. */
bool form_starts_bar(const struct solo *solo, size_t index);

/* The first play of the written bar BAR, or -1 where it is never played. */
int32_t form_play_of_bar(const struct solo *solo, int32_t bar);

/* Put the form that PLAN says into SOLO, in place of the one it has: choruses
 * from FIRST_PLAY on, as many as fit before the last TAIL bars; the last may
 * be incomplete.  A plan of length 0 takes the form away.  The parts of PLAN
 * are copied.  ST_USAGE: the plan does not fit the solo; ST_NOMEM.  After a
 * failure SOLO has no form. */
enum status form_lay_out(struct solo *solo, const struct form_plan *plan,
                         struct fault *why);

/* Where BAR (index into bars) stands; all zero where it is in no chorus.
 * Borrowed: valid until the form changes. */
const struct form_place *form_place_of(const struct solo *solo, int32_t bar);

/* Are A and B (indexes into bars) the same bar, or parts of one bar of a chorus
 * that is divided, as by a double bar? */
bool form_is_one_bar(const struct solo *solo, int32_t a, int32_t b);

/* Does the note INDEX open a chorus (SECTION false) or a section: is it the
 * first note in its first bar, or one that comes at most an eighth before
 * that bar and is held into it? */
bool form_opens(const struct solo *solo, size_t index, bool section);

/* Is BAR the first of four bars of its chorus: 1, 5, 9 ...? */
bool form_opens_four(const struct solo *solo, int32_t bar);

#endif
