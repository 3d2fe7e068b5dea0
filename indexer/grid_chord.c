/* indexer/grid_chord.c - how far two chords are apart. */
#include "indexer/grid.h"

enum {
    UNRELATED = 550, /* cost of a substitute with no tone in common */
    COMMON_TONE = 30 /* less for each */
};

static int common_tones(const struct chord *a, const struct chord *b)
{
    unsigned int shift = (unsigned int)pitch_modulo(
        (int)b->root_pc - (int)a->root_pc, 12);
    unsigned int moved = (unsigned int)b->tones << shift;
    unsigned int both = a->tones & (moved | moved >> 12) & 0xfff;
    int count = 0;

    for (; both; both &= both - 1)
        count++;
    return count;
}

/* Classes that are one for this purpose. */
enum family {
    MAJOR,
    MINOR,
    DOMINANT,
    HALF_DIMINISHED,
    DIMINISHED,
    OTHER,
    FAMILIES
};

static enum family family_of(const struct chord *c)
{
    static const enum family of[CHORD_CLASSES] = {
        [CHORD_MAJOR] = MAJOR,
        [CHORD_MINOR] = MINOR,
        [CHORD_DOMINANT] = DOMINANT,
        [CHORD_MINOR_MAJOR] = MINOR,
        [CHORD_HALF_DIMINISHED] = HALF_DIMINISHED,
        [CHORD_DIMINISHED] = DIMINISHED,
        [CHORD_AUGMENTED] = DOMINANT,
        [CHORD_SUSPENDED] = DOMINANT,
        [CHORD_POWER] = OTHER,
        [CHORD_NONE] = OTHER,
        [CHORD_OTHER] = OTHER,
    };

    return of[c->class];
}

/* On one root. */
static const int16_t same_root[FAMILIES][FAMILIES] = {
    [MAJOR] = { 0, 120, 60, 180, 180, 40 },
    [MINOR] = { 120, 0, 80, 50, 120, 40 },
    [DOMINANT] = { 60, 80, 0, 120, 150, 40 },
    [HALF_DIMINISHED] = { 180, 50, 120, 0, 60, 40 },
    [DIMINISHED] = { 180, 120, 150, 60, 0, 40 },
    [OTHER] = { 40, 40, 40, 40, 40, 0 },
};

/* What is taken for what; the root of the second counted from the first. */
static const struct {
    enum family first, second;
    int up;
    int cost;
} related[] = {
    { DOMINANT, DOMINANT, 6, 130 },          /* tritone substitute */
    { DOMINANT, DOMINANT, 3, 190 },         /* backdoor, and minor thirds */
    { DOMINANT, DOMINANT, 9, 190 },
    { DOMINANT, DOMINANT, 7, 210 },         /* V7 of V */
    { DOMINANT, DOMINANT, 5, 210 },
    { MINOR, DOMINANT, 5, 110 },             /* ii for V */
    { HALF_DIMINISHED, DOMINANT, 5, 110 },
    { MINOR, DOMINANT, 11, 170 },           /* ii for the substitute of V */
    { HALF_DIMINISHED, DOMINANT, 11, 170 },
    { HALF_DIMINISHED, DOMINANT, 8, 130 },   /* the upper part of a ninth */
    { MAJOR, MINOR, 9, 130 },                /* relative */
    { MAJOR, MINOR, 4, 140 },                /* the third above */
    { MAJOR, DOMINANT, 9, 200 },            /* VI7 in a turnaround */
    { MAJOR, DOMINANT, 4, 230 },
    { MAJOR, HALF_DIMINISHED, 4, 180 },
    { MAJOR, DIMINISHED, 0, 200 },
    { MINOR, MINOR, 6, 200 },               /* ii of the substitute */
    { MINOR, HALF_DIMINISHED, 9, 100 },      /* m6 and its inversion */
    { MINOR, DOMINANT, 3, 200 },
};

static int related_cost(const struct chord *a, const struct chord *b)
{
    enum family fa = family_of(a), fb = family_of(b);
    int up = pitch_modulo((int)b->root_pc - (int)a->root_pc, 12);
    int common = common_tones(a, b), best;

    best = UNRELATED - COMMON_TONE * (common < 4 ? common : 4);
    if (fa == DOMINANT && fb == DIMINISHED && up % 3 == 1)
        return 110;
    if (fa == DIMINISHED && fb == DOMINANT && up % 3 == 2)
        return 110;
    for (size_t i = 0; i < sizeof related / sizeof *related; i++) {
        bool there = related[i].first == fa && related[i].second == fb &&
                     related[i].up == up;
        bool back = related[i].first == fb && related[i].second == fa &&
                    related[i].up == pitch_modulo(-up, 12);

        if ((there || back) && related[i].cost < best)
            best = related[i].cost;
    }
    return best;
}

void grid_chord_distance(const struct chord *a, const struct chord *b,
                         int *changed, int *cost)
{
    enum family fa = family_of(a), fb = family_of(b);
    int up = pitch_modulo((int)b->root_pc - (int)a->root_pc, 12);

    *changed = 0;
    *cost = 0;
    if (up == 0 && a->class != CHORD_NONE && b->class != CHORD_NONE) {
        *cost = same_root[fa][fb];
        *changed = fa == fb ? 0 : 100;
        return;
    }
    if (fa == DIMINISHED && fb == DIMINISHED && up % 3 == 0)
        return;
    *changed = 100;
    *cost = related_cost(a, b);
}
