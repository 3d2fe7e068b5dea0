/* twin_edits.c - places with a few notes changed, found by trying.
 *
 * For every first and every last note, every way of keeping, changing,
 * inserting and leaving out notes with so many edits is tried, with none
 * first; then the best places are taken one by one.
 */
#include <check.h>
#include <stdlib.h>

#include "tests/unit/twin.h"

enum {
    NO_KEY = 100000 /* the transposition is not known yet */
};

struct attempt {
    const struct question *q;
    const struct note *notes;
    int length;
};

/* The note A of the fragment is the note B of the place, in *KEY, which it
 * tells where it was not known. */
static bool keeps(const struct attempt *t, int a, int b, int *key)
{
    int up = t->notes[b].midi - t->q->midi[a];

    if (t->q->any[a])
        return true;
    if (t->q->any_octave)
        up = mod12(up + 1200);
    if (*key == NO_KEY)
        *key = up;
    return *key == up;
}

/* Another group of notes has a transposition of its own. */
static int key_of_next(const struct attempt *t, int a, int key)
{
    return a + 1 < t->q->n && t->q->group[a + 1] != t->q->group[a] ? NO_KEY
                                                                   : key;
}

/* Can the notes A.. of the fragment become the notes B.. of the place in LEFT
 * edits? */
static bool becomes(const struct attempt *t, int a, int b, int key, int left)
{
    int n = t->q->n, kept = key, next = key_of_next(t, a, key);
    bool inner = a > 0 && a < n - 1, there = b < t->length;

    if (a == n)
        return b == t->length;
    if (abs((n - a) - (t->length - b)) > left)
        return false;
    if (there && keeps(t, a, b, &kept) &&
        becomes(t, a + 1, b + 1, key_of_next(t, a, kept), left))
        return true;
    if (left == 0)
        return false;
    if (inner && there && becomes(t, a + 1, b + 1, next, left - 1))
        return true;
    if (inner && becomes(t, a + 1, b, next, left - 1))
        return true;
    return a > 0 && there && becomes(t, a, b + 1, key, left - 1);
}

static int fewest(const struct attempt *t)
{
    int edits = 0;

    while (edits <= t->q->edits && !becomes(t, 0, 0, NO_KEY, edits))
        edits++;
    return edits;
}

/* The ends are kept and tell the transposition. */
static int shift_of(const struct attempt *t)
{
    const struct question *q = t->q;

    if (!q->any[0])
        return t->notes[0].midi - q->midi[0];
    return t->notes[t->length - 1].midi - q->midi[q->n - 1];
}

struct tried {
    struct twin_spot spot;
    int edits;
    bool taken;
};

static int best_first(const void *a, const void *b)
{
    const struct tried *x = a, *y = b;

    if (x->edits != y->edits)
        return x->edits - y->edits;
    if (x->spot.first != y->spot.first)
        return x->spot.first - y->spot.first;
    return x->spot.n - y->spot.n;
}

static int by_first(const void *a, const void *b)
{
    return ((const struct tried *)a)->spot.first -
           ((const struct tried *)b)->spot.first;
}

/* Take the best first; what shares a note with one taken is out. */
static void choose(struct tried *all, int count, int notes)
{
    bool *used = calloc((size_t)notes + 1, sizeof *used);

    ck_assert_ptr_nonnull(used);
    if (count > 0)
        qsort(all, (size_t)count, sizeof *all, best_first);
    for (int i = 0; i < count; i++) {
        const struct twin_spot *spot = &all[i].spot;

        all[i].taken = true;
        for (int k = 0; k < spot->n; k++)
            if (used[spot->first + k])
                all[i].taken = false;
        for (int k = 0; k < spot->n && all[i].taken; k++)
            used[spot->first + k] = true;
    }
    if (count > 0)
        qsort(all, (size_t)count, sizeof *all, by_first);
    free(used);
}

void twin_look_edits(const struct question *q, const struct solo *solo,
                     void (*add)(const struct question *q, size_t at,
                                 const struct twin_spot *spot, int edits),
                     size_t at)
{
    int notes = (int)solo->note_count, count = 0;
    struct tried *all = calloc((size_t)notes * 7 + 1, sizeof *all);

    ck_assert_ptr_nonnull(all);
    for (int first = 0; first < notes; first++)
        for (int n = q->n - q->edits; n <= q->n + q->edits; n++) {
            struct attempt t = { q, solo->notes + first, n };
            struct tried try = { .spot = { first, n, 0 } };
            int exactness;

            if (n < 2 || first + n > notes)
                continue;
            try.edits = fewest(&t);
            try.spot.shift = shift_of(&t);
            if (try.edits <= q->edits &&
                twin_rest(q, solo, &try.spot, &exactness))
                all[count++] = try;
        }
    choose(all, count, notes);
    for (int i = 0; i < count; i++)
        if (all[i].taken)
            add(q, at, &all[i].spot, all[i].edits);
    free(all);
}
