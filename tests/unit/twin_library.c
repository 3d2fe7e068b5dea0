/* twin_library.c - the solos that find and its twin look through. */
#include <check.h>
#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "indexer/musicxml.h"
#include "tests/unit/twin.h"

/* --- chance -------------------------------------------------------------- */

static uint64_t chance_state;

unsigned chance(unsigned n)
{
    chance_state ^= chance_state << 13;
    chance_state ^= chance_state >> 7;
    chance_state ^= chance_state << 17;
    return (unsigned)(chance_state >> 33) % n;
}

bool one_in(unsigned n)
{
    return chance(n) == 0;
}

/* --- the solos ----------------------------------------------------------- */

struct twin_solo twin_solos[TWIN_SOLOS_MAX];
size_t twin_solo_count;
struct fixture twin_library;

/* What is put is what the twin looks at; the store gets its own copy. */
static void put(const char *path, struct solo *solo)
{
    unsigned char *bytes;
    size_t size;
    struct solo *copy;
    struct fault why = { 0 };

    ck_assert_uint_lt(twin_solo_count, TWIN_SOLOS_MAX);
    ck_assert_int_eq(solo_encode(solo, &bytes, &size, &why), ST_OK);
    ck_assert_int_eq(solo_decode(&copy, bytes, size, &why), ST_OK);
    free(bytes);
    snprintf(twin_solos[twin_solo_count].path, sizeof twin_solos->path, "%s",
             path);
    twin_solos[twin_solo_count].solo = solo;
    twin_solos[twin_solo_count].performer = solo->performer;
    twin_solo_count++;
    fixture_put(&twin_library, path, copy);
}

const char *const twin_players[3] = { "Alder", "Birch", "Cedar" };
const char *const twin_roots[12] = { "C",  "Db", "D",  "Eb", "E",  "F",
                                     "F#", "G",  "Ab", "A",  "Bb", "B" };

const struct twin_suffix twin_suffixes[TWIN_SUFFIXES] = {
    { "m7", CHORD_MINOR, false, false },
    { "7", CHORD_DOMINANT, false, false },
    { "maj7", CHORD_MAJOR, false, false },
    { "m7b5", CHORD_HALF_DIMINISHED, false, false },
    { "dim7", CHORD_DIMINISHED, false, false },
    { "7b9", CHORD_DOMINANT, true, false },
    { "7#9", CHORD_DOMINANT, true, false },
    { "7alt", CHORD_DOMINANT, true, false },
    { "7sus4", CHORD_DOMINANT, false, true },
    { "9", CHORD_DOMINANT, false, false },
    { "13", CHORD_DOMINANT, false, false },
    { "6", CHORD_MAJOR, false, false },
    { "m6", CHORD_MINOR, false, false },
    { "m9", CHORD_MINOR, false, false },
    { "sus4", CHORD_SUSPENDED, false, false },
    { "aug", CHORD_AUGMENTED, false, false },
};

static void random_chord(char out[32])
{
    /* One after the other: compilers differ in the order of arguments. */
    const char *root = twin_roots[chance(12)];
    unsigned suffixes = one_in(3) ? TWIN_SUFFIXES : 3;

    snprintf(out, 32, "%s%s", root, twin_suffixes[chance(suffixes)].text);
    if (one_in(15))
        strcpy(out, "N.C.");
}

/* Chords every two beats or bars, now and then a quarter late or in a stack,
 * from some bar on. */
static void write_chords(struct draft *draft, int bars)
{
    int64_t at = one_in(3) ? (int64_t)chance(4) * draft->bar : 0;
    char symbol[32];

    random_chord(symbol);
    while (at < bars * draft->bar) {
        draft_chord(draft, symbol, at);
        if (!one_in(4))
            random_chord(symbol);
        at += one_in(5)   ? FIXTURE_TICKS / 4
              : one_in(2) ? draft->bar
                          : 2 * FIXTURE_TICKS;
        if (one_in(12))
            at += 3 * draft->bar;
    }
}

int random_step(void)
{
    static const int cell[] = { -4, -1, -2, 2, 2, 3, 3, 4, 5, -5, 1, -3 };

    if (one_in(25))
        return (int)chance(121) - 60;
    if (one_in(8))
        return 0;
    return cell[chance(sizeof cell / sizeof *cell)];
}

static void write_notes(struct draft *draft, int notes)
{
    static const int64_t values[] = { 6, 8, 12, 12, 12, 12, 24, 36, 48 };
    int midi = 60 + (int)chance(12);

    for (int i = 0; i < notes; i++) {
        int64_t value = values[chance(sizeof values / sizeof *values)];

        draft_note(draft, midi, value,
                   one_in(10)   ? value / 2
                   : one_in(30) ? 0
                                : value);
        if (one_in(9))
            draft_rest(draft, values[chance(9)]);
        midi += random_step();
        if (midi < 20 || midi > 110)
            midi = 60 + (int)chance(12);
    }
}

/* A form of a few bars, again and again from some bar on, and phrases; now and
 * then none. */
static void lay_form(struct solo *solo)
{
    static const char *const letters[] = { "A", "B", "A", "Coda" };
    struct form_part parts[4] = { { "", 0 } };
    struct form_plan plan = { .confidence = 50, .source = FORM_HARMONY,
                              .parts = parts };
    struct fault why = { 0 };

    plan.first_play = (int32_t)chance(4);
    plan.tail = (int32_t)chance(3);
    plan.part_count = chance(5);
    for (size_t i = 0; i < plan.part_count; i++) {
        strcpy(parts[i].letter, letters[i]);
        parts[i].bars = 1 + (int32_t)chance(4);
        plan.length += parts[i].bars;
    }
    /* Some bars of no section at the end. */
    plan.length += one_in(3) || plan.length == 0 ? 2 : 0;
    if (one_in(6) || solo->play_count < 8)
        return;
    ck_assert_msg(form_lay_out(solo, &plan, &why) == ST_OK, "%s", why.message);
}

static void mark_phrases(struct solo *solo)
{
    int32_t phrase = 1;

    if (one_in(8))
        return;
    for (size_t i = 0; i < solo->note_count; i++) {
        solo->notes[i].phrase = phrase;
        phrase += one_in(7);
    }
}

static void put_synthetic(int number)
{
    static const struct {
        const char *metre;
        int64_t bar;
    } metres[] = { { "4/4", 96 }, { "4/4", 96 },  { "3/4", 72 },
                   { "6/8", 72 }, { "5/4", 120 }, { "2/2", 96 } };
    unsigned metre = chance(sizeof metres / sizeof *metres);
    struct draft draft;
    struct solo *solo;
    char path[64];

    draft_start(&draft, twin_players[number % 3], "made up",
                metres[metre].metre, metres[metre].bar);
    write_notes(&draft, number < 4 ? number : 20 + (int)chance(300));
    if (number % 10 != 9)
        write_chords(&draft, (int)(draft.now / draft.bar) + 1);
    solo = draft_end(&draft);
    lay_form(solo);
    mark_phrases(solo);
    /* Some in folders, some with capitals: paths are ordered by bytes. */
    snprintf(path, sizeof path, "%s%c%02d.xml", number % 4 ? "" : "set/",
             number % 2 ? 'a' : 'B', number);
    put(path, solo);
}

/* Even quavers over ii V I I, on chord tones mostly, each bar one of few
 * patterns: full of places that score much, and of the same cells. */
static void put_tame(int number)
{
    static const struct {
        const char *suffix;
        int up, tones[4];
    } chords[] = { { "m7", 2, { 0, 3, 7, 10 } },
                   { "7", 7, { 0, 4, 7, 10 } },
                   { "maj7", 0, { 0, 4, 7, 11 } },
                   { "maj7", 0, { 0, 4, 7, 11 } } };
    static const int patterns[][8] = { { 0, 1, 2, 3, 2, 1, 0, 1 },
                                       { 2, 1, 0, 1, 2, 3, 2, 1 },
                                       { 3, 2, 1, 0, 1, 2, 3, 2 } };
    struct draft draft;
    struct solo *solo;
    char path[64];

    draft_start(&draft, twin_players[number % 3], "tame", "4/4", 96);
    for (int bar = 0; bar < 48; bar++) {
        int key = number + 5 * (bar / 4), root = (key + chords[bar % 4].up) % 12;
        const int *pattern = patterns[chance(3)];
        char symbol[32];

        snprintf(symbol, sizeof symbol, "%s%s", twin_roots[root],
                 chords[bar % 4].suffix);
        draft_chord(&draft, symbol, bar * draft.bar);
        for (int i = 0; i < 8; i++)
            draft_note(&draft,
                       60 + root + chords[bar % 4].tones[pattern[i]] +
                           (one_in(12) ? (int)chance(3) - 1 : 0),
                       12, 12);
    }
    solo = draft_end(&draft);
    lay_form(solo);
    mark_phrases(solo);
    snprintf(path, sizeof path, "tame/%d.xml", number);
    put(path, solo);
}

/* Put the music files below FOLDER; what cannot be read is left out. */
static void put_folder(const char *folder)
{
    struct dirent **entries;
    int count = scandir(folder, &entries, NULL, alphasort);

    for (int i = 0; i < count; i++) {
        const char *name = entries[i]->d_name;
        const char *dot = strrchr(name, '.');
        struct musicxml_options options = { NULL };
        struct solo *solo;
        struct fault why;
        char path[280];

        snprintf(path, sizeof path, "%s/%s", folder, name);
        if (name[0] == '.')
            continue;
        if (!dot)
            put_folder(path);
        else if ((!strcmp(dot, ".mxl") || !strcmp(dot, ".xml") ||
                  !strcmp(dot, ".musicxml")) &&
                 musicxml_read_file(&solo, path, &options, &why) == ST_OK)
            put(path, solo);
    }
    for (int i = 0; i < count; i++)
        free(entries[i]);
    if (count >= 0)
        free(entries);
}

/* A folder without a readable solo is a mistake, not a smaller test. */
static void put_some(const char *folder)
{
    size_t before = twin_solo_count;

    put_folder(folder);
    ck_assert_msg(twin_solo_count > before, "no solo can be read from %s",
                  folder);
}

void twin_library_build(void)
{
    const char *real = getenv("CELLAR_REAL");

    chance_state = 88172645463325252u;
    fixture_open(&twin_library);
    for (int i = 0; i < SYNTHETIC; i++)
        put_synthetic(i);
    for (int i = 0; i < TAME; i++)
        put_tame(i);
    put_some("corpus-demo");
    if (real && real[0])
        put_some(real);
    fixture_commit(&twin_library);
}

void twin_library_free(void)
{
    for (size_t i = 0; i < twin_solo_count; i++)
        solo_free(twin_solos[i].solo);
    twin_solo_count = 0;
    fixture_close(&twin_library);
}
