/* rank_fixture.h - places written out in one line, and what they are measured
 * by, for the tests of rank. */
#ifndef TESTS_UNIT_RANK_FIXTURE_H
#define TESTS_UNIT_RANK_FIXTURE_H

#include "query/rank.h"

/* A solo as fixture_solo() reads it, with marks between blanks:
 *   <  >    before the first note of the place, after its last
 *   /       before the first note of a phrase
 *   |       a bar line; a note that comes next must stand on it
 *   {A4B4}  first of all: from bar 1 on, choruses of so many bars a section
 * UP semitones higher, all of it. */
struct written_place {
    struct solo *solo;
    struct rank_place place;
};
void place_write(struct written_place *out, const char *text, int up);
void place_release(struct written_place *place);

/* What is asked, parts divided by "; ": "home G7" (Dm7 where left out),
 * "home none", "class" (only that of the home chord is asked), "into G7",
 * "bar 5-8", "section B", "beat 2 and", "rhythm 8 8 8t 4.", "weights ...".
 * The home chord is moved UP semitones, as to a place found there. */
struct written_question {
    struct rank_question question;
    struct chord home; /* as given */
    struct over into;
    char section[8];
};
void question_write(struct written_question *out, const char *text, int up);

/* Both at once: the score of TEXT for ASK, UP semitones higher. */
struct rank_parts rank_written(const char *ask, const char *text, int up);

#endif
