/* query/variants.c - the rhythms in which a fragment is played. */
#include "query/variants.h"

#include <stdlib.h>
#include <string.h>

#include "schema/grow.h"

/* --- syncopation ------------------------------------------------------ */

/* Is NOTE held over a place of the bar, or a bar line, that is stronger than
 * its onset?  (Common practice, no source.) */
static bool held_over(const struct solo *solo, const struct note *note)
{
    const struct bar *bar = &solo->bars[note->bar];
    int strength = solo_onset_strength(solo, note);
    int64_t end = note->onset + note->duration;
    /* Half a quarter is fine enough: nothing shorter is a beat. */
    int64_t step = solo->ticks / 2 > 0 ? solo->ticks / 2 : 1;

    if (strength < 4 && end > bar->length)
        return true;
    for (int64_t at = (note->onset / step + 1) * step;
         at < end && at < bar->length; at += step) {
        struct note there = *note;
        int stronger;

        there.onset = at;
        stronger = solo_onset_strength(solo, &there);
        /* A triplet that lies over half a beat is no syncopation. */
        if (stronger == 1 && note->onset * 4 % solo->ticks != 0)
            continue;
        if (stronger > strength)
            return true;
    }
    return false;
}

bool variants_syncopated(const struct solo *solo, size_t first, size_t last)
{
    for (size_t i = first; i <= last; i++)
        if (held_over(solo, &solo->notes[i]))
            return true;
    return false;
}

/* --- counting --------------------------------------------------------- */

static int compare_values(const struct variant *a, const struct variant *b)
{
    if (a->notes != b->notes)
        return a->notes < b->notes ? -1 : 1;
    for (size_t i = 0; i < a->notes; i++) {
        int order = rational_compare(a->value[i], b->value[i]);

        if (order != 0)
            return order;
    }
    return 0;
}

/* Where WANTED is or would stand; *FOUND says which. */
static size_t place_of(const struct variants *v, const struct variant *wanted,
                       bool *found)
{
    size_t low = 0, high = v->count;

    *found = false;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        int order = compare_values(wanted, v->items[middle]);

        if (order == 0) {
            *found = true;
            return middle;
        }
        if (order < 0)
            high = middle;
        else
            low = middle + 1;
    }
    return low;
}

static struct variant *insert(struct variants *v, size_t at,
                              const struct variant *new)
{
    struct variant **more =
        grow_room(v->items, v->count, &v->room, sizeof *more);
    struct variant *kept = NULL;

    if (more) {
        v->items = more;
        kept = malloc(sizeof *kept);
    }
    if (!kept)
        return NULL;
    *kept = *new;
    memmove(v->items + at + 1, v->items + at,
            (v->count - at) * sizeof *v->items);
    v->items[at] = kept;
    v->count++;
    return kept;
}

static void count_beat(struct variant *v, struct rational beat)
{
    size_t at = 0;

    while (at < v->beat_count &&
           rational_compare(v->beats[at].beat, beat) < 0)
        at++;
    if (at < v->beat_count &&
        rational_compare(v->beats[at].beat, beat) == 0) {
        v->beats[at].count++;
        return;
    }
    if (v->beat_count == VARIANT_BEATS_MAX)
        return;
    memmove(v->beats + at + 1, v->beats + at,
            (v->beat_count - at) * sizeof *v->beats);
    v->beats[at] = (struct variant_beat){ beat, 1 };
    v->beat_count++;
}

enum status variants_add(struct variants *variants, const struct solo *solo,
                         size_t first, size_t last, struct fault *why)
{
    struct variant here = { .notes = last - first + 1 }, *kept;
    bool found;
    size_t at;

    for (size_t i = first; i <= last; i++)
        here.value[i - first] = solo_quarters(
            solo, i < last ? solo->notes[i + 1].start - solo->notes[i].start
                           : solo->notes[i].duration);
    at = place_of(variants, &here, &found);
    kept = found ? variants->items[at] : insert(variants, at, &here);
    if (!kept)
        return fault_nomem(why);
    kept->count++;
    kept->syncopated += variants_syncopated(solo, first, last);
    count_beat(kept, solo_beat(solo, &solo->notes[first]));
    return ST_OK;
}

static int more_first(const void *a, const void *b)
{
    const struct variant *const *x = a, *const *y = b;

    if ((*x)->count != (*y)->count)
        return (*x)->count > (*y)->count ? -1 : 1;
    return compare_values(*x, *y);
}

void variants_sort(struct variants *variants)
{
    if (variants->count > 1)
        qsort(variants->items, variants->count, sizeof *variants->items,
              more_first);
}

void variants_free(struct variants *variants)
{
    for (size_t i = 0; i < variants->count; i++)
        free(variants->items[i]);
    free(variants->items);
    memset(variants, 0, sizeof *variants);
}
