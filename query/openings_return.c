/* query/openings_return.c - does an earlier opening return; see openings.h. */
#include <stdlib.h>
#include <string.h>

#include "query/edits.h"
#include "query/openings_parts.h"

enum {
    VARIED_MIN = 5, /* notes of a head that may be varied */
    CHANGES = 1,
    CHANGES_OF_LONG = 2 /* of a head of OPENING_HEAD_MAX notes */
};

/* An opening from some note on. */
struct side {
    size_t first;   /* note */
    size_t count;   /* notes of the phrase from there */
    size_t head;    /* of these, notes of the head */
    int64_t before; /* ticks from there to the chorus */
};

static struct side side_of(const struct solo *solo,
                           const struct opening *opening, bool inside)
{
    struct side out = { .first = inside ? opening->inside : opening->first };
    int64_t usual = openings_usual(solo, opening->first, opening->last);

    out.count = opening->last + 1 - out.first;
    while (out.head < out.count && out.head < OPENING_HEAD_MAX &&
           (out.head < OPENING_HEAD_MIN ||
            !openings_breathes(solo, out.first + out.head - 1, usual)))
        out.head++;
    out.before = solo->bars[opening->bar].start - solo->notes[out.first].start;
    return out;
}

static int step(const struct solo *solo, size_t index)
{
    return solo->notes[index + 1].midi - solo->notes[index].midi;
}

static int sign(int x)
{
    return (x > 0) - (x < 0);
}

static bool is_line(struct opening_return *out, const struct solo *solo,
                    const struct side *a, const struct side *b)
{
    size_t alike = 1;

    while (alike < a->count && alike < b->count &&
           step(solo, a->first + alike - 1) == step(solo, b->first + alike - 1))
        alike++;
    if (alike < OPENING_HEAD_MIN &&
        !(alike == 3 && a->count == 3 && b->count == 3))
        return false;
    out->how = OPENING_LINE;
    out->notes = (int)alike;
    out->up = solo->notes[b->first].midi - solo->notes[a->first].midi;
    return true;
}

static bool is_rhythm(struct opening_return *out, const struct solo *solo,
                      const struct side *a, const struct side *b)
{
    int64_t period = openings_period(solo, solo->notes[a->first].bar);

    if (a->head != b->head || a->head < OPENING_HEAD_MIN ||
        (a->before - b->before) % period != 0 ||
        !openings_same_times(solo, a->first, b->first, a->head))
        return false;
    for (size_t i = 0; i + 1 < a->head; i++)
        if (sign(step(solo, a->first + i)) != sign(step(solo, b->first + i)))
            return false;
    out->how = OPENING_RHYTHM;
    out->notes = (int)a->head;
    return true;
}

static bool from_the_start(void *context, size_t first, size_t last)
{
    (void)context;
    (void)last;
    return first == 0;
}

/* Does B start with the head of A, a few notes changed? */
static enum status is_variation(struct opening_return *out,
                                const struct solo *solo, const struct side *a,
                                const struct side *b, bool *found,
                                struct fault *why)
{
    int changes = a->head >= OPENING_HEAD_MAX ? CHANGES_OF_LONG : CHANGES;
    struct fragment head = { .count = a->head };
    uint8_t midi[OPENING_HEAD_MAX + CHANGES_OF_LONG];
    const struct edits_place *places;
    struct edits *edits;
    enum status st;
    size_t count = 0;

    *found = false;
    if (a->head < VARIED_MIN || b->head < VARIED_MIN)
        return ST_OK;
    for (size_t i = 0; i < a->head; i++)
        head.midi[i] = solo->notes[a->first + i].midi;
    for (; count < b->count && count < sizeof midi; count++)
        midi[count] = solo->notes[b->first + count].midi;
    st = edits_new(&edits, &head, false, changes, why);
    if (st != ST_OK)
        return st;
    st = edits_find(edits, midi, count, from_the_start, NULL, &places, &count,
                    why);
    if (st == ST_OK && count > 0) {
        *found = true;
        out->how = OPENING_VARIATION;
        out->notes = (int)a->head;
        out->changed = places[0].edits;
    }
    edits_free(edits);
    return st;
}

/* Does LATER return to EARLIER, and how? */
static enum status compare(struct opening_return *out, const struct solo *solo,
                           const struct opening *earlier,
                           const struct opening *later, bool *found,
                           struct fault *why)
{
    struct side a[2], b[2];
    enum status st = ST_OK;

    *found = true;
    for (int i = 0; i < 2; i++) {
        a[i] = side_of(solo, earlier, i == 1);
        b[i] = side_of(solo, later, i == 1);
    }
    for (int i = 0; i < 2; i++)
        if (is_line(out, solo, &a[i], &b[i]))
            return ST_OK;
    for (int i = 0; i < 2; i++)
        if (is_rhythm(out, solo, &a[i], &b[i]))
            return ST_OK;
    *found = false;
    for (int i = 0; i < 2 && st == ST_OK && !*found; i++)
        st = is_variation(out, solo, &a[i], &b[i], found, why);
    return st;
}

enum status openings_find_returns(struct openings *openings, size_t index,
                                  const struct solo *solo, struct fault *why)
{
    struct opening *later = &openings->items[index];
    enum status st = ST_OK;
    size_t from = index > OPENING_BACK ? index - OPENING_BACK : 0;

    later->returns = calloc(index - from + 1, sizeof *later->returns);
    if (!later->returns)
        return fault_nomem(why);
    for (size_t i = from; i < index && st == ST_OK; i++) {
        const struct opening *earlier = &openings->items[i];
        struct opening_return r = { .chorus = earlier->chorus };
        bool found = false;

        if (later->kind != OPENING_CLEAR || earlier->kind != OPENING_CLEAR)
            continue;
        if (earlier->bar == later->bar) {
            r.how = OPENING_WRITTEN;
            found = true;
        } else {
            st = compare(&r, solo, earlier, later, &found, why);
        }
        if (found)
            later->returns[later->return_count++] = r;
    }
    return st;
}
