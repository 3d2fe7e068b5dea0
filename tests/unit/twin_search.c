/* twin_search.c - the search that knows no index.
 *
 * Written from the definitions alone: it looks at every note of every solo,
 * with its own loops and its own vote on the chord of a window.  It shares
 * with the program only the notes and chords it looks at, and the strength of
 * an onset.
 */
#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "tests/unit/twin.h"

int mod12(int x)
{
    while (x < 0)
        x += 12;
    return x % 12;
}

const struct chord_event *twin_event(const struct solo *solo, int chord)
{
    if (chord < 0 || solo->chords[chord].chord.class == CHORD_NONE)
        return NULL;
    return &solo->chords[chord];
}

const struct chord *twin_heard(const struct solo *solo, int chord)
{
    const struct chord_event *event = twin_event(solo, chord);

    return event ? &event->chord : NULL;
}

bool twin_alike(const struct chord *a, const struct chord *b)
{
    if (!a || !b)
        return !a && !b;
    return a->has_root == b->has_root && a->root_pc == b->root_pc &&
           a->class == b->class && a->tones == b->tones;
}

/* Who has most votes; of those the strongest onset; of those the first. */
int twin_window(const struct solo *solo, int first, int n)
{
    int votes[32], most = 0, strongest = -1, winner = -1;

    for (int i = 0; i < n; i++) {
        const struct chord *mine =
            twin_heard(solo, solo->notes[first + i].heard);

        votes[i] = 0;
        for (int k = 0; mine && k < n; k++)
            votes[i] += twin_alike(
                mine, twin_heard(solo, solo->notes[first + k].heard));
        if (votes[i] > most)
            most = votes[i];
    }
    for (int i = n - 1; i >= 0 && most > 0; i--) {
        int strength = solo_onset_strength(solo, &solo->notes[first + i]);

        if (votes[i] == most && strength >= strongest) {
            strongest = strength;
            winner = solo->notes[first + i].heard;
        }
    }
    return winner;
}

static bool twin_pitches(const struct question *q, const struct note *notes)
{
    for (int i = 0; i < q->n; i++)
        for (int k = 0; k < i; k++) {
            int asked = q->midi[i] - q->midi[k];
            int there = notes[i].midi - notes[k].midi;

            if (q->any[i] || q->any[k] || q->group[i] != q->group[k])
                continue;
            if (q->any_octave ? mod12(asked) != mod12(there) : asked != there)
                return false;
        }
    return true;
}

static bool twin_rhythm(const struct question *q, const struct solo *solo,
                        const struct note *notes)
{
    long long time[32];

    if (q->rhythm == RHYTHM_ANY)
        return true;
    for (int i = 0; i < q->n; i++)
        time[i] = i == q->n - 1 ? notes[i].duration
                                : notes[i + 1].start - notes[i].start;
    for (int i = 0; i < q->n; i++) {
        long long asked = q->num[i], scale = q->den[i];

        if (q->rhythm == RHYTHM_SAME && time[i] * scale != asked * solo->ticks)
            return false;
        if (q->rhythm == RHYTHM_SCALED &&
            (time[i] == 0 ||
             time[i] * scale * q->num[0] != time[0] * q->den[0] * asked))
            return false;
    }
    return true;
}

/* How functions are written, by what stands behind the numeral. */
static int function_class(bool low, const char *quality)
{
    static const struct {
        const char *quality;
        int low, high; /* -1: not written so */
    } classes[] = { { "", CHORD_MINOR, CHORD_MAJOR },
                    { "7", CHORD_MINOR, CHORD_DOMINANT },
                    { "6", CHORD_MINOR, CHORD_MAJOR },
                    { "maj7", -1, CHORD_MAJOR },
                    { "+7", -1, CHORD_DOMINANT },
                    { "7sus", -1, CHORD_DOMINANT },
                    { "(maj7)", CHORD_MINOR_MAJOR, -1 },
                    { "\xc3\xb8" "7", CHORD_HALF_DIMINISHED, -1 },
                    { "o", CHORD_DIMINISHED, -1 },
                    { "o7", CHORD_DIMINISHED, -1 },
                    { "+", -1, CHORD_AUGMENTED },
                    { "+maj7", -1, CHORD_AUGMENTED },
                    { "sus", -1, CHORD_SUSPENDED },
                    { "5", -1, CHORD_POWER } };

    for (size_t i = 0; i < sizeof classes / sizeof *classes; i++)
        if (strcmp(classes[i].quality, quality) == 0)
            return low ? classes[i].low : classes[i].high;
    return -1;
}

void twin_function_read(struct twin_function *out, const char *text)
{
    const char *slash = strchr(text, '/');
    const char *end = slash ? slash : text + strlen(text);
    size_t step = strncmp(text, "sub", 3) == 0 ? 3 : 0;

    step += strspn(text + step, "b#");
    step += strspn(text + step, "IViv");
    snprintf(out->step, sizeof out->step, "%.*s", (int)step, text);
    snprintf(out->quality, sizeof out->quality, "%.*s",
             (int)(end - text - (long)step), text + step);
    snprintf(out->target, sizeof out->target, "%s", end);
    out->class = function_class(text[step - 1] == 'i' || text[step - 1] == 'v',
                                out->quality);
    ck_assert_msg(out->class >= 0, "the function '%s'", text);
}

/* One step, one class, one target. */
static bool twin_functions(const char *asked, const char *there)
{
    struct twin_function a, b;

    if (!*there)
        return false;
    twin_function_read(&a, asked);
    twin_function_read(&b, there);
    return a.class == b.class && strcmp(a.step, b.step) == 0 &&
           strcmp(a.target, b.target) == 0;
}

bool twin_chord(const struct asked *asked, const struct chord_event *event,
                bool *exact)
{
    const struct chord *there = event ? &event->chord : NULL;

    if (asked->function[0]) {
        *exact = *exact && event &&
                 strcmp(asked->function, event->function) == 0;
        return event && twin_functions(asked->function, event->function);
    }
    if (!there)
        return asked->class == CHORD_NONE;
    *exact = *exact && asked->tones == there->tones;
    /* "sus" by its suffix also asks for a dominant that is sus. */
    if (asked->class == CHORD_SUSPENDED && !asked->by_class &&
        there->class == CHORD_DOMINANT)
        return there->sus;
    return asked->class == there->class &&
           (!asked->altered || there->altered) && (!asked->sus || there->sus);
}

static bool twin_start(const struct question *q, int shift,
                       const struct chord_event *there)
{
    int k = 0;

    if (q->start < 0)
        return true;
    while (q->any[k])
        k++;
    return there && there->chord.has_root &&
           mod12(q->midi[k] + shift + 12 - there->chord.root_pc) == q->start;
}

/* The way from THERE[0] to THERE[1] is the one asked. */
static bool twin_motion(const struct asked *asked,
                        const struct chord_event *const *there)
{
    if (asked[0].function[0] && asked[1].function[0])
        return mod12(there[0]->key) == mod12(there[1]->key);
    if (!asked[0].has_root || !asked[1].has_root)
        return true;
    return there[0] && there[1] &&
           mod12(there[1]->chord.root_pc - there[0]->chord.root_pc) ==
               mod12(asked[1].root - asked[0].root);
}

/* The chords asked against THERE[0..COUNT). */
static bool twin_succession(const struct question *q, int shift,
                            const struct chord_event *const *there, int count,
                            int *exactness)
{
    bool exact = true;

    if (count != q->over_count || !twin_start(q, shift, there[0]))
        return false;
    for (int i = 0; i < count; i++) {
        const struct asked *asked = &q->over[i];

        exact = exact && !asked->by_class;
        if (!twin_chord(asked, there[i], &exact))
            return false;
        if (i > 0 && !twin_motion(asked - 1, there + i - 1))
            return false;
    }
    *exactness = exact ? 2 : 1;
    return true;
}

static bool twin_harmony(const struct question *q, const struct solo *solo,
                         const struct twin_spot *spot, int *exactness)
{
    const struct note *notes = solo->notes + spot->first;
    const struct chord_event *there[32];
    int count = 0;

    *exactness = 0;
    if (q->over_count == 0 || q->reharmonized)
        return true;
    if (q->over_count == 1) {
        there[count++] =
            twin_event(solo, twin_window(solo, spot->first, spot->n));
        return twin_succession(q, spot->shift, there, count, exactness);
    }
    for (int i = 0; i < spot->n; i++) {
        const struct chord_event *event = twin_event(solo, notes[i].heard);
        const struct chord_event *last = count > 0 ? there[count - 1] : NULL;

        if (count == 0 || !twin_alike(last ? &last->chord : NULL,
                                      event ? &event->chord : NULL))
            there[count++] = event;
    }
    return twin_succession(q, spot->shift, there, count, exactness);
}

bool twin_rest(const struct question *q, const struct solo *solo,
               const struct twin_spot *spot, int *exactness)
{
    int last = spot->first + spot->n - 1;

    /* With a note more or fewer the rhythm is another. */
    if (q->rhythm != RHYTHM_ANY &&
        (spot->n != q->n || !twin_rhythm(q, solo, solo->notes + spot->first)))
        return false;
    if (!twin_harmony(q, solo, spot, exactness) ||
        !twin_place(q, solo, spot->first, last) || !twin_into(q, solo, last))
        return false;
    return !q->has_relation || twin_relation_of(q, solo, spot) == q->relation;
}

static int twin_transposition(const struct question *q, int shift)
{
    int k = 0, up;

    if (q->given_pc < 0)
        return 0;
    while (q->any[k])
        k++;
    up = mod12(q->midi[k] + shift + 12 - q->given_pc);
    return up <= 6 ? up : up - 12;
}

static int twin_order(const void *a, const void *b)
{
    const struct twin_hit *x = a, *y = b;
    int paths = strcmp(twin_solos[x->solo].path, twin_solos[y->solo].path);

    if (paths != 0)
        return paths;
    if (x->bar != y->bar)
        return x->bar < y->bar ? -1 : 1;
    return x->first < y->first ? -1 : x->first > y->first;
}

struct twin_hit *twin_hits;
size_t twin_count, twin_solos_hit;
static size_t twin_room;

static void twin_keep(const struct twin_hit *hit)
{
    if (twin_count == twin_room) {
        twin_room = twin_room ? 2 * twin_room : 1024;
        twin_hits = realloc(twin_hits, twin_room * sizeof *twin_hits);
        ck_assert_ptr_nonnull(twin_hits);
    }
    twin_hits[twin_count++] = *hit;
}

size_t twin_relations[TWIN_UNNAMED + 1];

static void twin_add(const struct question *q, size_t at,
                     const struct twin_spot *spot, int edits)
{
    const struct solo *solo = twin_solos[at].solo;
    struct twin_hit hit = { .solo = at,
                            .bar = solo->notes[spot->first].bar,
                            .first = spot->first,
                            .last = spot->first + spot->n - 1,
                            .edits = edits,
                            .chord = twin_window(solo, spot->first, spot->n) };

    twin_rest(q, solo, spot, &hit.exactness);
    hit.transposition = twin_transposition(q, spot->shift);
    if (twin_knows_home(q))
        twin_relations[twin_relation_of(q, solo, spot)]++;
    twin_keep(&hit);
}

static void twin_look(const struct question *q, size_t at)
{
    const struct solo *solo = twin_solos[at].solo;
    int known = 0;

    if (q->edits > 0) {
        twin_look_edits(q, solo, twin_add, at);
        return;
    }
    while (q->any[known])
        known++;
    for (int i = 0; i + q->n <= (int)solo->note_count; i++) {
        struct twin_spot spot = { i, q->n, 0 };
        int exactness;

        spot.shift = solo->notes[i + known].midi - q->midi[known];
        if (twin_pitches(q, solo->notes + i) &&
            twin_rest(q, solo, &spot, &exactness))
            twin_add(q, at, &spot, 0);
    }
}

void twin_find(const struct question *q)
{
    twin_count = twin_solos_hit = 0;
    memset(twin_relations, 0, sizeof twin_relations);
    for (size_t i = 0; i < twin_solo_count; i++) {
        size_t before = twin_count;

        if (!q->performer || strcmp(q->performer, twin_solos[i].performer) == 0)
            twin_look(q, i);
        twin_solos_hit += twin_count > before;
    }
    if (twin_count > 0)
        qsort(twin_hits, twin_count, sizeof *twin_hits, twin_order);
}
