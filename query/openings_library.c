/* query/openings_library.c - which openings recur across the library. */
#include "query/openings_library.h"

#include <stdlib.h>
#include <string.h>

#include "query/hit_view.h"
#include "query/scan.h"
#include "schema/grow.h"

struct collect {
    struct openings_library *out;
    const struct openings_query *query;
};

static void fill_entry(struct openings_entry *entry, const struct solo *solo,
                       const struct opening *opening, size_t first,
                       size_t notes)
{
    const struct chord_event *event =
        real_chord(solo, solo_window_chord(solo, first, notes));

    memset(entry, 0, sizeof *entry);
    for (size_t i = 0; i + 1 < notes; i++)
        entry->intervals[i] = (int8_t)(solo->notes[first + i + 1].midi -
                                       solo->notes[first + i].midi);
    entry->midi = solo->notes[first].midi;
    entry->chorus = opening->chorus;
    entry->is_riff = opening->riff.found;
    entry->class = CHORD_NONE;
    if (event) {
        entry->chord = event->chord;
        entry->class = event->chord.class;
        entry->start =
            (uint8_t)note_above_root(&solo->notes[first], &event->chord);
    }
    entry->example.first = (uint32_t)first;
    entry->example.last = (uint32_t)(first + notes - 1);
}

static enum status take(struct collect *in, size_t index,
                        const struct solo *solo, const struct opening *opening,
                        struct fault *why)
{
    struct openings_library *out = in->out;
    size_t first = in->query->with_pickup ? opening->first : opening->inside;
    size_t notes = (size_t)in->query->notes;
    struct openings_entry *entry;

    out->clear++;
    out->riffs += opening->riff.found;
    if (opening->last + 1 - first < notes) {
        out->few++;
        return ST_OK;
    }
    entry = grow_room(out->entries, out->entry_count, &out->entry_room,
                      sizeof *entry);
    if (!entry)
        return fault_nomem(why);
    out->entries = entry;
    entry += out->entry_count++;
    fill_entry(entry, solo, opening, first, notes);
    entry->example.index = index;
    return example_cite(&entry->example, solo, why);
}

static enum status look(void *context, size_t index, const struct solo *solo,
                        struct fault *why)
{
    struct collect *in = context;
    enum status st = ST_OK;

    in->out->formless += solo->form.chorus_count == 0;
    for (size_t i = 0; i < solo->form.chorus_count && st == ST_OK; i++) {
        struct opening opening = opening_of(solo, i);

        if (opening.as)
            continue;
        in->out->choruses++;
        if (opening.kind == OPENING_CLEAR)
            st = take(in, index, solo, &opening, why);
        else if (opening.kind == OPENING_SILENT)
            in->out->silent++;
        else
            in->out->runs_on++;
    }
    return st;
}

/* --- groups --------------------------------------------------------------- */

static int compare_openings(const struct openings_entry *a,
                            const struct openings_entry *b)
{
    if (a->class != b->class)
        return a->class < b->class ? -1 : 1;
    if (a->start != b->start)
        return a->start < b->start ? -1 : 1;
    return memcmp(a->intervals, b->intervals, sizeof a->intervals);
}

static int by_opening(const void *x, const void *y)
{
    const struct openings_entry *a = x, *b = y;
    int order = compare_openings(a, b);

    if (order != 0)
        return order;
    if (a->example.index != b->example.index)
        return a->example.index < b->example.index ? -1 : 1;
    return (a->example.first > b->example.first) -
           (a->example.first < b->example.first);
}

static int most_first(const void *x, const void *y, void *entries)
{
    const struct openings_group *a = x, *b = y;
    const struct openings_entry *all = entries;
    const struct example *i = &all[a->first].example;
    const struct example *j = &all[b->first].example;

    if (a->count != b->count)
        return a->count > b->count ? -1 : 1;
    if (a->solos != b->solos)
        return a->solos > b->solos ? -1 : 1;
    if (i->index != j->index)
        return i->index < j->index ? -1 : 1;
    return (i->first > j->first) - (i->first < j->first);
}

/* The entries from FIRST on that are the same. */
static struct openings_group group_at(const struct openings_library *library,
                                      size_t first)
{
    const struct openings_entry *all = library->entries;
    struct openings_group out = { .first = first };

    for (size_t i = first; i < library->entry_count &&
                           compare_openings(&all[first], &all[i]) == 0;
         i++) {
        out.count++;
        out.solos +=
            i == first || all[i].example.index != all[i - 1].example.index;
        out.riffs += all[i].is_riff;
        if (all[i].class != CHORD_NONE)
            out.keys[all[i].chord.root_pc]++;
    }
    return out;
}

static enum status make_groups(struct openings_library *out, uint64_t min_count,
                               struct fault *why)
{
    if (out->entry_count == 0)
        return ST_OK;
    qsort(out->entries, out->entry_count, sizeof *out->entries, by_opening);
    for (size_t i = 0; i < out->entry_count;) {
        struct openings_group group = group_at(out, i), *room;

        out->different++;
        i += group.count;
        if (group.count < min_count)
            continue;
        room = grow_room(out->groups, out->group_count, &out->group_room,
                         sizeof *room);
        if (!room)
            return fault_nomem(why);
        out->groups = room;
        room[out->group_count++] = group;
    }
    if (out->group_count > 0)
        qsort_r(out->groups, out->group_count, sizeof *out->groups, most_first,
                out->entries);
    return ST_OK;
}

enum status openings_library_make(struct openings_library *out,
                                  struct store *store,
                                  const struct openings_query *query,
                                  struct fault *why)
{
    struct collect in = { out, query };
    enum status st;

    out->notes = query->notes;
    st = scan_solos(&out->solos, store, query->filter, look, &in, why);
    return st == ST_OK ? make_groups(out, query->min_count, why) : st;
}

void openings_library_free(struct openings_library *library)
{
    for (size_t i = 0; i < library->entry_count; i++)
        example_free(&library->entries[i].example);
    free(library->entries);
    free(library->groups);
    solo_list_free(&library->solos);
    memset(library, 0, sizeof *library);
}

bool openings_degrees(const char *out[OPENINGS_NOTES_MAX],
                      const struct openings_entry *entry, int notes)
{
    int midi[OPENINGS_NOTES_MAX];

    if (entry->class == CHORD_NONE)
        return false;
    midi[0] = entry->midi;
    for (int i = 1; i < notes; i++)
        midi[i] = midi[i - 1] + entry->intervals[i - 1];
    chord_cell_degrees(out, &entry->chord, midi, (size_t)notes);
    return true;
}
