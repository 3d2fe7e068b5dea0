/* query/study_fill.c - a good and varied set of places, from easy to hard. */
#include "query/study_fill.h"

#include <stdlib.h>

#include "query/hit_view.h"
#include "query/place.h"

enum {
    FOUR_BARS = 4
};

/* FNV-1a, 64 bits; the sign is dropped, since below 0 is not known. */
static int64_t mix(int64_t hash, const void *bytes, size_t size)
{
    const unsigned char *at = bytes;
    uint64_t h = (uint64_t)hash;

    for (size_t i = 0; i < size; i++)
        h = (h ^ at[i]) * 1099511628211u;
    return (int64_t)(h & INT64_MAX);
}

enum {
    MIX_START = 1469598103
};

static int64_t text_trait(const char *text)
{
    int64_t hash = MIX_START;

    if (!*text)
        return -1;
    for (; *text; text++)
        hash = mix(hash, text, 1);
    return hash;
}

/* From onset to onset in parts of the first: equal at any speed. */
static int64_t rhythm_trait(const struct note *notes, size_t count)
{
    int64_t first = count > 1 ? notes[1].start - notes[0].start : 0;
    int64_t hash = MIX_START;

    if (first <= 0)
        return -1;
    for (size_t i = 1; i + 1 < count; i++) {
        struct rational part =
            rational_make(notes[i + 1].start - notes[i].start, first);

        hash = mix(hash, &part.num, sizeof part.num);
        hash = mix(hash, &part.den, sizeof part.den);
    }
    return hash;
}

static int64_t position_trait(const struct solo *solo, size_t first)
{
    const struct form_place *place =
        form_place_of(solo, solo->notes[first].bar);
    int opens = place_opens(solo, first, false)   ? 3
                : place_opens(solo, first, true)  ? 2
                : solo_starts_phrase(solo, first) ? 1
                                                  : 0;

    if (place->chorus == 0)
        return -1;
    return FOUR_BARS * opens + (place->chorus_bar - 1) % FOUR_BARS;
}

static void describe(struct choice *out, const struct find_page *page,
                     size_t index)
{
    struct hit_view view;
    const struct chord *chord;
    const struct hit *hit;

    /* All solos of these answers are held. */
    if (hit_view_make(&view, page, index, NULL) != ST_OK)
        return;
    hit = view.hit;
    chord = view.chord ? &view.chord->chord : NULL;
    out->relevance = hit->parts.score;
    out->traits[CHOOSE_KEY] = chord && chord->has_root ? chord->root_pc : -1;
    out->traits[CHOOSE_RELATION] =
        chord && hit->has_home ? relation_key(&hit->home, chord) : -1;
    out->traits[CHOOSE_RHYTHM] = rhythm_trait(view.notes, view.count);
    out->traits[CHOOSE_POSITION] = position_trait(view.solo, hit->first);
    out->traits[CHOOSE_PLAYER] = text_trait(view.found->performer);
    out->traits[CHOOSE_SOLO] = view.found->id;
}

/* All hits of all pages, one after the other. */
static size_t describe_all(struct choice *items, struct filled *places,
                           const struct find_page *const *pages, size_t count)
{
    size_t n = 0;

    for (size_t p = 0; p < count; p++)
        for (size_t i = 0; i < pages[p]->result->hit_count; i++) {
            places[n] = (struct filled){ .page = p, .hit = i };
            describe(&items[n++], pages[p], i);
        }
    return n;
}

static void grade(struct filled *place, const struct find_page *const *pages)
{
    const struct find_result *result = pages[place->page]->result;
    const struct hit *hit = &result->hits[place->hit];

    grade_passage(&place->grade, result->solos[hit->solo].solo, hit->first,
                  hit->last);
}

/* Stable: ties stay as they were chosen. */
static void sort_by_grade(struct filled *places, size_t count)
{
    for (size_t i = 1; i < count; i++) {
        struct filled moved = places[i];
        size_t k = i;

        for (; k > 0 && places[k - 1].grade.score > moved.grade.score; k--)
            places[k] = places[k - 1];
        places[k] = moved;
    }
}

size_t study_fill(struct filled *out, size_t size,
                  const struct find_page *const *pages, size_t count)
{
    size_t all = 0, done = SIZE_MAX;
    struct choice *items;
    struct filled *places;
    size_t *taken = calloc(size + 1, sizeof *taken);

    for (size_t p = 0; p < count; p++)
        all += pages[p]->result->hit_count;
    items = calloc(all + 1, sizeof *items);
    places = calloc(all + 1, sizeof *places);
    if (items && places && taken) {
        all = describe_all(items, places, pages, count);
        done = choose(taken, size, items, all);
    }
    for (size_t i = 0; done != SIZE_MAX && i < done; i++) {
        out[i] = places[taken[i]];
        grade(&out[i], pages);
    }
    if (done != SIZE_MAX)
        sort_by_grade(out, done);
    free(items);
    free(places);
    free(taken);
    return done;
}
