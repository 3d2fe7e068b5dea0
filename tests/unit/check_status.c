/* check_status.c - faults, exit codes and text made safe to show. */
#include <string.h>

#include "schema/status.h"
#include "tests/unit/suites.h"

START_TEST(fault_says_what_and_where)
{
    struct fault why;

    ck_assert_int_eq(fault_at(&why, ST_SYNTAX, 7, "no note %s", "H4"),
                     ST_SYNTAX);
    ck_assert_int_eq(why.status, ST_SYNTAX);
    ck_assert_int_eq(why.offset, 7);
    ck_assert_int_eq(why.line, 0);
    ck_assert_str_eq(why.message, "no note H4");

    ck_assert_int_eq(fault_set(&why, ST_IO, "disk full"), ST_IO);
    ck_assert_int_eq(why.offset, -1);
    ck_assert_str_eq(why.message, "disk full");
    ck_assert_int_eq(fault_nomem(&why), ST_NOMEM);
    ck_assert_str_eq(why.message, "out of memory");
}
END_TEST

START_TEST(fault_may_be_absent)
{
    ck_assert_int_eq(fault_set(NULL, ST_INPUT, "%d", 1), ST_INPUT);
    ck_assert_int_eq(fault_at(NULL, ST_SYNTAX, 3, "%d", 1), ST_SYNTAX);
    ck_assert_int_eq(fault_nomem(NULL), ST_NOMEM);
    fault_prefix(NULL, "x");
}
END_TEST

START_TEST(fault_prefix_keeps_the_rest)
{
    struct fault why;

    fault_at(&why, ST_INPUT, 12, "not music");
    why.line = 4;
    fault_prefix(&why, "%s, line %ld", "a.musicxml", why.line);
    ck_assert_str_eq(why.message, "a.musicxml, line 4: not music");
    ck_assert_int_eq(why.status, ST_INPUT);
    ck_assert_int_eq(why.offset, 12);
    ck_assert_int_eq(why.line, 4);
}
END_TEST

START_TEST(fault_is_one_safe_line)
{
    struct fault why;
    char hostile[4000];

    fault_set(&why, ST_INPUT, "a\nb\x1b[31mc");
    ck_assert_str_eq(why.message, "a b?[31mc");
    memset(hostile, 'x', sizeof hostile - 1);
    hostile[sizeof hostile - 1] = '\0';
    fault_set(&why, ST_INPUT, "%s", hostile);
    ck_assert_uint_eq(strlen(why.message), sizeof why.message - 1);
    fault_prefix(&why, "%s", hostile);
    ck_assert_uint_eq(strlen(why.message), sizeof why.message - 1);
}
END_TEST

/* The exit statuses that the interface promises. */
START_TEST(exit_codes)
{
    static const struct {
        enum status status;
        int code;
    } table[] = {
        { ST_OK, 0 },       { ST_NOTHING, 1 },     { ST_USAGE, 2 },
        { ST_SYNTAX, 2 },   { ST_INPUT, 3 },       { ST_LIBRARY, 3 },
        { ST_BUSY, 4 },     { ST_IO, 4 },          { ST_NOMEM, 4 },
        { ST_INTERNAL, 4 }, { ST_INTERRUPTED, 4 },
    };

    for (size_t i = 0; i < sizeof table / sizeof *table; i++)
        ck_assert_int_eq(status_exit_code(table[i].status), table[i].code);
}
END_TEST

static const struct {
    const char *text, *safe;
} safe_cases[] = {
    { "Caf\xc3\xa9 \xe2\x99\xad", "Caf\xc3\xa9 \xe2\x99\xad" },
    { "a\tb\r\nc", "a b  c" },
    { "\x01\x7f", "??" },
    { "\xc2\x9b"
      "31m",
      "?31m" }, /* U+009B, a C1 control */
    { "\xe2\x80\xae"
      "abc",
      "?abc" }, /* U+202E override */
    { "\xe2\x81\xa6"
      "abc",
      "?abc" },                  /* U+2066 isolate */
    { "a\xe2\x80\xa8z", "a z" }, /* U+2028 line break */
    { "\xff\xc3", "??" },
    /* Unicode Standard, table 3-7: neither overlong forms nor surrogates. */
    { "\xc0\xaf", "??" },
    { "\xe0\x80\xaf", "???" },
    { "\xed\xa0\x80", "???" },
    { "\xf4\x90\x80\x80", "????" },
    { "\xf0\x9d\x84\xab", "\xf0\x9d\x84\xab" },
    { "\xef\xbf\xbd", "\xef\xbf\xbd" }, /* U+FFFD itself */
};

START_TEST(text_is_made_safe)
{
    char out[64];

    ck_assert_ptr_eq(text_make_safe(out, sizeof out, safe_cases[_i].text), out);
    ck_assert_str_eq(out, safe_cases[_i].safe);
}
END_TEST

START_TEST(text_is_cut_at_a_character)
{
    char out[4];

    text_make_safe(out, sizeof out, "ab\xc3\xa9");
    ck_assert_str_eq(out, "ab");
    text_make_safe(out, sizeof out, "a\xc3\xa9");
    ck_assert_str_eq(out, "a\xc3\xa9");
    text_make_safe(out, 1, "abc");
    ck_assert_str_eq(out, "");
}
END_TEST

Suite *status_suite(void)
{
    Suite *suite = suite_create("status");
    TCase *tests = tcase_create("status");

    tcase_add_test(tests, fault_says_what_and_where);
    tcase_add_test(tests, fault_may_be_absent);
    tcase_add_test(tests, fault_prefix_keeps_the_rest);
    tcase_add_test(tests, fault_is_one_safe_line);
    tcase_add_test(tests, exit_codes);
    tcase_add_loop_test(tests, text_is_made_safe, 0,
                        sizeof safe_cases / sizeof *safe_cases);
    tcase_add_test(tests, text_is_cut_at_a_character);
    suite_add_tcase(suite, tests);
    return suite;
}
