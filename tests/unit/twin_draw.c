/* twin_draw.c - questions drawn at random, as text and as plain arrays.
 *
 * The arrays come from the generator, not from the parser, so that the parser
 * is tested as well.
 */
#include <stdio.h>
#include <string.h>

#include "tests/unit/twin.h"

enum {
    WINDOW_MAX = 12
};

/* --- drawing a question -------------------------------------------------- */

/* A stretch of a solo with at least two notes, that stands AT a place: its
 * number, or -1.  Where notes may change, in a made-up solo. */
static int draw_window(int *first, int *n, enum place_at where, int edits)
{
    unsigned among = edits > 0 ? SYNTHETIC : (unsigned)twin_solo_count;
    int at = (int)chance(among);
    const struct solo *solo = twin_solos[at].solo;
    int count = (int)solo->note_count;

    *n = one_in(3) ? 2 + (int)chance(WINDOW_MAX - 1) : 2 + (int)chance(4);
    if (edits > 0 && *n < 4)
        *n = 4;
    if (count < *n)
        return -1;
    *first = (int)chance((unsigned)(count - *n + 1));
    while (!twin_at(where, solo, *first, *first + *n - 1))
        if (++*first + *n > count)
            return -1;
    return at;
}

/* Make a random few notes wild, but for two. */
static void draw_wild(struct question *q)
{
    int known = q->n;

    for (int i = 0; i < q->n && one_in(3); i++) {
        int at = (int)chance((unsigned)q->n);

        if (known > 2 && !q->any[at]) {
            q->any[at] = true;
            known--;
        }
    }
}

static const struct {
    const char *text;
    int num, den;
} values[] = {
    { "16", 1, 4 }, { "8t", 1, 3 }, { "8", 1, 2 },   { "8.", 3, 4 },
    { "4t", 2, 3 }, { "4", 1, 1 },  { "4.", 3, 2 },  { "2", 2, 1 },
    { "2.", 3, 1 }, { "1", 4, 1 },  { "4..", 7, 4 }, { "32", 1, 8 }
};
enum {
    VALUES = sizeof values / sizeof *values
};

/* The rhythm of the window, where note values can say it; SCALED by a
 * factor.  The value of note I is WRITTEN[I]. */
static bool draw_rhythm(struct question *q, const struct solo *solo,
                        const struct note *notes, int written[32])
{
    int factor = one_in(2) ? 1 : 2;

    for (int i = 0; i < q->n; i++) {
        long long time = i == q->n - 1 ? notes[i].duration
                                       : notes[i + 1].start - notes[i].start;

        written[i] = -1;
        for (int v = 0; v < VALUES; v++)
            if (time * values[v].den * factor ==
                (long long)values[v].num * solo->ticks)
                written[i] = v;
        if (written[i] < 0)
            return false;
    }
    for (int i = 0; i < q->n; i++) {
        q->num[i] = values[written[i]].num;
        q->den[i] = values[written[i]].den;
    }
    q->has_rhythm = true;
    q->rhythm = (enum rhythm_match)chance(3);
    return true;
}

void twin_append(char *out, size_t size, const char *text)
{
    size_t used = strlen(out);

    snprintf(out + used, size - used, "%s", text);
}

/* The nearest way to a pitch class: up to six semitones up, five down. */
static int nearest_step(int from, int to)
{
    int up = mod12(to - from + 1200);

    return up <= 6 ? up : up - 12;
}

static void add_marks(struct question *q, int octaves)
{
    for (; octaves > 0; octaves--)
        twin_append(q->text, sizeof q->text, "'");
    for (; octaves < 0; octaves++)
        twin_append(q->text, sizeof q->text, ",");
}

/* Write the notes as degrees of ROOT or, where ROOT is below 0, as names,
 * with or without octaves. */
static void write_question_notes(struct question *q, int root,
                                 const int *written, bool octaves)
{
    static const char *const degrees[12][3] = {
        { "1", "1", "8" },     { "b9", "b2", "b9" },  { "9", "2", "9" },
        { "b3", "#9", "b3" },  { "3", "3", "3" },     { "11", "4", "11" },
        { "#11", "b5", "#4" }, { "5", "5", "5" },     { "b13", "b6", "#5" },
        { "13", "6", "bb7" },  { "b7", "b7", "#13" }, { "7", "7", "7" }
    };
    int last = -1;

    for (int i = 0; i < q->n; i++) {
        int pc = mod12(q->midi[i] - (root < 0 ? 0 : root) + 12);
        char octave[16] = "";

        twin_append(q->text, sizeof q->text, i > 0 ? " " : "");
        if (root < 0 && octaves)
            snprintf(octave, sizeof octave, "%d", q->midi[i] / 12 - 1);
        if (q->any[i])
            twin_append(q->text, sizeof q->text, "?");
        else
            twin_append(q->text, sizeof q->text,
                root < 0 ? twin_roots[pc] : degrees[pc][chance(3)]);
        if (!q->any[i] && root < 0)
            twin_append(q->text, sizeof q->text, octave);
        if (!q->any[i] && !octave[0]) {
            int from = last < 0 ? q->midi[i] : last;

            add_marks(q, (q->midi[i] - from - nearest_step(from, q->midi[i])) /
                             12);
        }
        if (!q->any[i])
            last = q->midi[i];
        if (q->has_rhythm) {
            twin_append(q->text, sizeof q->text, ":");
            twin_append(q->text, sizeof q->text, values[written[i]].text);
        }
    }
}

/* Write the steps between the notes; a wild step starts a group. */
static void write_question_steps(struct question *q)
{
    bool wild[32] = { false }, some = false;

    for (int i = 1; i < q->n; i++) {
        wild[i] = one_in(6);
        some = some || !wild[i];
    }
    if (!some)
        wild[1] = false;
    for (int i = 1; i < q->n; i++) {
        char step[16] = "?";

        q->group[i] = q->group[i - 1] + wild[i];
        if (!wild[i])
            snprintf(step, sizeof step, "%+d", q->midi[i] - q->midi[i - 1]);
        twin_append(q->text, sizeof q->text, i > 1 ? " " : "");
        twin_append(q->text, sizeof q->text, step);
    }
}

/* --- drawing its chords -------------------------------------------------- */

static const char *const class_words[CHORD_CLASSES] = {
    "major",           "minor",      "dominant",  "minor-major",
    "half-diminished", "diminished", "augmented", "suspended",
    "power",           "none",       "other"
};

/* Ask for the function TEXT, now and then with more on the chord. */
static void ask_function(struct question *q, const char *text)
{
    struct asked *asked = &q->over[q->over_count++];
    struct twin_function parts;

    memset(asked, 0, sizeof *asked);
    twin_function_read(&parts, text);
    asked->class = parts.class;
    twin_append(q->over_text, sizeof q->over_text,
                q->over_count > 1 ? "|" : "");
    if (parts.class != CHORD_DOMINANT || !one_in(3)) {
        strcpy(asked->function, text);
        twin_append(q->over_text, sizeof q->over_text, text);
        return;
    }
    /* V13/ii is V7/ii. */
    twin_append(asked->function, sizeof asked->function, parts.step);
    twin_append(asked->function, sizeof asked->function, "7");
    twin_append(asked->function, sizeof asked->function, parts.target);
    twin_append(q->over_text, sizeof q->over_text, parts.step);
    twin_append(q->over_text, sizeof q->over_text, "13");
    twin_append(q->over_text, sizeof q->over_text, parts.target);
}

void twin_ask_chord(struct asked *asked, char *out, size_t size, int class,
                    int root, bool rooted)
{
    const struct twin_suffix *suffix;

    memset(asked, 0, sizeof *asked);
    for (int tries = 0;; tries++) {
        suffix = &twin_suffixes[chance(TWIN_SUFFIXES)];
        if (suffix->class == class || tries > 60)
            break;
    }
    asked->by_class = one_in(3) || suffix->class != class;
    asked->class = class;
    if (asked->by_class) {
        twin_append(out, size, class_words[class]);
        return;
    }
    asked->altered = suffix->altered;
    asked->sus = suffix->sus;
    asked->has_root = rooted;
    asked->root = root;
    if (rooted)
        twin_append(out, size, twin_roots[root]);
    twin_append(out, size, suffix->text);
}

static void ask_chord(struct question *q, int class, int root, bool rooted)
{
    twin_append(q->over_text, sizeof q->over_text,
                q->over_count > 0 ? "|" : "");
    twin_ask_chord(&q->over[q->over_count++], q->over_text,
                   sizeof q->over_text, class, root, rooted);
}

/* One chord: that of the window, or any. */
static void draw_one_chord(struct question *q, const struct solo *solo,
                           int first)
{
    static const char *const functions[] = { "ii7",   "V7",    "I6", "V7/ii",
                                             "bVII7", "subV7", "i7", "#ivo7" };
    const struct chord_event *event =
        first < 0 ? NULL : twin_event(solo, twin_window(solo, first, q->n));
    const struct chord *there = event ? &event->chord : NULL;
    int class = there        ? there->class
                : first >= 0 ? CHORD_NONE
                : one_in(2)  ? CHORD_MINOR
                             : CHORD_DOMINANT;
    int root = there && there->has_root ? there->root_pc : (int)chance(12);

    if (one_in(12)) {
        ask_function(q, functions[chance(8)]);
        return;
    }
    if (event && event->function[0] && one_in(3)) {
        ask_function(q, event->function);
        return;
    }
    if (one_in(12))
        class = (int)chance(CHORD_CLASSES);
    ask_chord(q, class, root, one_in(2));
}

/* The chords heard under the notes, moved by as much; FUNCTIONS: by their
 * functions, most of them. */
static void draw_succession(struct question *q, const struct solo *solo,
                            int first)
{
    const struct chord *last = NULL;
    int moved = (int)chance(12);
    bool functions = one_in(2);

    for (int i = 0; i < q->n && q->over_count < 8; i++) {
        const struct chord_event *event =
            twin_event(solo, solo->notes[first + i].heard);
        const struct chord *there = event ? &event->chord : NULL;
        int root = there && there->has_root ? there->root_pc : 0;

        if (i > 0 && twin_alike(there, last))
            continue;
        last = there;
        if (functions && event && event->function[0] && !one_in(5)) {
            ask_function(q, event->function);
            continue;
        }
        ask_chord(q, there ? there->class : CHORD_NONE, (root + moved) % 12,
                  !one_in(3));
    }
}

/* --- a whole question ---------------------------------------------------- */

static int first_known(const struct question *q)
{
    int k = 0;

    while (q->any[k])
        k++;
    return k;
}

/* Degrees over no chord start anywhere; over a chord with a root they count
 * from it, else from ROOT. */
static void write_degrees(struct question *q, int root, const int *written)
{
    const struct asked *asked = &q->over[0];
    int known = first_known(q);

    if (q->over_count > 0 && asked->class != CHORD_NONE)
        q->start = mod12(q->midi[known] - root + 12);
    if (q->over_count > 0 && asked->has_root)
        q->given_pc = (asked->root + q->start) % 12;
    write_question_notes(q, root, written, false);
}

static void write_names(struct question *q, const int *written)
{
    const struct asked *asked = &q->over[0];
    int known = first_known(q);

    q->given_pc = mod12(q->midi[known]);
    if (q->over_count > 0 && asked->has_root)
        q->start = mod12(q->midi[known] - asked->root + 12);
    write_question_notes(q, -1, written, one_in(2));
}

static void draw_notes(struct question *q, const struct note *notes)
{
    int midi = 60 + (int)chance(12);

    for (int i = 0; i < q->n; i++) {
        q->midi[i] = notes ? notes[i].midi : midi;
        midi += random_step();
        if (midi < 30 || midi > 100)
            midi = 60;
    }
}

/* The root that degrees are counted from. */
static int count_from(const struct question *q, const struct solo *solo,
                      int first)
{
    const struct chord *there = NULL;

    if (solo)
        there = twin_heard(solo, q->over_count > 1
                                     ? solo->notes[first].heard
                                     : twin_window(solo, first, q->n));
    return there && there->has_root ? there->root_pc : (int)chance(12);
}

static void draw_over(struct question *q, const struct solo *solo, int first)
{
    if (one_in(4))
        return;
    if (solo && one_in(3))
        draw_succession(q, solo, first);
    else
        draw_one_chord(q, solo, first);
}

/* What the chords, the form and what follows must be.  Returns the root that
 * degrees are counted from. */
static int draw_conditions(struct question *q, int language,
                           const struct solo *solo, int first)
{
    bool named = language == DRAW_NAMES;
    int root;

    if (language != DRAW_STEPS && one_in(6)) {
        root = twin_draw_relation(q, solo, first, named || one_in(2));
    } else {
        draw_over(q, solo, first);
        root = count_from(q, solo, first);
        q->reharmonized = one_in(12);
    }
    if (one_in(3))
        twin_draw_place(q, solo, first);
    if (one_in(6))
        twin_draw_into(q, solo, first);
    return root;
}

/* Change notes, and leave some open and give them values.  With both ends
 * open nothing would say where a fragment with changed notes lies. */
static void draw_looseness(struct question *q, int language,
                           const struct solo *solo, const struct note *notes,
                           int *written)
{
    int window = q->n;

    twin_draw_edits(q);
    if (language == DRAW_STEPS)
        return;
    if (one_in(3))
        draw_wild(q);
    if (q->edits > 0 && q->any[0])
        q->any[q->n - 1] = false;
    /* Of fewer notes it is the rhythm of the first so many. */
    if (solo && q->n <= window && one_in(2))
        draw_rhythm(q, solo, notes, written);
}

/* By one of the three whose solos are made up; with changed notes, most of the
 * time by the one of the solo AT, as all notes of a solo must be tried. */
static void draw_performer(struct question *q, int at)
{
    if (q->edits > 0 && at >= 0 && !one_in(12))
        q->performer = twin_solos[at].performer;
    else
        q->performer = one_in(5) ? twin_players[chance(3)] : NULL;
}

int twin_draw(struct question *q)
{
    int first = -1, n = 2 + (int)chance(4), written[32] = { 0 };
    int language = (int)chance(DRAW_LANGUAGES), at, root;
    const struct solo *solo;
    const struct note *notes;

    memset(q, 0, sizeof *q);
    q->start = q->given_pc = -1;
    q->edits = one_in(8) ? 1 + (int)chance(3) : 0;
    q->place.at = one_in(7) ? 1 + (enum place_at)chance(4) : PLACE_ANYWHERE;
    at = one_in(8) ? -1 : draw_window(&first, &n, q->place.at, q->edits);
    solo = at < 0 ? NULL : twin_solos[at].solo;
    notes = at < 0 ? NULL : solo->notes + first;
    q->n = n;
    draw_notes(q, notes);
    root = draw_conditions(q, language, solo, at < 0 ? -1 : first);
    draw_looseness(q, language, solo, notes, written);
    if (language == DRAW_DEGREES)
        write_degrees(q, root, written);
    else if (language == DRAW_NAMES)
        write_names(q, written);
    else
        write_question_steps(q);
    q->any_octave = one_in(6);
    draw_performer(q, at);
    return language;
}
