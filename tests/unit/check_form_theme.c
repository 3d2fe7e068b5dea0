/* check_form_theme.c - what the melody says of the form, and lead sheets. */
#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "indexer/form.h"
#include "indexer/musicxml.h"
#include "tests/form/grid_text.h"
#include "tests/unit/suites.h"

/* --- melodies of two notes a bar ------------------------------------------- */

static void add_note(struct solo *solo, int bar, int onset, int midi)
{
    struct note *note = &solo->notes[solo->note_count++];

    note->bar = bar;
    note->onset = onset;
    note->start = 4 * bar + onset;
    note->duration = 2;
    note->midi = (uint8_t)midi;
}

/* What line goes over the bars. */
enum line {
    NEW,      /* another one throughout */
    RETURNS,  /* the first half again, but for its last two bars */
    COPIED,   /* that of the first bars again and again */
    BY_CHORD, /* the root and the third of the chord */
    ONE_BAR   /* one pattern in every bar */
};

static int pitch_at(const struct solo *solo, enum line line, int bar, int i,
                    int copied)
{
    int place = bar % copied;
    size_t chord = 0;

    switch (line) {
    case RETURNS:
        return 60 + ((place >= copied - 2 ? bar : place) * 2 + i) * 7 % 23;
    case COPIED:
        return 60 + (place * 2 + i) * 7 % 23;
    case ONE_BAR:
        return 60 + 3 * i;
    case BY_CHORD:
        while (chord + 1 < solo->chord_count &&
               solo->chords[chord + 1].start <= 4 * bar + 2 * i)
            chord++;
        return 60 + (int)solo->chords[chord].chord.root_pc + 4 * i;
    default:
        return 60 + (bar * 2 + i) * 7 % 23;
    }
}

static void add_line(struct solo *solo, enum line line, int copied)
{
    for (int bar = 0; bar < (int)solo->bar_count; bar++)
        for (int i = 0; i < 2; i++)
            add_note(solo, bar, 2 * i, pitch_at(solo, line, bar, i, copied));
}

#define SIXTEEN2 "Cmaj7 Ebdim7 Dm7 Db7 Em7 Eb7 Dm7 G7 " \
    "Cmaj7 Gm7+C7 Am7 Fm6+Bb7 Em7+A7 Dm7+G7 Am7 Dm7+G7 "
#define EIGHT "Cmaj7 A7 Dm7 G7 Em7 Am7 D7 G7 "
#define EIGHT2 "Cmaj7 A7 Dm7 G7 Em7 Am7 Dm7+G7 C6 "

static const struct {
    const char *what, *grid;
    enum line line;
    int copied;
    const char *form;
} cases[] = {
    { "a new line over other chords is a second chorus", SIXTEEN SIXTEEN2, NEW,
      16, "16 from 0, 2: AB" },
    { "a tune that returns with other chords is one", SIXTEEN SIXTEEN2,
      RETURNS, 16, "32 from 0, 1: ABAB" },
    { "so is a phrase with another ending", EIGHT EIGHT2, RETURNS, 8,
      "16 from 0, 1: AA" },
    { "two halves bar for bar are two choruses", EIGHT EIGHT, COPIED, 8,
      "8 from 0, 2: A" },
    { "verses bar for bar are as many", SIXTEEN SIXTEEN SIXTEEN, COPIED, 16,
      "16 from 0, 3: AB" },
    { "a line that was copied under other chords says nothing",
      SIXTEEN SIXTEEN2 SIXTEEN, COPIED, 16, "16 from 0, 3: AB" },
    { "nor does a line that goes by the chord", BLUES BLUES2 BLUES3, BY_CHORD,
      12, "12 from 0, 3: A" },
    { "nor a pattern that runs through", SIXTEEN SIXTEEN2, ONE_BAR, 16,
      "16 from 0, 2: AB" },
};

START_TEST(melodies_tell_themes)
{
    struct solo *solo = grid_text_new();
    char got[GRID_TEXT_FORM];

    grid_text_write(solo, cases[_i].grid);
    add_line(solo, cases[_i].line, cases[_i].copied);
    grid_text_play(solo);
    ck_assert_int_eq(form_find(solo, NULL), ST_OK);
    grid_text_form(got, solo);
    ck_assert_msg(strcmp(got, cases[_i].form) == 0,
                  "%s: got '%s', expected '%s'", cases[_i].what, got,
                  cases[_i].form);
    solo_free(solo);
}
END_TEST

/* A pickup may be written as a whole bar with rests.  Without a chord a lone
 * chorus may start after such a bar also where it has notes throughout. */
START_TEST(a_whole_bar_may_be_a_pickup)
{
    for (int onset = 0; onset < 4; onset++) {
        struct solo *solo = grid_text_new();
        char got[GRID_TEXT_FORM];

        grid_text_write(solo, "- Cmaj7 A7 Dm7 G7 Em7 A7 D7 G7 Cmaj7 Fmaj7 "
                              "Em7 Am7 Dm7 G7 C6 % ");
        add_note(solo, 0, onset, 60);
        grid_text_play(solo);
        ck_assert_int_eq(form_find(solo, NULL), ST_OK);
        ck_assert_str_eq(grid_text_form(got, solo), "16 from 1, 1: AB");
        solo_free(solo);
    }
}
END_TEST

/* --- real lead sheets ------------------------------------------------------ */

/* The chord that sounds at the eighth I of the bar BAR; NULL none. */
static const struct chord *sounds(const struct solo *solo, int32_t bar, int i)
{
    const struct chord *chord = NULL;
    int64_t at = solo->bars[bar].start + solo->bars[bar].length * i / 8;

    for (size_t k = 0; k < solo->chord_count; k++)
        if (solo->chords[k].start <= at)
            chord = &solo->chords[k].chord;
    return chord;
}

static bool is_same_bar(const struct solo *solo, int32_t a, int32_t b)
{
    for (int i = 0; i < 8; i++) {
        const struct chord *x = sounds(solo, a, i), *y = sounds(solo, b, i);

        if ((!x) != (!y) || (x && !chord_equal(x, y)))
            return false;
    }
    return true;
}

/* A pickup: too short, or without a chord and not from its start. */
static bool has_pickup(const struct solo *solo)
{
    const struct bar *bar = &solo->bars[0];

    return bar->length < bar->nominal ||
           (!sounds(solo, 0, 7) && solo->notes[0].bar == 0 &&
            solo->notes[0].onset > 0);
}

/* All choruses bar for bar the same, and no bar left over? */
static bool is_repeated(const struct solo *solo)
{
    const struct form *form = &solo->form;

    for (size_t i = 0; i < solo->bar_count; i++) {
        const struct form_place *place = &form->places[i];
        int32_t first = form->first_bar + place->chorus_bar - 1;

        if (place->chorus == 0 && (int32_t)i >= form->first_bar)
            return false;
        if (place->chorus > 1 && !is_same_bar(solo, first, (int32_t)i))
            return false;
    }
    return form->choruses[form->chorus_count - 1].complete;
}

/* Is the sheet, played as written, one chorus from the pickup to the end? */
static void check_sheet(const char *name, const struct solo *solo)
{
    const struct form *form = &solo->form;
    int32_t bars = (int32_t)solo->bar_count - has_pickup(solo);

    ck_assert_msg(form->plan.length > 0, "%s has no form", name);
    if (form->chorus_count > 1)
        ck_assert_msg(is_repeated(solo), "%s: %d choruses of %d bars", name,
                      (int)form->chorus_count, (int)form->plan.length);
    else
        ck_assert_msg(form->plan.length == bars, "%s: %d of %d bars", name,
                      (int)form->plan.length, (int)bars);
}

START_TEST(a_lead_sheet_is_one_chorus)
{
    const char *real = getenv("CELLAR_REAL");
    struct dirent *entry;
    int count = 0, written_out = 0;
    char path[500];
    DIR *dir;

    if (!real || !*real)
        return; /* tests/run.sh says so */
    snprintf(path, sizeof path, "%s/leadsheets", real);
    dir = opendir(path);
    ck_assert_msg(dir != NULL, "%s", path);
    while ((entry = readdir(dir))) {
        struct solo *solo;
        bool jumps = false;

        if (entry->d_name[0] == '.')
            continue;
        snprintf(path, sizeof path, "%s/leadsheets/%s", real, entry->d_name);
        ck_assert_int_eq(musicxml_read_file(&solo, path, NULL, NULL), ST_OK);
        ck_assert_int_eq(form_find(solo, NULL), ST_OK);
        for (size_t i = 0; i < solo->play_count; i++)
            jumps |= solo->plays[i] != (int32_t)i;
        if (!jumps && solo->bars[0].rehearsal == NULL)
            check_sheet(entry->d_name, solo);
        written_out += !jumps && solo->form.chorus_count > 1;
        count++;
        solo_free(solo);
    }
    closedir(dir);
    ck_assert_int_eq(count, 120);
    /* Whose verses are written out bar for bar. */
    ck_assert_int_eq(written_out, 7);
}
END_TEST

Suite *form_theme_suite(void)
{
    Suite *s = suite_create("form_theme");
    TCase *t = tcase_create("melodies");

    tcase_add_loop_test(t, melodies_tell_themes, 0,
                        (int)(sizeof cases / sizeof *cases));
    tcase_add_test(t, a_whole_bar_may_be_a_pickup);
    tcase_add_test(t, a_lead_sheet_is_one_chorus);
    suite_add_tcase(s, t);
    return s;
}
