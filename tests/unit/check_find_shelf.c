/* check_find_shelf.c - an answer that holds few of its solos is shown as one
 * that holds them all. */
#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "query/printer.h"
#include "tests/unit/store_fixture.h"
#include "tests/unit/suites.h"
#include "tests/unit/twin.h"

static const struct printer *const printers[] = { &print_text, &print_json,
                                                  &print_csv };

static const struct {
    const char *fragment, *over;
    bool reharmonized;
    bool many; /* more than FIND_HELD: no text is held */
} questions[] = {
    { "-2 -2", NULL, false, true },
    { "5 b3 1", "m7", false, false },
    { "3 1", "7", true, true },
    { "+1 +2", NULL, false, false },
};

/* The answer to QUERY as PRINTER writes it; the caller owns it. */
static char *shown(const struct find_query *query,
                   const struct printer *printer, size_t *solos,
                   bool *many)
{
    static const struct place_options place;
    static const struct asked_filter asked;
    struct find_result result;
    struct fault why = { 0 };
    struct find_page page = { .text = "it",
                              .query = query,
                              .asked = &asked,
                              .place = &place,
                              .result = &result,
                              .explain = true };
    struct output out = { .width = 80 };
    char *text = NULL;
    size_t size = 0;

    must(find_run(&result, twin_library.store, query, &why), &why);
    *many = result.hit_count > FIND_HELD;
    out.stream = open_memstream(&text, &size);
    ck_assert_ptr_nonnull(out.stream);
    must(printer->find(&out, &page, &why), &why);
    ck_assert_int_eq(fclose(out.stream), 0);
    *solos = result.solo_count;
    find_result_free(&result);
    return text;
}

START_TEST(solos_that_are_not_held_show_the_same)
{
    twin_library_build();
    for (size_t i = 0; i < sizeof questions / sizeof *questions; i++)
        for (size_t p = 0; p < sizeof printers / sizeof *printers; p++) {
            struct find_query query = { .reharmonized =
                                            questions[i].reharmonized };
            struct fault why = { 0 };
            char *all, *few;
            size_t solos;
            bool many;

            must(fragment_parse(&query.fragment, questions[i].fragment,
                                questions[i].over, NULL, &why),
                 &why);
            query.weights = (struct rank_weights)RANK_WEIGHTS_DEFAULT;
            query.limit = questions[i].many ? 0 : FIND_HELD;
            all = shown(&query, printers[p], &solos, &many);
            ck_assert_uint_gt(solos, 2 * FIND_HELD_MIN);
            ck_assert_int_eq(many, questions[i].many);
            query.lean = true;
            query.held = 1;
            few = shown(&query, printers[p], &solos, &many);
            ck_assert_str_eq(all, few);
            free(few);
            query.late = true;
            few = shown(&query, printers[p], &solos, &many);
            ck_assert_str_eq(all, few);
            free(all);
            free(few);
        }
    twin_library_free();
}
END_TEST

START_TEST(few_solos_are_held_at_a_time)
{
    struct find_query query = { .lean = true, .held = 1 };
    struct find_result result;
    struct fault why = { 0 };
    size_t held = 0;
    bool many;

    twin_library_build();
    must(fragment_parse(&query.fragment, "-2 -2", NULL, NULL, &why), &why);
    must(find_run(&result, twin_library.store, &query, &why), &why);
    for (size_t i = 0; i < result.solo_count; i++) {
        const struct solo *solo, *again;

        must(find_solo(&solo, &result, i, &why), &why);
        must(find_solo(&again, &result, i, &why), &why);
        ck_assert_ptr_eq(solo, again);
        ck_assert_str_eq(solo->title, result.solos[i].title);
    }
    for (size_t i = 0; i < result.solo_count; i++)
        held += result.solos[i].solo != NULL;
    ck_assert_uint_eq(held, FIND_HELD_MIN);
    /* It is asked again while the first answer is there. */
    free(shown(&query, &print_csv, &held, &many));
    find_result_free(&result);
    must(store_read_begin(twin_library.store, &why), &why);
    store_read_end(twin_library.store);
    twin_library_free();
}
END_TEST

Suite *find_shelf_suite(void)
{
    Suite *suite = suite_create("find_shelf");
    TCase *tests = tcase_create("find_shelf");

    tcase_set_timeout(tests, 120);
    tcase_add_test(tests, solos_that_are_not_held_show_the_same);
    tcase_add_test(tests, few_solos_are_held_at_a_time);
    suite_add_tcase(suite, tests);
    return suite;
}
