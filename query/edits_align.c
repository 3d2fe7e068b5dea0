/* query/edits_align.c - which notes of a place were changed, and what they
 * are. */
#include <string.h>

#include "query/edits_parts.h"

enum {
    FAR = 100, /* more edits than there can be */
    /* Transpositions that may do for one group. */
    KEYS_MAX = (EDITS_MAX + 1) * (2 * EDITS_MAX + 1) + 1
};

/* A transposition; none where no known note of the group is kept. */
struct key {
    bool known;
    int up; /* from fragment to place */
};

/* The least edits from note K of the fragment and note P of the place to the
 * ends of both: cost[K][P]. */
struct table {
    const struct edits *edits;
    const uint8_t *midi;
    size_t length;
    uint8_t cost[FRAGMENT_NOTES_MAX + 1][EDITS_PLACE_MAX + 1];
};

static int wanted(const struct edits *e, size_t k, struct key key)
{
    if (e->any[k] || !key.known)
        return -1;
    return e->any_octave ? pitch_modulo(e->midi[k] + key.up, 12)
                         : e->midi[k] + key.up;
}

static bool same(const struct table *t, size_t k, size_t p, struct key key)
{
    int off;

    if (t->edits->any[k] || !key.known)
        return t->edits->any[k];
    off = t->midi[p] - (t->edits->midi[k] + key.up);
    return t->edits->any_octave ? off % 12 == 0 : off == 0;
}

static size_t list_keys(const struct table *t, const struct edits_group *group,
                        struct key keys[KEYS_MAX])
{
    const struct edits *e = t->edits;
    size_t count = 0, most = (size_t)e->most;

    for (size_t i = 0; i < group->source_count; i++) {
        size_t k = group->sources[i];
        size_t from = k > most ? k - most : 0, to = k + most;

        if (group->anchored)
            from = to = 0;
        if (group->closed)
            from = to = t->length - 1;
        for (size_t p = from; p <= to && p < t->length; p++)
            keys[count++] = (struct key){ true, t->midi[p] - e->midi[k] };
    }
    if (group->may_vanish)
        keys[count++] = (struct key){ false, 0 };
    return count;
}

static void least(uint8_t *cost, int other)
{
    if (other < *cost)
        *cost = (uint8_t)other;
}

/* The ends are kept, so nothing lies before the one or after the other. */
static bool may_edit(const struct edits *e, size_t k)
{
    return k > 0 && k + 1 < e->count;
}

/* The costs from each note of GROUP in KEY, those from the next one known. */
static void fill(struct table *t, const struct edits_group *group,
                 struct key key)
{
    const struct edits *e = t->edits;

    for (size_t k = group->end; k-- > group->begin;)
        for (size_t p = t->length + 1; p-- > 0;) {
            uint8_t *cost = &t->cost[k][p];

            *cost = FAR;
            if (p < t->length && same(t, k, p, key))
                *cost = t->cost[k + 1][p + 1];
            if (p < t->length && may_edit(e, k))
                least(cost, t->cost[k + 1][p + 1] + 1);
            if (p < t->length && k > 0)
                least(cost, t->cost[k][p + 1] + 1);
            if (may_edit(e, k))
                least(cost, t->cost[k + 1][p] + 1);
        }
}

/* The costs from the first note of GROUP in its best transpositions. */
static void fill_best(struct table *t, const struct edits_group *group)
{
    uint8_t best[EDITS_PLACE_MAX + 1];
    struct key keys[KEYS_MAX];
    size_t count = list_keys(t, group, keys);

    memset(best, FAR, sizeof best);
    for (size_t i = 0; i < count; i++) {
        fill(t, group, keys[i]);
        for (size_t p = 0; p <= t->length; p++)
            least(&best[p], t->cost[group->begin][p]);
    }
    memcpy(t->cost[group->begin], best, t->length + 1);
}

static void add_step(struct edits_alignment *out, enum edit edit, int note,
                     int at, int pitch)
{
    struct edits_step step = { edit, note, at, pitch };

    out->edits += edit != EDIT_NONE;
    out->steps[out->count++] = step;
}

/* Walk through GROUP, filled in KEY, from note *P of the place. */
static void walk(const struct table *t, const struct edits_group *group,
                 struct key key, size_t *p, struct edits_alignment *out)
{
    size_t k = group->begin;

    while (k < group->end) {
        int cost = t->cost[k][*p];
        int pitch = wanted(t->edits, k, key);

        if (*p < t->length && same(t, k, *p, key) &&
            t->cost[k + 1][*p + 1] == cost)
            add_step(out, EDIT_NONE, (int)k++, (int)(*p)++, pitch);
        else if (*p < t->length && may_edit(t->edits, k) &&
                 t->cost[k + 1][*p + 1] + 1 == cost)
            add_step(out, EDIT_CHANGED, (int)k++, (int)(*p)++, pitch);
        else if (*p < t->length && k > 0 && t->cost[k][*p + 1] + 1 == cost)
            add_step(out, EDIT_INSERTED, -1, (int)(*p)++, -1);
        else
            add_step(out, EDIT_LEFT_OUT, (int)k++, -1, pitch);
    }
}

bool edits_align(const struct edits *e, const uint8_t *midi, size_t length,
                 struct edits_alignment *out)
{
    struct table t = { .edits = e, .midi = midi, .length = length };
    size_t p = 0;

    memset(out, 0, sizeof *out);
    if (length == 0 || length > EDITS_PLACE_MAX)
        return false;
    memset(t.cost[e->count], FAR, sizeof t.cost[0]);
    t.cost[e->count][length] = 0;
    for (size_t g = e->group_count; g-- > 0;)
        fill_best(&t, &e->groups[g]);
    if (t.cost[0][0] > e->most)
        return false;
    for (size_t g = 0; g < e->group_count; g++) {
        const struct edits_group *group = &e->groups[g];
        int least_cost = t.cost[group->begin][p];
        struct key keys[KEYS_MAX];
        size_t count = list_keys(&t, group, keys);

        for (size_t i = 0; i < count; i++) {
            fill(&t, group, keys[i]);
            if (t.cost[group->begin][p] == least_cost) {
                walk(&t, group, keys[i], &p, out);
                break;
            }
        }
    }
    return true;
}

/* --- roles --------------------------------------------------------------- */

static bool is_step(int semitones)
{
    return semitones != 0 && semitones >= -2 && semitones <= 2;
}

enum edits_role edits_role(int before, int note, int after)
{
    int to = note - before, on = after - note;

    if (to == 0 || on == 0)
        return EDITS_REPEATED;
    if (!is_step(to) || !is_step(on))
        return EDITS_OTHER;
    if (to == -on)
        return EDITS_NEIGHBOUR;
    return (to > 0) == (on > 0) ? EDITS_PASSING : EDITS_OTHER;
}

const char *edits_role_name(enum edits_role role)
{
    switch (role) {
    case EDITS_PASSING:
        return "passing note";
    case EDITS_NEIGHBOUR:
        return "neighbour note";
    case EDITS_REPEATED:
        return "repeated note";
    case EDITS_OTHER:
        break;
    }
    return "";
}
