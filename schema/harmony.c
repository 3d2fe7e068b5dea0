/* schema/harmony.c - from chord symbols to runs and back. */
#include "schema/harmony.h"

#include <stdlib.h>
#include <string.h>

#include "schema/harmony_parts.h"

enum {
    LONGEST = 64, /* quarters beyond which length says no more */
    BLOCK = 64
};

bool key_is_target(bool minor, int degree)
{
    /* ii iii IV V vi vii; in minor ii bIII iv V bVI bVII. */
    static const char *const targets[] = { "..1.11.1.1.1", "..11.1.11.1." };

    return targets[minor][degree] == '1';
}

enum quality chord_quality(const struct chord *chord)
{
    switch ((enum chord_class)chord->class) {
    case CHORD_MAJOR:
        return QUALITY_MAJOR;
    case CHORD_DOMINANT:
        return QUALITY_DOMINANT;
    case CHORD_MINOR:
    case CHORD_MINOR_MAJOR:
        return QUALITY_MINOR;
    case CHORD_HALF_DIMINISHED:
        return QUALITY_HALF;
    case CHORD_DIMINISHED:
        return QUALITY_DIMINISHED;
    case CHORD_AUGMENTED:
        return QUALITY_AUGMENTED;
    case CHORD_SUSPENDED:
    case CHORD_POWER:
        return QUALITY_SUSPENDED;
    case CHORD_NONE:
    case CHORD_OTHER:
    case CHORD_CLASSES:
        break;
    }
    return QUALITIES;
}

/* --- the key that a signature suggests ------------------------------------ */

/* The key with FIFTHS sharps. */
static int key_from_fifths(int fifths, bool minor)
{
    int tonic = pitch_modulo(7 * fifths, 12);

    return minor ? 12 + (tonic + 9) % 12 : tonic;
}

/* Whether RUN is the tonic of KEY. */
static bool is_tonic(const struct run *run, int key)
{
    return run->root == key_tonic(key) &&
           (run->quality == QUALITY_MINOR) == key_minor(key);
}

/* Without a mode the last chord tells, then the first. */
static int choose_mode(const struct run_list *runs, int major, int minor)
{
    const struct run *ends[2] = { &runs->runs[runs->count - 1],
                                  &runs->runs[0] };

    for (int i = 0; i < 2; i++) {
        if (is_tonic(ends[i], major))
            return major;
        if (is_tonic(ends[i], minor))
            return minor;
    }
    return major;
}

static int home_from(const struct solo *solo, const struct run_list *runs,
                     int fifths, int mode)
{
    int moved = fifths + 7 * solo->transpose - 12 * solo->transpose_steps;
    int major = key_from_fifths(moved, false);
    int minor = key_from_fifths(moved, true);

    if (mode == MODE_MAJOR)
        return major;
    if (mode == MODE_MINOR)
        return minor;
    return choose_mode(runs, major, minor);
}

/* A signature that changes on the way suggests another key from there on. */
static void find_homes(const struct solo *solo, struct run_list *runs)
{
    int home = HARMONY_NO_KEY;
    const struct bar *before = NULL;

    if (solo->has_key)
        home = home_from(solo, runs, solo->fifths, solo->mode);
    for (size_t i = 0; i < runs->count; i++) {
        struct run *run = &runs->runs[i];
        const struct bar *bar = &solo->bars[solo->chords[run->first].bar];

        if (solo->has_key && before && bar->fifths != before->fifths)
            home = home_from(solo, runs, bar->fifths, bar->mode);
        before = bar;
        run->home = home;
    }
}

/* --- runs ----------------------------------------------------------------- */

/* The ticks for which the chord EVENT lasts. */
static int64_t length_of(const struct solo *solo, size_t event)
{
    const struct bar *last = &solo->bars[solo->bar_count - 1];
    int64_t end = last->start + last->length;

    if (event + 1 < solo->chord_count)
        end = solo->chords[event + 1].start;
    end -= solo->chords[event].start;
    return end > 0 ? end : 0;
}

/* The whole square root of N, 0 or more and small. */
static int64_t square_root(int64_t n)
{
    int64_t root = 0;

    while ((root + 1) * (root + 1) <= n)
        root++;
    return root;
}

/* A bar of 4/4 weighs 8; four times the length says twice as much, so that
 * neither a fast cycle of chords nor a long vamp drowns the other. */
static void weigh(const struct solo *solo, struct run *run)
{
    int64_t most = solo->ticks * LONGEST;
    int64_t ticks = run->ticks < most ? run->ticks : most;

    run->weight = square_root(16 * ticks / solo->ticks);
    if (run->weight == 0)
        run->weight = 1;
}

/* Add EVENT to the last run, or begin one. */
static void add_event(const struct solo *solo, struct run_list *list,
                      size_t event)
{
    const struct chord *chord = &solo->chords[event].chord;
    enum quality quality = chord_quality(chord);
    struct run *run = list->count ? &list->runs[list->count - 1] : NULL;

    if (!run || run->root != chord->root_pc || run->quality != quality) {
        run = &list->runs[list->count++];
        *run = (struct run){ .root = chord->root_pc,
                             .bass = chord->bass_pc,
                             .quality = quality,
                             .key = HARMONY_NO_KEY,
                             .first = event };
    }
    run->ticks += length_of(solo, event);
    run->altered |= chord->altered;
}

static bool has_function(const struct chord *chord)
{
    return chord->has_root && chord_quality(chord) != QUALITIES;
}

/* --- keys and functions of the events ------------------------------------- */

/* Where the tonic of a major key is I7 for longer than a major chord, the
 * key is that of a blues. */
static void find_blues(const struct run_list *list, bool blues[HARMONY_KEYS])
{
    int64_t balance[HARMONY_KEYS] = { 0 };

    for (size_t i = 0; i < list->count; i++) {
        const struct run *run = &list->runs[i];

        if (run->root != key_tonic(run->key))
            continue;
        if (run->quality == QUALITY_DOMINANT)
            balance[run->key] += run->weight;
        if (run->quality == QUALITY_MAJOR)
            balance[run->key] -= run->weight;
    }
    for (int key = 0; key < HARMONY_KEYS; key++)
        blues[key] = balance[key] > 0;
}

/* Texts that were given out, so that each is stored once. */
struct names {
    const char **texts;
    size_t count, room;
};

static const char *keep_name(struct solo *solo, struct names *names,
                             const char *text)
{
    for (size_t i = 0; i < names->count; i++)
        if (strcmp(names->texts[i], text) == 0)
            return names->texts[i];
    if (names->count == names->room) {
        size_t room = names->room + BLOCK;
        const char **grown =
            realloc(names->texts, room * sizeof *names->texts);

        if (!grown)
            return NULL;
        names->texts = grown;
        names->room = room;
    }
    text = solo_copy(solo, text, strlen(text));
    if (text)
        names->texts[names->count++] = text;
    return text;
}

static enum status name_events(struct solo *solo, const struct run_list *list,
                               struct fault *why)
{
    struct names names = { 0 };
    bool blues[HARMONY_KEYS];
    enum status st = ST_OK;
    size_t at = 0;

    find_blues(list, blues);
    for (size_t i = 0; i < solo->chord_count && st == ST_OK; i++) {
        struct chord_event *event = &solo->chords[i];
        char text[HARMONY_FUNCTION_SIZE];
        const struct run *run;

        while (at + 1 < list->count && list->runs[at + 1].first <= i)
            at++;
        run = &list->runs[at];
        event->key = (int8_t)run->key;
        if (!has_function(&event->chord))
            continue;
        event->role = (uint8_t)harmony_name(text, list, at, blues[run->key],
                                            &event->chord);
        event->function = keep_name(solo, &names, text);
        if (!event->function)
            st = fault_nomem(why);
    }
    free(names.texts);
    return st;
}

enum status harmony_analyse(struct solo *solo, struct fault *why)
{
    struct run_list list = { 0 };
    enum status st = ST_OK;

    list.runs = calloc(solo->chord_count + 1, sizeof *list.runs);
    if (!list.runs)
        return fault_nomem(why);
    for (size_t i = 0; i < solo->chord_count; i++) {
        struct chord_event *event = &solo->chords[i];

        event->key = HARMONY_NO_KEY;
        event->function = "";
        event->role = HARMONY_PLAIN;
        if (has_function(&event->chord))
            add_event(solo, &list, i);
    }
    for (size_t i = 0; i < list.count; i++)
        weigh(solo, &list.runs[i]);
    if (list.count > 0) {
        find_homes(solo, &list);
        st = harmony_find_keys(&list, why);
        if (st == ST_OK)
            st = name_events(solo, &list, why);
    }
    free(list.runs);
    return st;
}

const char *harmony_role_name(int role)
{
    static const char *const names[HARMONY_ROLES] = {
        "",
        "secondary dominant",
        "related ii",
        "tritone substitute",
        "backdoor",
        "passing diminished",
    };

    return role >= 0 && role < HARMONY_ROLES ? names[role] : "";
}
