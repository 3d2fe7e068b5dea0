/* query/notation_divide.c - stretches of a bar as note values. */
#include <stdlib.h>

#include "query/notation_parts.h"
#include "schema/grow.h"

enum {
    VALUE_MIN = -1,  /* a breve */
    VALUE_MAX = 8,   /* a 256th */
    TUPLET_MAX = 15, /* notes that share the time of fewer */
    FINEST = 32      /* parts of a beat that are written without tuplets */
};

/* Beats that are written as one: a tuplet, or plain. */
struct block {
    int64_t start, end;
    int actual, normal; /* 0: plain */
};

struct division {
    const struct stretch *items;
    size_t count;
    const struct beats *beats;
    int64_t ticks;
    struct block *blocks;
    size_t block_count;
    struct sign *signs;
    size_t sign_count, sign_room;
};

/* --- values ------------------------------------------------------------- */

/* The note value of LENGTH ticks, a dot allowed where DOTS.  False where there
 * is none. */
static bool value_of(int64_t length, int64_t ticks, bool dots, struct sign *out)
{
    for (int v = VALUE_MIN; v <= VALUE_MAX; v++) {
        int64_t plain = v < 0 ? 8 * ticks : 4 * ticks >> v;

        if (length == plain || (dots && 2 * length == 3 * plain)) {
            out->value = (int8_t)v;
            out->dots = length != plain;
            return true;
        }
    }
    return false;
}

/* The longest value of at most LENGTH; where all are longer, the shortest.
 * Returns its length. */
static int64_t longest_value(int64_t length, int64_t ticks, bool dots,
                             struct sign *out)
{
    for (int v = VALUE_MIN; v <= VALUE_MAX; v++) {
        int64_t plain = v < 0 ? 8 * ticks : 4 * ticks >> v;

        out->value = (int8_t)v;
        out->dots = dots && 3 * plain / 2 <= length;
        if (out->dots)
            return 3 * plain / 2;
        if (plain <= length)
            return plain;
    }
    return 4 * ticks >> VALUE_MAX;
}

/* --- tuplets -------------------------------------------------------------- */

/* The number of equal parts into which the stretches divide START..END. */
static int64_t parts_between(const struct division *d, int64_t start,
                             int64_t end)
{
    int64_t part = end - start;

    for (size_t i = 0; i < d->count; i++)
        if (d->items[i].start > start && d->items[i].start < end)
            part = rational_gcd(part, d->items[i].start - start);
    return (end - start) / part;
}

static int64_t odd_part(int64_t n)
{
    while (n % 2 == 0)
        n /= 2;
    return n;
}

/* Is beat I written without a tuplet? */
static bool is_plain(const struct division *d, int i)
{
    int64_t n = parts_between(d, d->beats->at[i], d->beats->at[i + 1]);

    if (d->beats->by_three[i] && n % 3 == 0)
        n /= 3;
    return odd_part(n) == 1 && n <= FINEST;
}

/* Does a stretch start at AT? */
static bool is_divided(const struct division *d, int64_t at)
{
    for (size_t i = 0; i < d->count; i++)
        if (d->items[i].start == at)
            return true;
    return false;
}

/* May WIDTH beats from I on be one triplet: are they alike, is the middle
 * hidden by a note, and do all notes lie on its parts? */
static bool is_wide_triplet(const struct division *d, int i, int width)
{
    const struct beats *b = d->beats;
    int64_t beat = b->at[i + 1] - b->at[i];
    int64_t n;

    if (i + width > b->count || i % width != 0)
        return false;
    for (int k = i; k < i + width; k++)
        if (b->by_three[k] || b->at[k + 1] - b->at[k] != beat)
            return false;
    n = parts_between(d, b->at[i], b->at[i + width]);
    return odd_part(n) == 3 && n <= (width == 2 ? 12 : 6) &&
           !is_divided(d, b->at[i + width / 2]);
}

/* Where beat I, which takes a tuplet, falls into a plain half and one with a
 * tuplet; else 0. */
static int64_t half_of_beat(const struct division *d, int i)
{
    const struct beats *b = d->beats;
    int64_t start = b->at[i], end = b->at[i + 1];
    int64_t middle = start + (end - start) / 2;

    if (b->by_three[i] || !is_divided(d, middle))
        return 0;
    if (odd_part(parts_between(d, start, middle)) != 1 &&
        odd_part(parts_between(d, middle, end)) != 1)
        return 0;
    return middle;
}

/* How many notes of a tuplet of ACTUAL share a beat. */
static int normal_of(int actual, bool by_three)
{
    int normal = by_three ? 3 : 1;

    while (2 * normal < actual)
        normal *= 2;
    return normal;
}

static void add_block(struct division *d, int64_t start, int64_t end,
                      bool by_three)
{
    struct block *block = &d->blocks[d->block_count++];
    int64_t n = odd_part(parts_between(d, start, end));

    *block = (struct block){ start, end, 0, 0 };
    if (n > 1 && n <= TUPLET_MAX) {
        block->actual = (int)n;
        block->normal = normal_of((int)n, by_three);
    }
}

/* Put the blocks that start with beat I.  Returns how many beats they have. */
static int add_beats(struct division *d, int i)
{
    const struct beats *b = d->beats;
    int64_t start = b->at[i], half;
    int width = 1;

    if (is_wide_triplet(d, i, 4))
        width = 4;
    else if (!is_plain(d, i) && is_wide_triplet(d, i, 2))
        width = 2;
    if (width == 1 && is_plain(d, i)) {
        d->blocks[d->block_count++] =
            (struct block){ start, b->at[i + 1], 0, 0 };
        return 1;
    }
    half = width == 1 ? half_of_beat(d, i) : 0;
    if (half > 0) {
        add_block(d, start, half, false);
        add_block(d, half, b->at[i + 1], false);
    } else {
        add_block(d, start, b->at[i + width], b->by_three[i]);
    }
    return width;
}

/* --- signs ---------------------------------------------------------------- */

static struct sign *add_sign(struct division *d, const struct stretch *s,
                             int64_t from, int64_t to)
{
    struct sign *signs =
        grow_room(d->signs, d->sign_count, &d->sign_room, sizeof *signs);
    struct sign *sign;

    if (!signs)
        return NULL;
    d->signs = signs;
    sign = &signs[d->sign_count++];
    *sign = (struct sign){ .at = from,
                           .duration = to - from,
                           .note = s->note,
                           .tied = s->note >= 0 && to < s->end,
                           .exact = true };
    return sign;
}

/* The part FROM..TO of S inside the tuplet BLOCK. */
static bool add_in_tuplet(struct division *d, const struct stretch *s,
                          const struct block *block, int64_t from, int64_t to)
{
    int64_t written = (to - from) * block->actual / block->normal;

    while (from < to) {
        struct sign value = { 0 }, *sign;
        int64_t length = longest_value(written, d->ticks, true, &value);
        int64_t sounds = length * block->normal / block->actual;
        bool last = length >= written || from + sounds >= to;

        sign = add_sign(d, s, from, last ? to : from + sounds);
        if (!sign)
            return false;
        sign->value = value.value;
        sign->dots = value.dots;
        sign->exact = last ? length == written : true;
        sign->actual = (uint8_t)block->actual;
        sign->normal = (uint8_t)block->normal;
        sign->tuplet_start = from == block->start;
        sign->tuplet_stop = sign->at + sign->duration == block->end;
        from = sign->at + sign->duration;
        written -= length;
    }
    return true;
}

/* The beat in which AT lies. */
static int beat_at(const struct beats *b, int64_t at)
{
    int i = b->count - 1;

    while (i > 0 && b->at[i] > at)
        i--;
    return i;
}

/* The middle of a bar of four beats, which is to be seen; -1 elsewhere. */
static int64_t middle_of(const struct beats *b)
{
    return b->count == 4 && !b->by_three[0] ? b->at[2] : -1;
}

/* How far a value may go from FROM, which is on the beat I, to hold until TO.
 */
static int64_t reach_from_beat(const struct division *d, int i, int64_t from,
                               int64_t to, bool rest)
{
    const struct beats *b = d->beats;
    int64_t beat = b->at[i + 1] - b->at[i], middle = middle_of(b);
    int last = i;
    struct sign value;

    while (last + 1 <= b->count && b->at[last + 1] <= to)
        last++;
    if (from < middle && to > middle && from != 0 &&
        (rest || last != i + 2 || to != b->at[last]))
        return middle;
    if (from == 0 && to > middle && middle > 0 &&
        (rest ? last < 4 : to != b->at[last]))
        return middle;
    if (last == i)
        return to;
    if (to != b->at[last])
        return !rest && !b->by_three[i] && 2 * (to - from) == 3 * beat
                   ? to
                   : b->at[last];
    while (last > i + 1 && !value_of(b->at[last] - from, d->ticks,
                                     !rest || b->by_three[i], &value))
        last--;
    return b->at[last];
}

/* The same where FROM is off the beat. */
static int64_t reach_off_beat(const struct division *d, int i, int64_t from,
                              int64_t to, bool rest)
{
    const struct beats *b = d->beats;
    int64_t beat = b->at[i + 1] - b->at[i], next = b->at[i + 1];

    if (to <= next)
        return to;
    if (!rest && !b->by_three[i] && 2 * (from - b->at[i]) == beat &&
        to - from == beat && next != middle_of(b) && next < b->at[b->count])
        return to;
    return next;
}

/* The part FROM..TO of S outside of tuplets. */
static bool add_plain(struct division *d, const struct stretch *s, int64_t from,
                      int64_t to)
{
    const struct beats *b = d->beats;
    bool rest = s->note < 0;

    while (from < to) {
        int i = beat_at(b, from);
        int64_t reach = from == b->at[i] ? reach_from_beat(d, i, from, to, rest)
                                         : reach_off_beat(d, i, from, to, rest);
        bool dots = !rest || b->by_three[i];
        struct sign value = { 0 }, *sign;
        bool exact = value_of(reach - from, d->ticks, dots, &value);

        if (!exact) {
            int64_t length =
                longest_value(reach - from, d->ticks, dots, &value);

            exact = length < reach - from;
            if (exact)
                reach = from + length;
        }
        sign = add_sign(d, s, from, reach);
        if (!sign)
            return false;
        sign->value = value.value;
        sign->dots = value.dots;
        sign->exact = exact;
        from = reach;
    }
    return true;
}

/* The block in which AT lies. */
static size_t block_at(const struct division *d, int64_t at)
{
    size_t i = d->block_count - 1;

    while (i > 0 && d->blocks[i].start > at)
        i--;
    return i;
}

static bool add_stretch(struct division *d, const struct stretch *s)
{
    int64_t from = s->start;

    while (from < s->end) {
        size_t i = block_at(d, from);
        bool tuplet = d->blocks[i].actual > 0, good;
        int64_t to = d->blocks[i].end;

        while (!tuplet && i + 1 < d->block_count &&
               d->blocks[i + 1].actual == 0)
            to = d->blocks[++i].end;
        if (to > s->end)
            to = s->end;
        good = tuplet ? add_in_tuplet(d, s, &d->blocks[i], from, to)
                      : add_plain(d, s, from, to);
        if (!good)
            return false;
        from = to;
    }
    return true;
}

enum status stretches_divide(struct sign **out, size_t *sign_count,
                             const struct stretch *items, size_t count,
                             const struct beats *beats, int64_t ticks,
                             struct fault *why)
{
    struct division d = {
        .items = items, .count = count, .beats = beats, .ticks = ticks
    };
    bool good = true;

    d.blocks = calloc(2 * (size_t)beats->count + 1, sizeof *d.blocks);
    if (!d.blocks)
        return fault_nomem(why);
    for (int i = 0; i < beats->count;)
        i += add_beats(&d, i);
    for (size_t i = 0; i < count && good; i++)
        good = add_stretch(&d, &items[i]);
    free(d.blocks);
    *out = d.signs;
    *sign_count = d.sign_count;
    return good ? ST_OK : fault_nomem(why);
}
