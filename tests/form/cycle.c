/* tests/form/cycle.c - see cycle.h. */
#include "tests/form/cycle.h"

#include <assert.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum {
    FORM_BARS_MAX = 64,
    BARS_MAX = 700,
    TICKS = 2 /* to a quarter; every metre here divides in eighths */
};

/* --- chance ---------------------------------------------------------------- */

static uint64_t state;

static int roll(int n)
{
    /* Knuth's MMIX generator (from memory). */
    state = state * 6364136223846793005u + 1442695040888963407u;
    return (int)((state >> 33) % (uint64_t)n);
}

static bool chance(int percent)
{
    return roll(100) < percent;
}

/* --- chords ---------------------------------------------------------------- */

enum quality { MAJ, MIN, DOM, HALF, DIM };

struct sound {
    int8_t root; /* above the tonic */
    int8_t quality;
    bool here; /* false: what was before goes on */
};

/* A bar has two places for chords. */
struct cell {
    struct sound at[2];
};

static struct sound sound(int root, enum quality quality)
{
    return (struct sound){ (int8_t)((root + 24) % 12), (int8_t)quality, true };
}

static bool is_same(struct sound a, struct sound b)
{
    return a.here == b.here && a.root == b.root && a.quality == b.quality;
}

static void put(struct cell *cell, struct sound a)
{
    cell->at[0] = a;
    cell->at[1].here = false;
}

static void put_two(struct cell *cell, struct sound a, struct sound b)
{
    cell->at[0] = a;
    cell->at[1] = b;
}

/* --- the grammar ----------------------------------------------------------- */

static bool minor_key;

static struct sound tonic(void)
{
    return sound(0, minor_key ? MIN : MAJ);
}

/* ii and V of the degree ROOT. */
static struct sound two_of(int root, bool minor)
{
    return sound(root + 2, minor ? HALF : MIN);
}

static struct sound five_of(int root)
{
    return sound(root + 7, DOM);
}

static struct sound tonic_like(void)
{
    switch (roll(4)) {
    case 0:
        return minor_key ? sound(8, MAJ) : sound(9, MIN);
    case 1:
        return minor_key ? sound(3, MAJ) : sound(4, MIN);
    default:
        return tonic();
    }
}

static struct sound subdominant(void)
{
    if (minor_key)
        return chance(50) ? sound(5, MIN) : two_of(0, true);
    return chance(50) ? sound(5, MAJ) : two_of(0, false);
}

/* Two bars that go to the degree ROOT. */
static void approach(struct cell *cells, int root)
{
    bool minor = chance(minor_key ? 70 : 30);

    switch (roll(3)) {
    case 0:
        put(&cells[0], two_of(root, minor));
        put(&cells[1], five_of(root));
        break;
    case 1:
        put_two(&cells[0], two_of(root, minor), five_of(root));
        put(&cells[1], sound(root, minor ? MIN : MAJ));
        break;
    default:
        put(&cells[0], five_of(root + 7));
        put(&cells[1], five_of(root));
    }
}

/* Degrees that a tune visits. */
static int away(void)
{
    static const int major[] = { 2, 4, 5, 7, 9, 10, 3, 8 };
    static const int minor[] = { 3, 5, 7, 8, 10 };

    return minor_key ? minor[roll(5)] : major[roll(8)];
}

/* Four bars; the first phrase of a tune starts on the tonic. */
static void phrase(struct cell *cells, bool opens, bool closes)
{
    int place = away(), quality = roll(3);
    struct sound before = subdominant();

    put(&cells[0], opens        ? tonic()
                   : chance(60) ? sound(place, quality)
                                : tonic_like());
    switch (roll(4)) {
    case 0:
        put(&cells[1], tonic_like());
        break;
    case 1:
        put_two(&cells[1], before, five_of(away()));
        break;
    case 2:
        cells[1].at[0].here = cells[1].at[1].here = false;
        break;
    default:
        put(&cells[1], subdominant());
    }
    approach(&cells[2], closes || chance(30) ? 0 : away());
    if (closes && chance(50)) {
        put_two(&cells[2], two_of(0, minor_key), five_of(0));
        put(&cells[3], tonic());
    }
}

static void section(struct cell *cells, int bars, bool opens)
{
    for (int i = 0; i < bars; i += 4) {
        struct cell four[4];

        memset(four, 0, sizeof four);
        phrase(four, opens && i == 0, i + 4 >= bars);
        memcpy(&cells[i], four,
               sizeof *four * (size_t)(bars - i < 4 ? bars - i : 4));
    }
}

/* --- forms ----------------------------------------------------------------- */

struct shape {
    int length;
    const char *letters; /* a prime (') before a letter: with another ending */
    int bars[6];
};

static const struct shape shapes[] = {
    { 8, "A", { 8 } },
    { 12, "b", { 12 } },
    { 12, "b", { 12 } },
    { 12, "A", { 12 } },
    { 14, "A", { 14 } },
    { 16, "AB", { 8, 8 } },
    { 16, "A", { 16 } },
    { 16, "AABA", { 4, 4, 4, 4 } },
    { 20, "ABC", { 8, 8, 4 } },
    { 24, "ABC", { 8, 8, 8 } },
    { 24, "AAB", { 8, 8, 8 } },
    { 32, "AABA", { 8, 8, 8, 8 } },
    { 32, "A'AB'A", { 8, 8, 8, 8 } },
    { 32, "ABAC", { 8, 8, 8, 8 } },
    { 32, "ABA'B", { 8, 8, 8, 8 } },
    { 36, "AABAC", { 8, 8, 8, 8, 4 } },
    { 40, "AABAC", { 8, 8, 8, 8, 8 } },
    { 48, "AABA", { 12, 12, 12, 12 } },
    { 48, "ABA", { 16, 16, 16 } },
    { 64, "AABA", { 16, 16, 16, 16 } },
    { 64, "ABAC", { 16, 16, 16, 16 } },
};

/* Twelve-bar blues, plain ones (common practice, no source). */
static void blues(struct cell *cells)
{
    int quick = roll(2), minor = minor_key ? MIN : DOM;

    memset(cells, 0, 12 * sizeof *cells);
    put(&cells[0], sound(0, minor));
    if (quick) {
        put(&cells[1], sound(5, minor));
        put(&cells[2], sound(0, minor));
    }
    put(&cells[4], sound(5, minor));
    put(&cells[6], sound(0, minor));
    if (chance(50))
        put_two(&cells[7], sound(4, HALF), sound(9, DOM));
    put(&cells[8], chance(50) ? sound(2, MIN) : sound(7, DOM));
    put(&cells[9], cells[8].at[0].root == 2 ? sound(7, DOM) : sound(5, DOM));
    put(&cells[10], sound(0, minor));
    put(&cells[11], sound(7, DOM));
}

/* The root in effect at the start of the bar AT. */
static int root_at(const struct cell *cells, int at)
{
    for (int i = at; i >= 0; i--) {
        if (i < at && cells[i].at[1].here)
            return cells[i].at[1].root;
        if (cells[i].at[0].here)
            return cells[i].at[0].root;
    }
    return -1;
}

/* Do most of the bars from A and B on start with other roots, tritone
 * substitutes not counted?  Ends are alike as a rule: the last two bars do
 * not count. */
static bool is_other_section(const struct cell *cells, int a, int b, int bars)
{
    int other = 0;

    for (int i = 0; i < bars - 2; i++)
        other += (root_at(cells, a + i) - root_at(cells, b + i) + 12) % 6 != 0;
    return other * 3 >= (bars - 2) * 2;
}

/* A section that is unlike every one of its length before it. */
static void new_section(struct cell *cells, int at, int bars,
                        const struct shape *shape)
{
    for (int tries = 0; tries < 200; tries++) {
        bool other = true;

        section(&cells[at], bars, at == 0);
        for (int i = 0, from = 0; from < at; from += shape->bars[i++])
            if (shape->bars[i] >= bars)
                other &= is_other_section(cells, from, at, bars);
        if (other)
            return;
    }
}

static const struct shape *make_form(struct cell *cells, struct cycle *out)
{
    const struct shape *shape = &shapes[roll(sizeof shapes / sizeof *shapes)];
    int first_of[256], at = 0, part = 0;
    bool other_end = false;

    memset(first_of, -1, sizeof first_of);
    minor_key = chance(30);
    memset(cells, 0, FORM_BARS_MAX * sizeof *cells);
    memset(out->letters, 0, sizeof out->letters);
    for (const char *letter = shape->letters; *letter; letter++) {
        int bars = shape->bars[part], from = first_of[(unsigned char)*letter];

        if (*letter == '\'') {
            other_end = true;
            continue;
        }
        if (*letter == 'b')
            blues(cells);
        else if (from >= 0)
            memcpy(&cells[at], &cells[from], (size_t)bars * sizeof *cells);
        else
            new_section(cells, at, bars, shape);
        if (other_end && from >= 0) {
            put(&cells[at + bars - 4], sound(10 - 2 * roll(2), DOM));
            put(&cells[at + bars - 3], sound(3, MAJ));
            put_two(&cells[at + bars - 2], two_of(5, minor_key), five_of(5));
            put(&cells[at + bars - 1], sound(5, minor_key ? MIN : MAJ));
        }
        if (from < 0)
            first_of[(unsigned char)*letter] = at;
        out->letters[part] = *letter == 'b' ? 'A' : *letter;
        if (other_end && *letter == 'B')
            out->letters[part] = 'C';
        other_end = false;
        at += bars;
        part++;
    }
    out->length = shape->length;
    return shape;
}

static void split_bars(struct cell *cells, int length)
{
    for (int i = 0; i < length; i++)
        if (cells[i].at[0].here && !cells[i].at[1].here && chance(60))
            cells[i].at[1] = cells[i].at[0].quality == DOM
                                 ? sound(cells[i].at[0].root + 7, MIN)
                                 : five_of(cells[i].at[0].root);
}

/* --- what players change --------------------------------------------------- */

static struct sound relative(struct sound s)
{
    switch (s.quality) {
    case MAJ:
        return chance(50) ? sound(s.root + 9, MIN) : sound(s.root + 4, MIN);
    case MIN:
        return sound(s.root + 3, MAJ);
    case HALF:
        return sound(s.root + 3, MIN);
    default:
        return sound(s.root + 6, DOM);
    }
}

/* Change the chord PLACE of CELL; NEXT is the root of the chord after it. */
static void change(struct cell *cell, int place, int next)
{
    struct sound s = cell->at[place];
    bool alone = place == 0 && !cell->at[1].here;

    switch (roll(4)) {
    case 0:
        if (s.quality == DOM) {
            cell->at[place] = sound(s.root + 6, DOM);
            return;
        }
        break;
    case 1:
        if (s.quality == DOM && alone) {
            put_two(cell, sound(s.root + 7, chance(70) ? MIN : HALF), s);
            return;
        }
        break;
    case 2:
        if (alone && next >= 0) {
            put_two(cell, s, sound(next + 7, DOM));
            return;
        }
        break;
    default:
        break;
    }
    cell->at[place] = relative(s);
}

/* The last two bars: I VI7 II V7 and its kin. */
static void change_turnaround(struct cell *cells)
{
    static const int roots[4][4] = {
        { 0, 9, 2, 7 }, { 4, 3, 2, 1 }, { 0, 3, 8, 1 }, { 4, 9, 2, 7 }
    };
    static const enum quality qualities[4][4] = { { MAJ, DOM, MIN, DOM },
                                                  { MIN, DOM, MIN, DOM },
                                                  { MAJ, DOM, MAJ, DOM },
                                                  { MIN, DOM, MIN, DOM } };
    int which = roll(4);

    for (int i = 0; i < 4; i++)
        cells[i / 2].at[i % 2] =
            sound(roots[which][i], qualities[which][i]);
}

static int next_root(const struct cell *cells, int length, int bar, int place)
{
    for (int i = bar * 2 + place + 1; i < length * 2; i++)
        if (cells[i / 2].at[i % 2].here)
            return cells[i / 2].at[i % 2].root;
    return -1;
}

static void change_chorus(struct cell *cells, int length, int percent)
{
    struct cell old[FORM_BARS_MAX];

    memcpy(old, cells, (size_t)length * sizeof *cells);
    for (int i = 0; i < length; i++)
        for (int place = 0; place < 2; place++)
            if (old[i].at[place].here && chance(percent))
                change(&cells[i], place, next_root(old, length, i, place));
    if (chance(percent))
        change_turnaround(&cells[length - 2]);
}

/* --- the solo -------------------------------------------------------------- */

static const struct {
    const char *name;
    int eighths, second; /* where the second chord of a bar stands */
} metres[] = {
    { "4/4", 8, 4 }, { "4/4", 8, 4 }, { "4/4", 8, 4 }, { "3/4", 6, 4 },
    { "5/4", 10, 6 }, { "6/8", 6, 3 },
};

struct writer {
    struct solo *solo;
    const struct cycle_wish *wish;
    int key, metre;
    bool silent; /* nothing is written for the moment */
    struct sound last;
};

static const char *const major_suffixes[] = { "maj7", "6" };
static const char *const minor_suffixes[] = { "m7", "m6" };
static const char *const dominant_suffixes[] = { "7", "9" };
static const char *const half_suffixes[] = { "m7b5", "m7b5" };
static const char *const dim_suffixes[] = { "dim7", "dim7" };

static void write_chord(struct writer *w, struct sound s, int eighth)
{
    static const char *const names[] = { "C", "Db", "D", "Eb", "E", "F",
                                         "Gb", "G", "Ab", "A", "Bb", "B" };
    static const char *const *const suffixes[] = {
        major_suffixes, minor_suffixes, dominant_suffixes, half_suffixes,
        dim_suffixes
    };
    static struct chord known[12][5][2]; /* reading a symbol takes long */
    struct solo *solo = w->solo;
    struct chord_event *event = &solo->chords[solo->chord_count];
    const struct bar *bar = &solo->bars[solo->bar_count - 1];
    int root = (s.root + w->key) % 12, which = roll(5) == 0;
    struct chord *chord = &known[root][s.quality][which];
    char text[16];

    if (!(w->wish->variations & CYCLE_RESTATED) && is_same(s, w->last))
        return;
    if ((w->wish->variations & CYCLE_SPARSE) && chance(20))
        return;
    w->last = s;
    snprintf(text, sizeof text, "%s%s", names[root],
             suffixes[s.quality][which]);
    if (!chord->has_root &&
        chord_parse(chord, text, strlen(text), false, NULL) != ST_OK)
        abort();
    event->chord = *chord;
    event->bar = (int32_t)solo->bar_count - 1;
    event->onset = event->takes_effect = eighth;
    event->start = bar->start + eighth;
    event->kind_text = "";
    solo->chord_count++;
}

static void write_silence(struct writer *w)
{
    struct solo *solo = w->solo;
    struct chord_event *event = &solo->chords[solo->chord_count++];

    memset(event, 0, sizeof *event);
    event->chord.class = CHORD_NONE;
    event->bar = (int32_t)solo->bar_count - 1;
    event->start = solo->bars[event->bar].start;
    event->kind_text = "none";
    w->last.here = false;
}

static void write_notes(struct writer *w, const struct bar *bar)
{
    struct solo *solo = w->solo;

    for (int64_t at = roll(3); at < bar->length; at += 1 + roll(3)) {
        struct note *note = &solo->notes[solo->note_count++];

        note->bar = (int32_t)solo->bar_count - 1;
        note->onset = at;
        note->start = bar->start + at;
        note->duration = 1;
        note->midi = (uint8_t)(55 + roll(25));
    }
}

/* Begin a bar of EIGHTHS. */
static struct bar *write_bar(struct writer *w, int eighths)
{
    struct solo *solo = w->solo;
    struct bar *bar = &solo->bars[solo->bar_count];
    char number[12];

    assert(solo->bar_count < BARS_MAX);
    bar->start = solo->bar_count ? bar[-1].start + bar[-1].length : 0;
    bar->length = eighths;
    bar->nominal = metres[w->metre].eighths;
    snprintf(number, sizeof number, "%zu", solo->bar_count + 1);
    bar->number = solo_copy(solo, number, strlen(number));
    bar->metre = metres[w->metre].name;
    bar->fifths = solo->fifths;
    bar->mode = solo->mode;
    solo->plays[solo->play_count++] = (int32_t)solo->bar_count++;
    write_notes(w, bar);
    return bar;
}

static void write_cell(struct writer *w, const struct cell *cell)
{
    write_bar(w, metres[w->metre].eighths);
    if (w->silent)
        return;
    if (cell->at[0].here)
        write_chord(w, cell->at[0], 0);
    else if (w->last.here && (w->wish->variations & CYCLE_RESTATED))
        write_chord(w, w->last, 0);
    if (cell->at[1].here)
        write_chord(w, cell->at[1], metres[w->metre].second);
}

static void mark_next(struct writer *w, const char *text)
{
    struct remark *remark = &w->solo->remarks[w->solo->remark_count++];

    remark->bar = (int32_t)w->solo->bar_count;
    remark->text = solo_copy(w->solo, text, strlen(text));
    if (w->wish->marks == CYCLE_LETTERS)
        w->solo->bars[remark->bar].rehearsal = remark->text;
}

static void double_bar(struct writer *w)
{
    if (w->wish->marks == CYCLE_DOUBLE && w->solo->bar_count > 0)
        w->solo->bars[w->solo->bar_count - 1].barlines |= BARLINE_DOUBLE;
}

/* --- introduction, choruses, tag ------------------------------------------- */

/* A bar that cannot be taken for CELL. */
static void make_unlike(struct cell *cell, const struct cell *other)
{
    while (is_same(cell->at[0], other->at[0]) ||
           is_same(cell->at[0], other->at[1]) ||
           cell->at[0].root == (other->at[0].root + 6) % 12)
        put(cell, sound(cell->at[0].root + 10, MAJ));
}

static void write_intro(struct writer *w, const struct cell *last, int bars)
{
    struct cell cells[8];
    int around = 1 + roll(2);

    memset(cells, 0, sizeof cells);
    section(cells, 8, false);
    put(&cells[7], five_of(0));
    make_unlike(&cells[7], last);
    if (w->wish->variations & CYCLE_VAMP_INTRO)
        for (int i = around; i < 8; i++)
            cells[i] = cells[i - around];
    if (bars > 0 && (w->wish->marks == CYCLE_LETTERS ||
                     w->wish->marks == CYCLE_CHORUSES))
        mark_next(w, "Intro");
    w->silent = (w->wish->variations & CYCLE_SILENT_INTRO) != 0;
    for (int i = 0; i < bars; i++) {
        write_cell(w, &cells[w->wish->variations & CYCLE_VAMP_INTRO
                                 ? i
                                 : 8 - bars + i]);
        if (i == 0 && w->silent && chance(50))
            write_silence(w);
    }
    w->silent = false;
}

static void write_chorus(struct writer *w, const struct cell *form,
                         const struct cycle *truth, const struct shape *shape,
                         int bars, int number)
{
    struct cell cells[FORM_BARS_MAX];
    int part = 0, next = 0;

    memcpy(cells, form, sizeof cells);
    change_chorus(cells, truth->length, w->wish->percent);
    if (w->wish->marks == CYCLE_CHORUSES) {
        char text[20];

        snprintf(text, sizeof text, "Chorus %d", number);
        mark_next(w, text);
    }
    for (int i = 0; i < bars; i++) {
        if (i == next) {
            char letter[2] = { truth->letters[part], '\0' };

            if (w->wish->marks == CYCLE_LETTERS)
                mark_next(w, letter);
            double_bar(w);
            next += shape->bars[part++];
        }
        write_cell(w, &cells[i]);
    }
}

static void write_tag(struct writer *w, const struct cell *form, int length,
                      int bars)
{
    if (bars > 0 && (w->wish->marks == CYCLE_LETTERS ||
                     w->wish->marks == CYCLE_CHORUSES))
        mark_next(w, "Coda");
    for (int i = 0; i < bars; i++) {
        struct cell last = form[length - bars + i];

        if (i == 0 && bars > 1)
            make_unlike(&last, &form[0]);
        if (i + 1 == bars)
            put(&last, tonic());
        write_cell(w, &last);
    }
}

static void draw_passes(struct cycle *out, const struct cycle_wish *wish,
                        int *intro)
{
    bool bare = wish->marks == CYCLE_BARE || wish->marks == CYCLE_DOUBLE;

    out->choruses = 1 + roll(out->length > 40 ? 4 : 8);
    *intro = chance(50) ? 0 : 1 + roll(8);
    out->partial = chance(20) ? 1 + roll(out->length - 1) : 0;
    out->tag = chance(25) ? 1 << roll(3) : 0;
    if (out->choruses == 1) {
        out->partial = 0;
        if (bare)
            *intro = out->tag = 0;
    }
    if (out->choruses == 2 && out->partial > 0 &&
        out->partial < out->length / 2)
        out->partial = out->length / 2;
    if (out->choruses == 2 && out->partial < 12)
        out->partial = 0;
    if (out->partial > 0)
        out->tag = 0;
    /* Where both ends are open, chords cannot tell. */
    if (bare && *intro > 0 &&
        (out->partial < 4 || out->partial > out->length - 4))
        out->partial = 0;
    if (bare && out->choruses < 3)
        out->partial = 0;
    if (bare && out->tag == 1)
        out->tag = 0;
}

static struct solo *new_solo(void)
{
    struct solo *solo = solo_new();

    if (!solo)
        abort();
    solo->ticks = TICKS;
    solo->has_key = true;
    solo->bars = solo_alloc(solo, BARS_MAX * sizeof *solo->bars);
    solo->plays = solo_alloc(solo, BARS_MAX * sizeof *solo->plays);
    solo->chords = solo_alloc(solo, 3 * BARS_MAX * sizeof *solo->chords);
    solo->notes = solo_alloc(solo, 12 * BARS_MAX * sizeof *solo->notes);
    solo->remarks = solo_alloc(solo, BARS_MAX * sizeof *solo->remarks);
    if (!solo->bars || !solo->plays || !solo->chords || !solo->notes ||
        !solo->remarks)
        abort();
    return solo;
}

/* The key signature of the tonic. */
static void set_key(struct solo *solo, int key)
{
    int major = minor_key ? key + 3 : key;

    solo->fifths = (int8_t)((major * 7 + 5) % 12 - 5);
    solo->mode = minor_key ? MODE_MINOR : MODE_MAJOR;
}

void cycle_make(struct cycle *out, const struct cycle_wish *wish)
{
    struct cell form[FORM_BARS_MAX];
    struct writer w = { .wish = wish };
    const struct shape *shape;
    int intro;

    memset(out, 0, sizeof *out);
    state = wish->seed * 2654435761u + 12345u;
    for (int i = 0; i < 8; i++)
        roll(2);
    shape = make_form(form, out);
    if (wish->variations & CYCLE_HALF_BARS)
        split_bars(form, out->length);
    draw_passes(out, wish, &intro);
    w.key = roll(12);
    w.metre = roll(sizeof metres / sizeof *metres);
    w.solo = out->solo = new_solo();
    set_key(w.solo, w.key);
    if (chance(30))
        write_bar(&w, metres[w.metre].eighths / 3)->implicit = chance(60);
    write_intro(&w, &form[out->length - 1], intro);
    out->first_bar = (int)w.solo->bar_count;
    for (int i = 1; i <= out->choruses; i++)
        write_chorus(&w, form, out, shape,
                     i == out->choruses && out->partial ? out->partial
                                                        : out->length,
                     i);
    double_bar(&w);
    write_tag(&w, form, out->length, out->tag);
    solo_place_notes(w.solo);
}
