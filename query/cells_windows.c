/* query/cells_windows.c - the windows of solos from their strands.
 *
 * No solo is taken apart, and no store is asked: the work of several threads.
 */
#include <stdlib.h>
#include <string.h>

#include "query/cells_parts.h"
#include "query/match.h"
#include "query/place.h"
#include "query/tasks.h"
#include "query/window_chords.h"

enum {
    SOLOS_AT_ONCE = 32, /* of one task */
    BYTES = 256,
    OCTAVES = 22 * 12 /* semitones, more than any difference */
};

/* What was counted by one task. */
struct counts {
    uint64_t windows[CELLS_NOTES_MAX + 1], chordless;
};

struct windows {
    struct cells_columns *columns;
    const struct cells_query *query;
    size_t first;          /* solo */
    struct counts *counts; /* of each task */
    /* What a byte of STRAND_PLACE says of the chord: its class, the semitones
     * from its root up to the note, and whether it fits. */
    struct said {
        uint8_t class, degree;
        bool has_root, fits;
    } said[BYTES];
};

/* --- what fits ----------------------------------------------------------- */

bool cells_strands_tell(const struct cells_query *query)
{
    const struct over *over = &query->over;

    return !place_is_asked(&query->place) && query->into.count == 0 &&
           (over->count == 0 || over->chords[0].function[0] == '\0');
}

bool cells_steps_fit(const struct cells_query *query, const uint8_t *midi)
{
    for (int i = 0; i + 1 < query->steps_notes; i++)
        if (midi[i + 1] - midi[i] != query->steps[i])
            return false;
    return true;
}

/* --- one solo ------------------------------------------------------------ */

/* The window that starts at the place FIRST under the chord of the note at
 * WINNER. */
static uint8_t window_under(const struct windows *w, size_t first,
                            size_t winner)
{
    const struct cells_columns *c = w->columns;
    const struct said *said = &w->said[c->place[winner]];
    int start = c->midi[first];

    if (!said->fits)
        return CELLS_NO_WINDOW;
    if (said->has_root)
        start += said->degree + OCTAVES - c->midi[winner];
    return (uint8_t)(said->class * CELLS_STARTS + start % CELLS_STARTS);
}

/* The windows that start with the note I of the COUNT from BEGIN on. */
static void make_at(const struct windows *w, struct window_chords *chords,
                    struct counts *counts, size_t begin, size_t i, size_t count)
{
    const struct cells_query *q = w->query;
    size_t longest = (size_t)q->notes_max;
    int32_t before = WINDOW_NO_CHORD;
    uint8_t window = CELLS_NO_WINDOW;

    if (longest > count - i)
        longest = count - i;
    for (size_t n = (size_t)q->notes_min; n <= longest; n++) {
        int32_t winner = window_chord(chords, i, n);

        if (winner == WINDOW_NO_CHORD) {
            counts->chordless++;
            continue;
        }
        if (winner != before)
            window = window_under(w, begin + i, begin + (size_t)winner);
        before = winner;
        counts->windows[n] += window != CELLS_NO_WINDOW;
        w->columns->window[n - CELLS_NOTES_MIN][begin + i] = window;
    }
}

static enum status make_solo(const struct windows *w,
                             struct window_chords *chords,
                             struct counts *counts, size_t solo,
                             struct fault *why)
{
    const struct cells_columns *c = w->columns;
    size_t begin = c->starts[solo], count = c->starts[solo + 1] - begin;
    struct window_strands strands = { c->midi + begin, c->place + begin,
                                      c->tones + begin, c->mark + begin };
    enum status st = window_chords_read(chords, &strands, count, why);

    for (int k = 0; k < CELLS_LENGTHS; k++)
        memset(c->window[k] + begin, CELLS_NO_WINDOW, count);
    for (size_t i = 0; i < count && st == ST_OK; i++)
        if (i + (size_t)w->query->notes_min <= count &&
            cells_steps_fit(w->query, c->midi + begin + i))
            make_at(w, chords, counts, begin, i, count);
    return st;
}

/* --- all ------------------------------------------------------------------ */

static enum status make_some(void *context, size_t task, struct fault *why)
{
    const struct windows *w = context;
    size_t from = w->first + task * SOLOS_AT_ONCE, end = from + SOLOS_AT_ONCE;
    struct window_chords chords = { 0 };
    enum status st = ST_OK;

    if (end > w->columns->solo_count)
        end = w->columns->solo_count;
    for (size_t i = from; i < end && st == ST_OK; i++)
        if (w->columns->by_strands[i])
            st = make_solo(w, &chords, &w->counts[task], i, why);
    window_chords_free(&chords);
    return st;
}

static void read_places(struct windows *w)
{
    const struct over *over = &w->query->over;

    for (int place = 0; place < BYTES; place++) {
        struct chord_event event = { .function = "" };
        struct said *said = &w->said[place];
        struct strand_chord there;

        strand_chord(&there, (uint8_t)place, 0);
        event.chord = there.chord;
        said->class = there.chord.class;
        said->has_root = there.chord.has_root;
        said->degree = (uint8_t)pitch_modulo(-there.chord.root_pc, 12);
        said->fits =
            there.sounds &&
            (over->count == 0 || match_chord_fits(&over->chords[0], &event));
    }
}

enum status cells_make_windows(struct cells_columns *columns,
                               struct cells_side_result *side,
                               const struct cells_query *query, size_t first,
                               struct fault *why)
{
    struct windows w = { .columns = columns, .query = query, .first = first };
    size_t tasks =
        (columns->solo_count - first + SOLOS_AT_ONCE - 1) / SOLOS_AT_ONCE;
    enum status st;

    w.counts = calloc(tasks + 1, sizeof *w.counts);
    if (!w.counts)
        return fault_nomem(why);
    read_places(&w);
    st = tasks_run(query->threads, tasks, make_some, &w, why);
    for (size_t i = 0; i < tasks; i++) {
        side->chordless += w.counts[i].chordless;
        for (int n = 0; n <= CELLS_NOTES_MAX; n++)
            side->windows[n] += w.counts[i].windows[n];
    }
    free(w.counts);
    return st;
}
