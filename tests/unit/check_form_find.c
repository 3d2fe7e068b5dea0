/* check_form_find.c - the form of a solo is found.  What is a form: common
 * practice, no source.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "indexer/form.h"
#include "indexer/musicxml.h"
#include "tests/form/cycle.h"
#include "tests/form/grid_text.h"
#include "tests/unit/suites.h"

/* --- forms ----------------------------------------------------------------- */

static const struct {
    const char *what, *grid, *form;
} cases[] = {
    { "a blues of three choruses", BLUES BLUES BLUES, "12 from 0, 3: A" },
    { "each with other chords", BLUES BLUES2 BLUES3, "12 from 0, 3: A" },
    { "one that breaks off", BLUES BLUES2 "C7 F7 C7 % F7 %",
      "12 from 0, 2 and 6: A" },
    { "AABA is not eight bars", AABA AABA, "32 from 0, 2: AABA" },
    { "nor is it when played once", AABA, "32 from 0, 1: AABA" },
    { "sixteen bars", SIXTEEN SIXTEEN SIXTEEN, "16 from 0, 3: AB" },
    { "a sheet with two endings is not two choruses", A1 B2 A1 B3,
      "32 from 0, 1: ABAC" },
    { "two halves bar for bar are", A1 B1 A1 B1, "16 from 0, 2: AB" },
    { "a tune in which nothing returns",
      "Cmaj7 Dm7 G7 Em7 Am7 D7 Gmaj7 Bm7 E7 A7 Dmaj7 F#m7 Bm7 Eb7 Abmaj7 G7",
      "16 from 0, 1: AB" },
    { "a last A that ends otherwise is an A", A1 A2 B1
      "C6+Am7 Dm7+G7 Em7+A7 Dm7+G7 Gm7+C7 Ebmaj7 Abmaj7 C6 ",
      "32 from 0, 1: AABA" },
    { "so is one whose first chord is not written",
      "Cmaj7 % Dm7 G7 Em7 A7 Dm7 G7 % % Dm7 G7 Em7 A7 Dm7 C6 " B1
      "Cmaj7 % Dm7 G7 Em7 A7 Dm7 C6 ", "32 from 0, 1: AABA" },
    { "a section that comes twice is no cycle", A1 A2 B2,
      "24 from 0, 1: AAB" },
    { "an introduction", "Abmaj7 Dbmaj7 Am7b5 Ab7 " BLUES BLUES2 BLUES,
      "12 from 4, 3: A" },
    { "an introduction without chords", "- - - - " BLUES BLUES2 BLUES,
      "12 from 4, 3: A" },
    { "an introduction over one chord", "Db7 % % % " AABA AABA,
      "32 from 4, 2: AABA" },
    { "a tag", AABA AABA "Ebm7 Ab7 Dbmaj7 C6", "32 from 0, 2, tail 4: AABA" },
    { "no chord in a break", BLUES "N.C. % C7 % F7 % C7 A7 Dm7 G7 C7 G7" " "
      BLUES, "12 from 0, 3: A" },
    { "a repeat is played twice", "( " BLUES ") " BLUES2,
      "12 from 0, 3: A" },
    { "a vamp of one chord has none", "Dm7 % % % % % % % % % % % % % % %",
      "none" },
    { "nor has one of two bars",
      "Dm7 G7 Dm7 G7 Dm7 G7 Dm7 G7 Dm7 G7 Dm7 G7 Dm7 G7 Dm7 G7", "none" },
    { "nor has a long piece in which nothing returns",
      "Cmaj7 Dm7 G7 Em7 Am7 D7 Gmaj7 Bm7 E7 A7 Dmaj7 F#m7 Bm7 Eb7 Abmaj7 Gm7 "
      "C7 Fmaj7 Bbmaj7 Ebm7 Ab7 Dbmaj7 Gbmaj7 B7 Emaj7 C#m7 F#7 Bmaj7 Abm7 "
      "Db7 F#m7b5 B7#9 Em6 Gdim7 D/F# Fm6 Ebaug Bbm7 Am7b5 D7#9 Gm6 Bdim7 Cm7 "
      "F7 Dbmaj7 Caug Fmaj9",
      "none" },
    { "no chords, no form", "- - - - - - - - - - - - - - - -", "none" },
    { "too short for any", "C7 F7 C7 G7", "none" },

    { "letters",
      "[A]" A1 "[A]" A2 "[B]" B1 "[A]" A2 "[A]" A1 "[A]" A2 "[B]" B1 "[A]" A2,
      "32 from 0, 2: AABA by marks" },
    { "letters with numbers", "[A1]" A1 "[A2]" A2 "[B]" B1 "[A3]" A2,
      "32 from 0, 1: AABA by marks" },
    { "a letter at each chorus", "[A]" BLUES "[A]" BLUES2,
      "12 from 0, 2: A by marks" },
    { "letters that go on from chorus to chorus", "[A]" BLUES "[B]" BLUES2
      "[C]" BLUES3, "12 from 0, 3: A by marks" },
    { "a section that returns closes the form", "[A]" A1 "[B]" B1 "[A]" A2,
      "24 from 0, 1: ABA by marks" },
    { "also with other chords", "[A]" A1 "[A]" A1 "[B]" B1
      "[A]C6+A7 Dm7+Db7 Em7+Eb7 Dm7+Db7 Gm7+Gb7 F6+Dm7 Dm7+Db7 C6 ",
      "32 from 0, 1: AABA by marks" },
    { "where it closed it before, another chorus starts", "[A]" A1 "[A]" A2
      "[B]" B1 "[A]" A2 "[A]" A1, "32 from 0, 1 and 8: AABA by marks" },
    { "two sections that return do, too", "[A]" A1 "[B]" B1 "[C]" B2 "[A]" A1
      "[B]" B1, "24 from 0, 1 and 16: ABC by marks" },
    { "a section goes on to the next letter or the end", "[A]" A1 "[B]" B2
      "[A]" A2 "[C]" B1 "Em7 A7 Dm7 G7 ", "36 from 0, 1: ABAC by marks" },
    { "letters without chords",
      "[A]- - - - - - - - [B]- - - - - - - - [A]- - - - - - - - "
      "[B]- - - - - - - -",
      "16 from 0, 2: AB by marks" },
    { "an introduction that is marked", "[Intro]" B1 "[A]" A1 "[A]" A2 "[B]" B1
      "[A]" A2, "32 from 8, 1: AABA by marks" },
    { "a coda that is marked", "{Chorus_1}" AABA "{Chorus_2}" AABA
      "{Coda}Dm7 G7 Em7 A7 Dm7 G7 C6 %",
      "32 from 0, 2, tail 8: AABA by marks" },
    { "chorus numbers", "{Chorus_1}" BLUES "{2nd_chorus}" BLUES3
      "{Third_Chorus}" BLUES2, "12 from 0, 3: A by marks" },
    { "numbers alone", "[1]" BLUES "[2]" BLUES3 "[3]" BLUES2,
      "12 from 0, 3: A by marks" },
    { "where to play the coda is no coda",
      "{Chorus_1}" BLUES "{Chorus_2}C7 F7 C7 % {To_Coda}F7 % C7 A7 Dm7 G7 C7 "
      "{D.C._al_Coda}G7 ",
      "12 from 0, 2: A by marks" },
};

START_TEST(forms_are_found)
{
    struct solo *solo = grid_text_new();
    char got[200];

    grid_text_write(solo, cases[_i].grid);
    grid_text_play(solo);
    ck_assert_int_eq(form_find(solo, NULL), ST_OK);
    grid_text_form(got, solo);
    ck_assert_msg(strcmp(got, cases[_i].form) == 0,
                  "%s: got '%s', expected '%s'", cases[_i].what, got,
                  cases[_i].form);
    solo_free(solo);
}
END_TEST

START_TEST(confidence_is_honest)
{
    struct solo *sure = grid_text_new(), *marked = grid_text_new(), *lone = grid_text_new();

    grid_text_write(sure, BLUES BLUES BLUES BLUES BLUES BLUES);
    grid_text_write(marked, "{Chorus_1}" BLUES "{Chorus_2}" BLUES);
    grid_text_write(lone, SIXTEEN);
    grid_text_play(sure);
    grid_text_play(marked);
    grid_text_play(lone);
    ck_assert_int_eq(form_find(sure, NULL), ST_OK);
    ck_assert_int_eq(form_find(marked, NULL), ST_OK);
    ck_assert_int_eq(form_find(lone, NULL), ST_OK);
    ck_assert_int_ge(sure->form.plan.confidence, 85);
    ck_assert_int_ge(marked->form.plan.confidence, 97);
    ck_assert_int_le(lone->form.plan.confidence, 60);
    solo_free(sure);
    solo_free(marked);
    solo_free(lone);
}
END_TEST

/* --- invented solos -------------------------------------------------------- */

/* How many of COUNT solos have the right length and first bar. */
static int count_right(enum cycle_marks marks, int percent, uint32_t count)
{
    int right = 0;

    for (uint32_t seed = 1; seed <= count; seed++) {
        struct cycle_wish wish = { seed, percent, marks, 0 };
        struct cycle cycle;

        cycle_make(&cycle, &wish);
        ck_assert_int_eq(form_find(cycle.solo, NULL), ST_OK);
        right += cycle_is_told(&cycle);
        solo_free(cycle.solo);
    }
    return right;
}

/* The same seeds make the same solos with every compiler, or the floors below
 * mean nothing.  The value is ours. */
START_TEST(seeds_mean_the_same_everywhere)
{
    uint64_t sum = 0;

    for (uint32_t seed = 1; seed <= 50; seed++) {
        struct cycle_wish wish = { seed, 30, CYCLE_BARE, 0 };
        struct cycle cycle;

        cycle_make(&cycle, &wish);
        sum = sum * 31 + (uint64_t)solo_harmony_digest(cycle.solo);
        for (size_t i = 0; i < cycle.solo->note_count; i++)
            sum = sum * 31 + cycle.solo->notes[i].midi;
        solo_free(cycle.solo);
    }
    ck_assert_uint_eq(sum, 5046278878738056069u);
}
END_TEST

/* Of each sort so many, and at least so many of a thousand of them right. */
static const struct {
    const char *what;
    enum cycle_marks marks;
    int percent;
    uint32_t count;
    int floor;
} sorts[] = {
    { "no marks", CYCLE_BARE, 0, 340, 990 },
    { "no marks, 15 % of the chords changed", CYCLE_BARE, 15, 340, 970 },
    { "no marks, 30 % of the chords changed", CYCLE_BARE, 30, 340, 920 },
    { "section letters", CYCLE_LETTERS, 0, 150, 1000 },
    { "section letters, 15 % changed", CYCLE_LETTERS, 15, 150, 1000 },
    { "section letters, 40 % changed", CYCLE_LETTERS, 40, 150, 1000 },
    { "chorus numbers", CYCLE_CHORUSES, 0, 60, 1000 },
    { "chorus numbers, 40 % changed", CYCLE_CHORUSES, 40, 60, 1000 },
    { "double bars, 15 % changed", CYCLE_DOUBLE, 15, 60, 970 },
};

/* CELLAR_FORM_SOLOS looks at so many of each only, for the sanitisers: too few
 * for a share, which the plain run asserts. */
START_TEST(invented_solos_are_told)
{
    const char *few = getenv("CELLAR_FORM_SOLOS");
    uint32_t count = few ? (uint32_t)strtoul(few, NULL, 10)
                         : sorts[_i].count;
    int right = count_right(sorts[_i].marks, sorts[_i].percent, count);

    if (few)
        return;
    ck_assert_msg(right * 1000 >= sorts[_i].floor * (int)sorts[_i].count,
                  "%s: %d of %d", sorts[_i].what, right,
                  (int)sorts[_i].count);
}
END_TEST

/* --- the demo corpus ------------------------------------------------------- */

/* Column N, from 0, of a row of a table in Markdown. */
static char *column(const char *row, int n)
{
    static char text[4][200];
    static int next;
    char *out = text[next++ % 4];
    size_t len;

    for (int i = 0; i <= n && row; i++)
        row = strchr(row, '|') ? strchr(row, '|') + 1 : NULL;
    len = row ? strcspn(row, "|") : 0;
    ck_assert_uint_lt(len, sizeof *text);
    memcpy(out, row, len);
    out[len] = '\0';
    return out;
}

/* What the page of the corpus says of one file, as grid_text_form() has it. */
static void check_demo_row(const char *row)
{
    const char *form = column(row, 1), *marks = column(row, 9);
    bool blues = strstr(form, "twelve-bar") != NULL;
    int choruses = atoi(column(row, 5)) +
                   (strstr(marks, "first chorus repeated") ? 1 : 0);
    char path[250], name[100], expected[60], got[200];
    const char *bars = strstr(form, " bars");
    struct fault why = { 0 };
    struct solo *solo;

    while (bars && bars > form && bars[-1] >= '0' && bars[-1] <= '9')
        bars--;
    ck_assert_int_eq(sscanf(row, "| `%99[^`]`", name), 1);
    snprintf(path, sizeof path, "corpus-demo/%s", name);
    ck_assert_msg(musicxml_read_file(&solo, path, NULL, &why) == ST_OK, "%s",
                  why.message);
    ck_assert_int_eq(form_find(solo, NULL), ST_OK);
    sprintf(expected, "%d from %d, %d:", blues ? 12 : atoi(bars),
            strstr(marks, "pickup") ? 1 : 0, choruses);
    grid_text_form(got, solo);
    ck_assert_msg(strncmp(got, expected, strlen(expected)) == 0,
                  "%s: got '%s', expected '%s'", name, got, expected);
    solo_free(solo);
}

START_TEST(the_demo_solos_are_told)
{
    FILE *file = fopen("corpus-demo/README.md", "r");
    static char row[2000];
    int count = 0;

    ck_assert_msg(file != NULL, "run the tests from the project's folder");
    while (fgets(row, sizeof row, file)) {
        /* Rows that begin with the name of a file in backquotes. */
        const char *end =
            strncmp(row, "| `", 3) == 0 ? strchr(row + 3, '`') : NULL;

        if (!end || end - row < 12 ||
            (strncmp(end - 9, ".musicxml", 9) != 0 &&
             strncmp(end - 4, ".mxl", 4) != 0))
            continue;
        check_demo_row(row);
        count++;
    }
    fclose(file);
    ck_assert_int_eq(count, 29);
}
END_TEST

Suite *form_find_suite(void)
{
    Suite *s = suite_create("form_find");
    TCase *t = tcase_create("forms");

    tcase_set_timeout(t, 900);
    tcase_add_loop_test(t, forms_are_found, 0,
                        (int)(sizeof cases / sizeof *cases));
    tcase_add_test(t, confidence_is_honest);
    tcase_add_test(t, seeds_mean_the_same_everywhere);
    tcase_add_loop_test(t, invented_solos_are_told, 0,
                        (int)(sizeof sorts / sizeof *sorts));
    tcase_add_test(t, the_demo_solos_are_told);
    suite_add_tcase(s, t);
    return s;
}
