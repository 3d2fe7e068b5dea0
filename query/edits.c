/* query/edits.c - a fragment made ready, and the best places of a line. */
#include "query/edits.h"

#include <stdlib.h>
#include <string.h>

#include "query/edits_parts.h"

/* --- the fragment -------------------------------------------------------- */

/* Where the transposition of GROUP, which holds KNOWN known notes, may come
 * from. */
static void choose_sources(const struct edits *e, struct edits_group *group,
                           size_t known)
{
    size_t wanted = (size_t)e->most + 1;

    group->anchored = group->begin == 0 && !e->any[0];
    group->closed =
        !group->anchored && group->end == e->count && !e->any[e->count - 1];
    if (group->anchored || group->closed) {
        group->sources[0] = group->anchored ? 0 : e->count - 1;
        group->source_count = 1;
        return;
    }
    group->may_vanish = known < wanted;
    for (size_t k = group->begin; k < group->end; k++)
        if (!e->any[k] && group->source_count < wanted)
            group->sources[group->source_count++] = k;
}

static void divide(struct edits *e, const struct fragment *f)
{
    struct edits_group *group = e->groups;
    size_t fixed = e->count, known = 0; /* the last known note; how many */

    for (size_t k = 0; k < e->count; k++) {
        if (e->any[k])
            continue;
        if (fixed < e->count && f->group[k] != f->group[fixed]) {
            group->end = k;
            choose_sources(e, group, known);
            group++;
            group->begin = k;
            known = 0;
        }
        fixed = k;
        known++;
    }
    group->end = e->count;
    choose_sources(e, group, known);
    e->group_count = (size_t)(group - e->groups) + 1;
}

enum status edits_new(struct edits **out, const struct fragment *f,
                      bool any_octave, int most, struct fault *why)
{
    struct edits *e;

    *out = NULL;
    if (most < 0 || most > EDITS_MAX)
        return fault_set(why, ST_USAGE, "a fragment may have 0 to %d edits",
                         EDITS_MAX);
    e = calloc(1, sizeof *e);
    if (!e)
        return fault_nomem(why);
    e->count = f->count;
    e->most = most;
    e->any_octave = any_octave;
    for (size_t k = 0; k < f->count; k++) {
        e->any[k] = f->any[k];
        e->midi[k] = any_octave ? pitch_modulo(f->midi[k], 12) : f->midi[k];
    }
    divide(e, f);
    edits_wide_prepare(e);
    *out = e;
    return ST_OK;
}

void edits_free(struct edits *e)
{
    if (!e)
        return;
    free(e->line);
    free(e->taken);
    free(e->places);
    free(e);
}

/* --- the line ------------------------------------------------------------ */

static enum status make_room(struct edits *e, size_t count, struct fault *why)
{
    uint8_t *line, *taken;

    if (count <= e->line_room && e->line)
        return ST_OK;
    line = realloc(e->line, EDITS_FRONT + count + EDITS_BACK);
    if (line)
        e->line = line;
    taken = realloc(e->taken, count + 1);
    if (taken)
        e->taken = taken;
    if (!line || !taken)
        return fault_nomem(why);
    e->line_room = count;
    return ST_OK;
}

typedef uint8_t lanes __attribute__((vector_size(EDITS_LANES)));

/* DOWN less where V is not below it. */
static inline lanes lower(lanes v, uint8_t down)
{
    return v - ((lanes)(v >= down) & down);
}

/* The pitch classes of the COUNT pitches at LINE, EDITS_LANES at a time: bytes
 * behind the last are changed as well. */
static void take_classes(uint8_t *line, size_t count)
{
    for (size_t at = 0; at < count; at += EDITS_LANES) {
        lanes v;

        memcpy(&v, line + at, sizeof v);
        /* Eight octaves less, four, two, one: up to 127 that is enough. */
        v = lower(lower(lower(lower(v, 96), 48), 24), 12);
        memcpy(line + at, &v, sizeof v);
    }
}

static void take_line(struct edits *e, const uint8_t *midi, size_t count)
{
    uint8_t *line = e->line + EDITS_FRONT;

    memset(e->line, EDITS_NO_NOTE, EDITS_FRONT);
    if (count > 0)
        memcpy(line, midi, count);
    if (e->any_octave)
        take_classes(line, count);
    memset(line + count, EDITS_NO_NOTE, EDITS_BACK);
    e->line_count = count;
}

/* --- the best ------------------------------------------------------------ */

/* The places are in order already but for their edits. */
static void take_best(struct edits *e)
{
    size_t kept = 0;

    memset(e->taken, 0, e->line_count);
    for (int edits = 0; edits <= e->most; edits++)
        for (size_t i = 0; i < e->place_count; i++) {
            struct edits_place *place = &e->places[i];
            size_t length = place->last - place->first + 1;

            if (place->edits != edits)
                continue;
            if (memchr(e->taken + place->first, 1, length))
                place->edits = UINT8_MAX; /* dropped */
            else
                memset(e->taken + place->first, 1, length);
        }
    for (size_t i = 0; i < e->place_count; i++)
        if (e->places[i].edits != UINT8_MAX)
            e->places[kept++] = e->places[i];
    e->place_count = kept;
}

static enum status scan_line(struct edits *e, const uint8_t *midi,
                             size_t count, edits_accept accept, void *context,
                             struct fault *why)
{
    enum status st = make_room(e, count, why);

    e->place_count = 0;
    if (st == ST_OK) {
        take_line(e, midi, count);
        st = edits_scan(e, accept, context, why);
    }
    if (st != ST_OK)
        e->place_count = 0;
    return st;
}

enum status edits_find(struct edits *e, const uint8_t *midi, size_t count,
                       edits_accept accept, void *context,
                       const struct edits_place **places, size_t *found,
                       struct fault *why)
{
    enum status st = scan_line(e, midi, count, accept, context, why);

    if (e->place_count > 0)
        take_best(e);
    *places = e->places;
    *found = e->place_count;
    return st;
}

enum status edits_find_all(struct edits *e, const uint8_t *midi, size_t count,
                           const struct edits_place **places, size_t *found,
                           struct fault *why)
{
    enum status st = scan_line(e, midi, count, NULL, NULL, why);

    *places = e->places;
    *found = e->place_count;
    return st;
}
