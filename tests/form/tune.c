/* tests/form/tune.c - see tune.h. */
#include "tests/form/tune.h"

#include <string.h>

/* --- chance ----------------------------------------------------------------
 */

static uint64_t state;

void tune_seed(uint32_t seed)
{
    state = seed * 2654435761u + 12345u;
    for (int i = 0; i < 8; i++)
        tune_roll(2);
}

int tune_roll(int n)
{
    /* Knuth's MMIX generator (from memory). */
    state = state * 6364136223846793005u + 1442695040888963407u;
    return (int)((state >> 33) % (uint64_t)n);
}

bool tune_chance(int percent)
{
    return tune_roll(100) < percent;
}

/* --- chords ----------------------------------------------------------------
 */

struct sound tune_sound(int root, int quality)
{
    return (struct sound){ (int8_t)((root + 24) % 12), (int8_t)quality, true };
}

bool tune_is_same(struct sound a, struct sound b)
{
    return a.here == b.here && a.root == b.root && a.quality == b.quality;
}

void tune_put(struct cell *cell, struct sound a)
{
    cell->at[0] = a;
    cell->at[1].here = false;
}

void tune_put_two(struct cell *cell, struct sound a, struct sound b)
{
    cell->at[0] = a;
    cell->at[1] = b;
}

/* --- the grammar -----------------------------------------------------------
 */

static bool minor_key;

struct sound tune_tonic(void)
{
    return tune_sound(0, minor_key ? MIN : MAJ);
}

/* ii and V of the degree ROOT. */
static struct sound two_of(int root, bool minor)
{
    return tune_sound(root + 2, minor ? HALF : MIN);
}

struct sound tune_five_of(int root)
{
    return tune_sound(root + 7, DOM);
}

static struct sound tonic_like(void)
{
    switch (tune_roll(4)) {
    case 0:
        return minor_key ? tune_sound(8, MAJ) : tune_sound(9, MIN);
    case 1:
        return minor_key ? tune_sound(3, MAJ) : tune_sound(4, MIN);
    default:
        return tune_tonic();
    }
}

static struct sound subdominant(void)
{
    if (minor_key)
        return tune_chance(50) ? tune_sound(5, MIN) : two_of(0, true);
    return tune_chance(50) ? tune_sound(5, MAJ) : two_of(0, false);
}

/* Two bars that go to the degree ROOT. */
static void approach(struct cell *cells, int root)
{
    bool minor = tune_chance(minor_key ? 70 : 30);

    switch (tune_roll(3)) {
    case 0:
        tune_put(&cells[0], two_of(root, minor));
        tune_put(&cells[1], tune_five_of(root));
        break;
    case 1:
        tune_put_two(&cells[0], two_of(root, minor), tune_five_of(root));
        tune_put(&cells[1], tune_sound(root, minor ? MIN : MAJ));
        break;
    default:
        tune_put(&cells[0], tune_five_of(root + 7));
        tune_put(&cells[1], tune_five_of(root));
    }
}

/* Degrees that a tune visits. */
static int away(void)
{
    static const int major[] = { 2, 4, 5, 7, 9, 10, 3, 8 };
    static const int minor[] = { 3, 5, 7, 8, 10 };

    return minor_key ? minor[tune_roll(5)] : major[tune_roll(8)];
}

/* Four bars; the first phrase of a tune starts on the tonic. */
static void phrase(struct cell *cells, bool opens, bool closes)
{
    int place = away(), quality = tune_roll(3);
    struct sound before = subdominant();

    tune_put(&cells[0], opens             ? tune_tonic()
                        : tune_chance(60) ? tune_sound(place, quality)
                                          : tonic_like());
    switch (tune_roll(4)) {
    case 0:
        tune_put(&cells[1], tonic_like());
        break;
    case 1:
        tune_put_two(&cells[1], before, tune_five_of(away()));
        break;
    case 2:
        cells[1].at[0].here = cells[1].at[1].here = false;
        break;
    default:
        tune_put(&cells[1], subdominant());
    }
    approach(&cells[2], closes || tune_chance(30) ? 0 : away());
    if (closes && tune_chance(50)) {
        tune_put_two(&cells[2], two_of(0, minor_key), tune_five_of(0));
        tune_put(&cells[3], tune_tonic());
    }
}

void tune_section(struct cell *cells, int bars, bool opens)
{
    for (int i = 0; i < bars; i += 4) {
        struct cell four[4];

        memset(four, 0, sizeof four);
        phrase(four, opens && i == 0, i + 4 >= bars);
        memcpy(&cells[i], four,
               sizeof *four * (size_t)(bars - i < 4 ? bars - i : 4));
    }
}

/* --- forms -----------------------------------------------------------------
 */

struct shape {
    int length;
    const char *letters; /* a prime (') before a letter: with another ending */
    int bars[6];
};

static const struct shape shapes[] = {
    { 8, "A", { 8 } },
    { 12, "b", { 12 } },
    { 12, "b", { 12 } },
    { 12, "A", { 12 } },
    { 14, "A", { 14 } },
    { 16, "AB", { 8, 8 } },
    { 16, "A", { 16 } },
    { 16, "AABA", { 4, 4, 4, 4 } },
    { 20, "ABC", { 8, 8, 4 } },
    { 24, "ABC", { 8, 8, 8 } },
    { 24, "AAB", { 8, 8, 8 } },
    { 32, "AABA", { 8, 8, 8, 8 } },
    { 32, "A'AB'A", { 8, 8, 8, 8 } },
    { 32, "ABAC", { 8, 8, 8, 8 } },
    { 32, "ABA'B", { 8, 8, 8, 8 } },
    { 36, "AABAC", { 8, 8, 8, 8, 4 } },
    { 40, "AABAC", { 8, 8, 8, 8, 8 } },
    { 48, "AABA", { 12, 12, 12, 12 } },
    { 48, "ABA", { 16, 16, 16 } },
    { 64, "AABA", { 16, 16, 16, 16 } },
    { 64, "ABAC", { 16, 16, 16, 16 } },
};

/* Twelve-bar blues, plain ones (common practice, no source). */
static void blues(struct cell *cells)
{
    int quick = tune_roll(2), minor = minor_key ? MIN : DOM;

    memset(cells, 0, 12 * sizeof *cells);
    tune_put(&cells[0], tune_sound(0, minor));
    if (quick) {
        tune_put(&cells[1], tune_sound(5, minor));
        tune_put(&cells[2], tune_sound(0, minor));
    }
    tune_put(&cells[4], tune_sound(5, minor));
    tune_put(&cells[6], tune_sound(0, minor));
    if (tune_chance(50))
        tune_put_two(&cells[7], tune_sound(4, HALF), tune_sound(9, DOM));
    tune_put(&cells[8],
             tune_chance(50) ? tune_sound(2, MIN) : tune_sound(7, DOM));
    tune_put(&cells[9], cells[8].at[0].root == 2 ? tune_sound(7, DOM)
                                                 : tune_sound(5, DOM));
    tune_put(&cells[10], tune_sound(0, minor));
    tune_put(&cells[11], tune_sound(7, DOM));
}

/* The root in effect at the start of the bar AT. */
static int root_at(const struct cell *cells, int at)
{
    for (int i = at; i >= 0; i--) {
        if (i < at && cells[i].at[1].here)
            return cells[i].at[1].root;
        if (cells[i].at[0].here)
            return cells[i].at[0].root;
    }
    return -1;
}

/* Do most of the bars from A and B on start with other roots, tritone
 * substitutes not counted?  Ends are alike as a rule: the last two bars do
 * not count. */
static bool is_other_section(const struct cell *cells, int a, int b, int bars)
{
    int other = 0;

    for (int i = 0; i < bars - 2; i++)
        other += (root_at(cells, a + i) - root_at(cells, b + i) + 12) % 6 != 0;
    return other * 3 >= (bars - 2) * 2;
}

/* A section that is unlike every one of its length before it. */
static void new_section(struct cell *cells, int at, int bars,
                        const struct shape *shape)
{
    for (int tries = 0; tries < 200; tries++) {
        bool other = true;

        tune_section(&cells[at], bars, at == 0);
        for (int i = 0, from = 0; from < at; from += shape->bars[i++])
            if (shape->bars[i] >= bars)
                other &= is_other_section(cells, from, at, bars);
        if (other)
            return;
    }
}

/* Another ending: to the subdominant. */
static void end_otherwise(struct cell *cells)
{
    tune_put(&cells[0], tune_sound(10 - 2 * tune_roll(2), DOM));
    tune_put(&cells[1], tune_sound(3, MAJ));
    tune_put_two(&cells[2], two_of(5, minor_key), tune_five_of(5));
    tune_put(&cells[3], tune_sound(5, minor_key ? MIN : MAJ));
}

/* The section LETTER of BARS bars from AT on; FROM is where it stood before,
 * -1 nowhere. */
static void make_section(struct tune *out, char letter, int at, int from,
                         const struct shape *shape, int bars)
{
    if (letter == 'b')
        blues(out->cells);
    else if (from >= 0)
        memcpy(&out->cells[at], &out->cells[from],
               (size_t)bars * sizeof *out->cells);
    else
        new_section(out->cells, at, bars, shape);
}

void tune_make(struct tune *out)
{
    const struct shape *shape =
        &shapes[tune_roll(sizeof shapes / sizeof *shapes)];
    int first_of[256], at = 0, part = 0;
    bool other_end = false;

    memset(out, 0, sizeof *out);
    memset(first_of, -1, sizeof first_of);
    out->minor = minor_key = tune_chance(30);
    for (const char *letter = shape->letters; *letter; letter++) {
        int bars = shape->bars[part], from = first_of[(unsigned char)*letter];

        if (*letter == '\'') {
            other_end = true;
            continue;
        }
        make_section(out, *letter, at, from, shape, bars);
        if (other_end && from >= 0)
            end_otherwise(&out->cells[at + bars - 4]);
        if (from < 0)
            first_of[(unsigned char)*letter] = at;
        out->letters[part] = *letter == 'b' ? 'A' : *letter;
        if (other_end && *letter == 'B')
            out->letters[part] = 'C';
        other_end = false;
        out->bars[part++] = bars;
        at += bars;
    }
    out->length = shape->length;
}

void tune_split_bars(struct tune *tune)
{
    for (int i = 0; i < tune->length; i++) {
        struct cell *cell = &tune->cells[i];

        if (cell->at[0].here && !cell->at[1].here && tune_chance(60))
            cell->at[1] = cell->at[0].quality == DOM
                              ? tune_sound(cell->at[0].root + 7, MIN)
                              : tune_five_of(cell->at[0].root);
    }
}
