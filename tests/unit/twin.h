/* twin.h - a second search that knows no index, and what it is asked.
 *
 * Shared by check_twin.c and twin_*.c.
 */
#ifndef TESTS_UNIT_TWIN_H
#define TESTS_UNIT_TWIN_H

#include <stdbool.h>
#include <stddef.h>

#include "query/find.h"
#include "tests/unit/find_fixture.h"

/* --- chance (twin_library.c) --------------------------------------------- */

/* 0..N-1, the same in every run. */
unsigned chance(unsigned n);
bool one_in(unsigned n);
/* Semitones from a note to the next: small mostly, now and then a leap. */
int random_step(void);

/* --- the library (twin_library.c) ---------------------------------------- */

enum {
    TWIN_SOLOS_MAX = 1024,
    TWIN_SUFFIXES = 16
};

/* What the index holds, as it was before it was put there. */
struct twin_solo {
    char path[300];
    const char *performer; /* borrowed from the solo */
    struct solo *solo;
};
extern struct twin_solo twin_solos[TWIN_SOLOS_MAX];
extern size_t twin_solo_count;
extern struct fixture twin_library;

extern const char *const twin_players[3];
extern const char *const twin_roots[12];
/* The suffixes asked for, and what the trade says they are. */
extern const struct twin_suffix {
    const char *text;
    int class;
    bool altered, sus;
} twin_suffixes[TWIN_SUFFIXES];

/* Solos made up at random, those of corpus-demo/ and those of CELLAR_REAL. */
void twin_library_build(void);
void twin_library_free(void);

/* --- a question, as plain arrays ----------------------------------------- */

struct question {
    int n;
    int midi[32];
    bool any[32];
    int group[32];
    bool has_rhythm;
    int num[32], den[32]; /* quarters */
    enum rhythm_match rhythm;
    bool any_octave;
    int start;    /* degree of the first known note on the first chord, -1 */
    int given_pc; /* of the first known note, -1 */
    int over_count;
    struct asked {
        int class;
        bool by_class, altered, sus, has_root;
        int root;
        unsigned tones;
        char function[24]; /* "" for none */
    } over[8];
    const char *performer; /* NULL: all */
    char text[1024], over_text[256];
};

/* Draw a question (twin_draw.c).  Returns in which language. */
enum {
    DRAW_DEGREES,
    DRAW_NAMES,
    DRAW_STEPS,
    DRAW_LANGUAGES
};
int twin_draw(struct question *q);

/* --- the search (twin_search.c) ------------------------------------------ */

struct twin_hit {
    size_t solo;
    int bar, first, chord, exactness, transposition;
};
/* The hits of the last question, in order; released with free(). */
extern struct twin_hit *twin_hits;
extern size_t twin_count, twin_solos_hit;
void twin_find(const struct question *q);

int mod12(int x);
/* A function in parts: "subV", "7" and "/V". */
struct twin_function {
    char step[24], quality[24], target[24];
    int class;
};
void twin_function_read(struct twin_function *out, const char *text);
/* The chord CHORD of SOLO; NULL for none and for N.C. */
const struct chord_event *twin_event(const struct solo *solo, int chord);
/* The same without its place. */
const struct chord *twin_heard(const struct solo *solo, int chord);
bool twin_alike(const struct chord *a, const struct chord *b);
/* The chord of the N notes from FIRST, -1 for none. */
int twin_window(const struct solo *solo, int first, int n);

#endif
