/* check_gather.c - a text put together piece by piece. */
#include <check.h>
#include <stdlib.h>
#include <string.h>

#include "schema/gather.h"
#include "tests/unit/suites.h"

START_TEST(pieces_make_a_text)
{
    struct gather g = { 0 };
    char *text, wanted[6000] = "";

    for (int i = 0; i < 1000; i++) {
        gather_put(&g, "a ");
        gather_format(&g, "%d,", i % 10);
        strcat(wanted, "a ");
        wanted[strlen(wanted) + 1] = '\0';
        wanted[strlen(wanted)] = (char)('0' + i % 10);
        strcat(wanted, ",");
    }
    text = gather_take(&g);
    ck_assert_str_eq(text, wanted);
    free(text);
    text = gather_take(&g);
    ck_assert_str_eq(text, "");
    free(text);
}
END_TEST

START_TEST(what_failed_gives_no_text)
{
    struct gather g = { 0 };

    gather_put(&g, "the first half");
    g.failed = true;
    gather_put(&g, "of it");
    gather_format(&g, "%s", "and more");
    ck_assert_ptr_null(gather_take(&g));
}
END_TEST

Suite *gather_suite(void)
{
    Suite *suite = suite_create("gather");
    TCase *tests = tcase_create("gather");

    tcase_add_test(tests, pieces_make_a_text);
    tcase_add_test(tests, what_failed_gives_no_text);
    suite_add_tcase(suite, tests);
    return suite;
}
