/* check_scan.c - the library solo by solo, and places cited. */
#include <stdio.h>
#include <string.h>

#include "query/example.h"
#include "query/scan.h"
#include "tests/unit/find_fixture.h"
#include "tests/unit/suites.h"

/* Two solos, put in the other order. */
static void put_two(struct fixture *fixture)
{
    fixture_open(fixture);
    fixture_put(fixture, "b.xml",
                fixture_solo("Ada", "[Dm7] A4 F4 E4 D4 r:2 [G7] D4:2 F4"));
    fixture_put(fixture, "a.xml", fixture_solo("Bo", "[C] C4 E4"));
    fixture_commit(fixture);
    ck_assert_int_eq(store_read_begin(fixture->store, NULL), ST_OK);
}

struct seen {
    char text[100];
    size_t stop_at;
};

static enum status see(void *context, size_t index, const struct solo *solo,
                       struct fault *why)
{
    struct seen *seen = context;
    size_t used = strlen(seen->text);

    snprintf(seen->text + used, sizeof seen->text - used, "%zu %s %zu; ",
             index, solo->performer, solo->note_count);
    return index == seen->stop_at
               ? fault_set(why, ST_NOTHING, "enough")
               : ST_OK;
}

START_TEST(every_solo_comes_in_the_order_of_paths)
{
    struct fixture fixture;
    struct solo_list list = { 0 };
    struct seen seen = { "", 9 };

    put_two(&fixture);
    ck_assert_int_eq(
        scan_solos(&list, fixture.store, NULL, see, &seen, NULL), ST_OK);
    ck_assert_str_eq(seen.text, "0 Bo 2; 1 Ada 6; ");
    ck_assert_uint_eq(list.count, 2);
    ck_assert_str_eq(list.items[1].path, "b.xml");
    solo_list_free(&list);
    store_read_end(fixture.store);
    fixture_close(&fixture);
}
END_TEST

START_TEST(a_failure_ends_the_scan)
{
    struct fixture fixture;
    struct solo_list list = { 0 };
    struct seen seen = { "", 0 };
    struct fault why;

    put_two(&fixture);
    ck_assert_int_eq(
        scan_solos(&list, fixture.store, NULL, see, &seen, &why),
        ST_NOTHING);
    ck_assert_str_eq(why.message, "enough");
    ck_assert_str_eq(seen.text, "0 Bo 2; ");
    solo_list_free(&list);
    store_read_end(fixture.store);
    fixture_close(&fixture);
}
END_TEST

START_TEST(a_place_is_cited_as_a_musician_would)
{
    struct fixture fixture;
    struct solo_list list = { 0 };
    struct seen seen = { "", 9 };
    struct example example = { .index = 1, .first = 5, .last = 5 };
    char text[100];
    const char *title;

    put_two(&fixture);
    scan_solos(&list, fixture.store, NULL, see, &seen, NULL);
    ck_assert_int_eq(
        example_look_up(&example, fixture.store, &list, NULL), ST_OK);
    ck_assert_str_eq(example.number, "2");
    ck_assert_int_eq(example.bar_index, 1);
    ck_assert(rational_compare(example.onset, rational_make(2, 1)) == 0);
    title = list.items[0].title;
    list.items[0].title = "";
    example.index = 0;
    ck_assert_str_eq(example_text(text, sizeof text, &example, &list),
                     "a.xml, bar 2, beat 3");
    list.items[0].title = "Tin Hat";
    example.chorus = 2;
    example.chorus_bar = 5;
    ck_assert_str_eq(example_text(text, sizeof text, &example, &list),
                     "Tin Hat, bar 2, beat 3 (bar 5 of chorus 2)");
    list.items[0].title = title;
    example_free(&example);
    solo_list_free(&list);
    store_read_end(fixture.store);
    fixture_close(&fixture);
}
END_TEST

Suite *scan_suite(void)
{
    Suite *suite = suite_create("scan");
    TCase *tests = tcase_create("scan");

    tcase_add_test(tests, every_solo_comes_in_the_order_of_paths);
    tcase_add_test(tests, a_failure_ends_the_scan);
    tcase_add_test(tests, a_place_is_cited_as_a_musician_would);
    suite_add_tcase(suite, tests);
    return suite;
}
