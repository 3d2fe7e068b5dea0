/* find_fixture.h - a small library of made-up solos for the tests of find. */
#ifndef TESTS_UNIT_FIND_FIXTURE_H
#define TESTS_UNIT_FIND_FIXTURE_H

#include "schema/solo.h"
#include "schema/store.h"

/* A library in a folder of its own.  Every function here ends the test when
 * something fails. */
struct fixture {
    char folder[64];
    struct store *store;
};
void fixture_open(struct fixture *fixture);
/* Put SOLO under PATH, and release it. */
void fixture_put(struct fixture *fixture, const char *path, struct solo *solo);
/* The same for everything put so far to be found. */
void fixture_commit(struct fixture *fixture);
void fixture_close(struct fixture *fixture);

enum {
    FIXTURE_TICKS = 24
}; /* to a quarter */

/* A solo being written, in bars of METRE that are BAR ticks long. */
struct draft {
    struct solo *solo;
    int64_t now, bar; /* ticks */
    size_t note_room, chord_room;
};
void draft_start(struct draft *draft, const char *performer, const char *title,
                 const char *metre, int64_t bar);
void draft_note(struct draft *draft, int midi, int64_t ticks, int64_t sounding);
void draft_rest(struct draft *draft, int64_t ticks);
/* A chord at AT ticks from the start; "N.C." for none. */
void draft_chord(struct draft *draft, const char *symbol, int64_t at);
/* The solo, with its bars, every bar played once, its notes placed and its
 * chords analysed. */
struct solo *draft_end(struct draft *draft);

/* A whole solo in 4/4 from one text: "[Dm7] A4 F4 E4:4. r:8 [G7] D4:2" (a
 * chord here, notes with a value, 8 where there is none, and rests). */
struct solo *fixture_solo(const char *performer, const char *text);
/* The same with all notes and chords UP semitones higher. */
struct solo *fixture_solo_up(const char *performer, const char *text, int up);
/* The same in another METRE: "3/4", "6/8". */
struct solo *fixture_solo_in(const char *performer, const char *metre,
                             const char *text, int up);

#endif
