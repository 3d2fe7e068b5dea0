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
    SYNTHETIC = 60, /* made up at random; they come first */
    TAME = 12,      /* then those that sound like exercises */
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

/* How a written chord stands to the home chord: some of the relations, and all
 * the others together. */
enum twin_relation {
    TWIN_AS_WRITTEN,
    TWIN_II_OVER_V,
    TWIN_II_OVER_I,
    TWIN_MINOR_ABOVE_V,
    TWIN_TRITONE,
    TWIN_UNNAMED
};
extern const struct twin_rule {
    const char *name;   /* what --relation takes */
    enum relation is;   /* what the answer calls it */
    int home, written;  /* classes; -1: the same as the other */
    int up;             /* semitones from the home root to the written one */
} twin_rules[TWIN_UNNAMED];

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

    /* Where in the form; its section is SECTION. */
    struct place place;
    char section[FORM_LETTER_SIZE];
    bool has_into;
    struct asked into;
    char into_text[64];
    bool reharmonized;
    bool has_relation; /* only this one */
    enum twin_relation relation;
    int edits;
};

/* Draw a question (twin_draw.c).  Returns in which language. */
enum {
    DRAW_DEGREES,
    DRAW_NAMES,
    DRAW_STEPS,
    DRAW_LANGUAGES
};
int twin_draw(struct question *q);
/* Put TEXT behind what is in OUT. */
void twin_append(char *out, size_t size, const char *text);
/* Ask for a class, a suffix, or a chord with ROOT, of class CLASS where one
 * can be found; its text is put behind what is in OUT. */
void twin_ask_chord(struct asked *asked, char *out, size_t size, int class,
                    int root, bool rooted);

/* What is asked besides the fragment (twin_draw_more.c), such that it holds
 * of the notes FIRST.. of SOLO, most of the time; SOLO may be NULL. */
void twin_draw_place(struct question *q, const struct solo *solo, int first);
void twin_draw_into(struct question *q, const struct solo *solo, int first);
/* Over a home chord, with a root where ROOTED.  Returns that root. */
int twin_draw_relation(struct question *q, const struct solo *solo, int first,
                       bool rooted);
/* Change, add or drop up to Q->edits notes inside. */
void twin_draw_edits(struct question *q);

/* --- the search (twin_search.c) ------------------------------------------ */

struct twin_hit {
    size_t solo;
    int bar, first, last, edits, chord, exactness, transposition;
};
/* N notes from FIRST on that lie SHIFT semitones above the question's. */
struct twin_spot {
    int first, n, shift;
};
/* The hits of the last question, in order; released with free(). */
extern struct twin_hit *twin_hits;
extern size_t twin_count, twin_solos_hit;
/* Of these, the hits of each relation; of meaning when twin_knows_home(). */
extern size_t twin_relations[TWIN_UNNAMED + 1];
void twin_find(const struct question *q);

/* The places of one solo with notes changed, by first note (twin_edits.c):
 * ADD is told of each. */
void twin_look_edits(const struct question *q, const struct solo *solo,
                     void (*add)(const struct question *q, size_t at,
                                 const struct twin_spot *spot, int edits),
                     size_t at);
/* All but the pitches. */
bool twin_rest(const struct question *q, const struct solo *solo,
               const struct twin_spot *spot, int *exactness);

/* --- conditions (twin_conditions.c) --------------------------------------- */

bool twin_chord(const struct asked *asked, const struct chord_event *event,
                bool *exact);
bool twin_place(const struct question *q, const struct solo *solo, int first,
                int last);
/* Do the notes FIRST..LAST stand there? */
bool twin_at(enum place_at at, const struct solo *solo, int first, int last);
/* The beat of a note as a fraction, 1 on the bar line. */
void twin_beat(const struct solo *solo, const struct note *note,
               long long *num, long long *den);
/* The chord after the one heard under the note LAST; -1 none. */
int twin_next_chord(const struct solo *solo, int last);
bool twin_into(const struct question *q, const struct solo *solo, int last);
/* Is the home chord told by the question, without a guess at the notes? */
bool twin_knows_home(const struct question *q);
enum twin_relation twin_relation_of(const struct question *q,
                                    const struct solo *solo,
                                    const struct twin_spot *spot);

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
