/* check_form_twin.c - the search for a form and its twin agree.
 *
 * tests/form/form_twin.c tries every form the long way.  For solos made up at
 * random both must take the same one for the best, at the same cost, and the
 * second must cost the same; and forms drawn at random must cost the same.
 * CELLAR_TWIN_CASES says how many solos are drawn.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "tests/form/form_twin.h"
#include "tests/form/grid_text.h"
#include "tests/form/tune.h"
#include "tests/unit/suites.h"

enum {
    CASES = 3000,
    BARS_FEW = 56,  /* of most solos, at most */
    BARS_MANY = 110, /* of one in eight */
    TRIED = 6 /* forms of each */
};

/* --- solos --------------------------------------------------------------- */

/* How a solo is drawn: percents, but for the first four. */
struct draw {
    int bars, cycle, chords, before;
    int marked, changed, divided, goes_on, silent;
};

static struct draw draw_draw(void)
{
    struct draw d;

    d.bars = 1 + tune_roll(tune_roll(8) ? BARS_FEW : BARS_MANY);
    d.cycle = tune_chance(75) ? 1 + tune_roll(24) : d.bars;
    d.chords = 1 + tune_roll(10);
    d.before = tune_chance(50) ? tune_roll(9) : 0;
    d.marked = tune_chance(40) ? tune_roll(100) : 0;
    d.changed = tune_chance(60) ? tune_roll(40) : 0;
    d.divided = tune_roll(60);
    d.goes_on = tune_roll(50);
    d.silent = tune_chance(20) ? 100 : 0;
    return d;
}

/* A bar of one or two of the first COUNT of CHORDS. */
static void draw_bar(char bar[40], const struct draw *d,
                     const char *const *chords)
{
    int chord = tune_roll(d->chords), second = tune_roll(d->chords);

    if (tune_chance(d->goes_on))
        strcpy(bar, "%");
    else if (tune_chance(d->divided))
        sprintf(bar, "%s+%s", chords[chord], chords[second]);
    else
        strcpy(bar, chords[chord]);
}

static void draw_mark(char *out, int place)
{
    static const char *const words[] = { "{Chorus_1}", "{Chorus_2}", "[Intro]",
                                         "{Coda}",     "{Solo}",     "[3]" };

    if (tune_chance(60))
        sprintf(out, "[%c]", 'A' + (tune_chance(70) ? place / 8 % 4
                                                    : tune_roll(4)));
    else
        strcpy(out, words[tune_roll(6)]);
}

/* The bars of one solo: a cycle whose sections may return, changed here and
 * there. */
static void draw_grid(char *out, const struct draw *d,
                      const char *const *chords)
{
    static char cycle[BARS_MANY][40];

    for (int i = 0; i < d->cycle; i++)
        if (i >= 8 && tune_chance(60))
            strcpy(cycle[i], cycle[i - 8]);
        else
            draw_bar(cycle[i], d, chords);
    *out = '\0';
    for (int i = 0; i < d->bars; i++) {
        int place = (i + d->cycle * 9 - d->before) % d->cycle;
        char bar[40];

        strcpy(bar, cycle[place]);
        if (i < d->before || tune_chance(d->changed))
            draw_bar(bar, d, chords);
        if (i < d->before && tune_chance(d->silent))
            strcpy(bar, "-");
        if ((place % 8 == 0 || tune_chance(5)) && tune_chance(d->marked))
            draw_mark(out + strlen(out), place);
        strcat(strcat(out, bar), " ");
        if (tune_chance(d->marked / 8))
            strcat(out, "|| ");
    }
}

static void draw_notes(struct solo *solo, int cycle)
{
    bool returns = tune_chance(50);

    for (int i = 0; i < (int)solo->bar_count; i++) {
        struct note *note = &solo->notes[solo->note_count++];

        note->bar = i;
        note->onset = tune_roll(3);
        note->start = 4 * i + note->onset;
        note->duration = 1 + tune_roll(3);
        note->midi = (uint8_t)(60 + (returns && tune_chance(80)
                                         ? i % cycle * 5 % 13
                                         : tune_roll(13)));
    }
}

static struct solo *draw_solo(void)
{
    static const char *const kinds[] = { "",  "m",    "7",  "maj7", "m7",
                                         "6", "m7b5", "dim7" };
    static const char *const roots[] = { "C",  "F", "G", "D",
                                         "Eb", "A", "E", "Bb" };
    static char grid[BARS_MANY * 60], texts[10][16];
    const char *chords[10];
    struct solo *solo = grid_text_new();
    struct draw d = draw_draw();

    for (int i = 0; i < 10; i++) {
        int root = tune_roll(8), kind = tune_roll(8);

        sprintf(texts[i], "%s%s", roots[root], kinds[kind]);
        chords[i] = tune_chance(4) ? "N.C." : texts[i];
    }
    draw_grid(grid, &d, chords);
    grid_text_write(solo, grid);
    draw_notes(solo, d.cycle);
    grid_text_play(solo);
    return solo;
}

/* --- comparing ----------------------------------------------------------- */

static int with_form, with_second, forms_tried;

static void compare_guess(const struct guess *a, const struct guess *b,
                          int number, const char *what)
{
    ck_assert_msg(
        a->length == b->length && a->first == b->first &&
            a->passes == b->passes && a->partial == b->partial &&
            a->tail == b->tail && a->cost == b->cost && a->told == b->told &&
            a->marks == b->marks && a->rate == b->rate,
        "solo %d, %s: %d bars from %d, %d and %d, %d + %d at %d; the twin has "
        "%d from %d, %d and %d, %d + %d at %d",
        number, what, (int)a->length, (int)a->first, (int)a->passes,
        (int)a->partial, (int)a->cost, (int)a->told, a->rate, (int)b->length,
        (int)b->first, (int)b->passes, (int)b->partial, (int)b->cost,
        (int)b->told, b->rate);
}

/* One form: its cost, and what stands for each bar and group. */
static void compare_form(struct search *in, struct search *twin,
                         int32_t length, int32_t first, int number)
{
    struct guess a = { .length = length, .first = first }, b = a;
    size_t groups = (size_t)(length + FORM_GROUP - 1) / FORM_GROUP;

    form_try(in, &a);
    form_twin_try(twin, &b);
    compare_guess(&a, &b, number, "a form");
    ck_assert_mem_eq(in->model, twin->model,
                     (size_t)length * sizeof *in->model);
    ck_assert_mem_eq(in->group, twin->group, groups * sizeof *in->group);
    forms_tried++;
}

static void compare_search(const struct grid *grid, const struct marks *marks,
                           int number)
{
    struct search in, twin;
    struct found a, b;
    int32_t bars = marks->coda - grid->first;

    ck_assert_int_eq(form_search_open(&in, grid, marks, NULL), ST_OK);
    ck_assert_int_eq(form_search_open(&twin, grid, marks, NULL), ST_OK);
    form_look(&in, &a);
    form_twin_look(&twin, &b);
    compare_guess(&a.best, &b.best, number, "the best");
    ck_assert_msg(form_whole_cost(&a.second) == form_whole_cost(&b.second),
                  "solo %d: the second costs %d, not %d", number,
                  (int)form_whole_cost(&a.second),
                  (int)form_whole_cost(&b.second));
    compare_form(&in, &twin, a.best.length, a.best.first, number);
    for (int i = 0; i < TRIED; i++) {
        int32_t first = grid->first + tune_roll(bars);
        int32_t length = 1 + tune_roll(marks->coda - first);

        compare_form(&in, &twin, length, first, number);
    }
    with_form += a.best.passes > 1;
    with_second += a.second.length > 0;
    form_search_close(&in);
    form_search_close(&twin);
}

START_TEST(the_search_and_its_twin_agree)
{
    const char *wanted = getenv("CELLAR_TWIN_CASES");
    int cases = wanted && wanted[0] ? atoi(wanted) : CASES;

    tune_seed(20260612);
    for (int i = 0; i < cases; i++) {
        struct solo *solo = draw_solo();
        struct grid grid;
        struct marks marks = { 0 };

        ck_assert_int_eq(grid_make(&grid, solo, NULL), ST_OK);
        ck_assert_int_le(grid.count, FORM_TWIN_BARS);
        ck_assert_int_eq(marks_read(&marks, &grid, NULL), ST_OK);
        if (marks.coda > grid.first)
            compare_search(&grid, &marks, i);
        marks_free(&marks);
        grid_free(&grid);
        solo_free(solo);
    }
    printf("form twin: %d solos, %d of several choruses, %d with a second "
           "form; %d forms tried\n",
           cases, with_form, with_second, forms_tried);
    fflush(stdout);
    /* A comparison of nothing with nothing would prove little. */
    ck_assert(cases < 100 ||
              (with_form * 8 > cases && with_second * 2 > cases));
}
END_TEST

Suite *form_twin_suite(void)
{
    Suite *s = suite_create("form_twin");
    TCase *t = tcase_create("form_twin");

    tcase_set_timeout(t, 900);
    tcase_add_test(t, the_search_and_its_twin_agree);
    suite_add_tcase(s, t);
    return s;
}
