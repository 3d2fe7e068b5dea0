/* check_json.c - the JSON writer.  Grammar and escapes: RFC 8259. */
#include <check.h>
#include <stdlib.h>
#include <string.h>

#include "query/json.h"
#include "tests/unit/suites.h"

/* A writer into memory. */
struct sheet {
    struct json json;
    FILE *file;
    char *text;
    size_t size;
};

static void sheet_open(struct sheet *s)
{
    memset(s, 0, sizeof *s);
    s->file = open_memstream(&s->text, &s->size);
    ck_assert_ptr_nonnull(s->file);
    json_start(&s->json, s->file);
}

/* Compare what was written and release it. */
static void sheet_expect(struct sheet *s, const char *expected)
{
    fclose(s->file);
    ck_assert_str_eq(s->text, expected);
    free(s->text);
}

static void expect_string(const char *text, const char *expected)
{
    struct sheet s;

    sheet_open(&s);
    json_string(&s.json, NULL, text);
    sheet_expect(&s, expected);
}

START_TEST(test_commas_stand_between_values_only)
{
    struct sheet s;

    sheet_open(&s);
    json_object(&s.json, NULL);
    json_integer(&s.json, "a", 1);
    json_array(&s.json, "b");
    json_close(&s.json);
    json_array(&s.json, "c");
    json_integer(&s.json, NULL, -5);
    json_object(&s.json, NULL);
    json_close(&s.json);
    json_null(&s.json, NULL);
    json_close(&s.json);
    json_boolean(&s.json, "d", true);
    json_close(&s.json);
    json_finish(&s.json);
    sheet_expect(&s, "{\"a\":1,\"b\":[],\"c\":[-5,{},null],\"d\":true}\n");
}
END_TEST

START_TEST(test_text_is_escaped_as_rfc_8259_demands)
{
    expect_string("a\"b\\c/d", "\"a\\\"b\\\\c/d\"");
    expect_string("\n\t\r\x01\x1f", "\"\\n\\t\\r\\u0001\\u001f\"");
    expect_string("E\xe2\x99\xad \xf0\x9f\x8e\xb7",
                  "\"E\xe2\x99\xad \xf0\x9f\x8e\xb7\"");
    expect_string("", "\"\"");
    expect_string(NULL, "null");
}
END_TEST

START_TEST(test_what_steers_a_terminal_is_escaped)
{
    expect_string("\x1b[2J", "\"\\u001b[2J\"");
    expect_string("\x7f", "\"\\u007f\"");
    expect_string("\xc2\x9b", "\"\\u009b\"");     /* CSI in one character */
    expect_string("\xe2\x80\xae", "\"\\u202e\""); /* right to left */
    expect_string("\xe2\x81\xa6", "\"\\u2066\""); /* isolate */
    expect_string("\xe2\x80\xa8", "\"\\u2028\""); /* line separator */
}
END_TEST

/* Ill-formed sequences of the Unicode Standard, section 3.9: each byte that
 * belongs to no character becomes one U+FFFD. */
START_TEST(test_bytes_that_are_no_utf8_are_replaced)
{
    expect_string(
        "a\xff"
        "b",
        "\"a\xef\xbf\xbd"
        "b\"");
    expect_string("\xc0\xaf", "\"\xef\xbf\xbd\xef\xbf\xbd\"");
    expect_string("\xe2\x82", "\"\xef\xbf\xbd\xef\xbf\xbd\"");
    expect_string("\xed\xa0\x80", "\"\xef\xbf\xbd\xef\xbf\xbd\xef\xbf\xbd\"");
    expect_string("\xf4\x90\x80\x80",
                  "\"\xef\xbf\xbd\xef\xbf\xbd\xef\xbf\xbd\xef\xbf\xbd\"");
    expect_string("\xe9t\xe9", "\"\xef\xbf\xbdt\xef\xbf\xbd\"");
    expect_string("\xef\xbf\xbd", "\"\xef\xbf\xbd\"");
}
END_TEST

START_TEST(test_fractions_always_have_a_denominator)
{
    struct sheet s;

    sheet_open(&s);
    json_array(&s.json, NULL);
    json_fraction(&s.json, NULL, rational_make(6, 4));
    json_fraction(&s.json, NULL, rational_make(2, 1));
    json_fraction(&s.json, NULL, rational_make(-1, 3));
    json_close(&s.json);
    sheet_expect(&s, "[\"3/2\",\"2/1\",\"-1/3\"]");
}
END_TEST

START_TEST(test_hundredths_are_numbers_without_trailing_noughts)
{
    static const struct {
        int64_t value;
        const char *text;
    } cases[] = { { 12000, "120" },     { 13250, "132.5" }, { 5, "0.05" },
                  { 10, "0.1" },        { 0, "0" },         { -50, "-0.5" },
                  { -12345, "-123.45" } };

    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct sheet s;

        sheet_open(&s);
        json_hundredths(&s.json, NULL, cases[i].value);
        sheet_expect(&s, cases[i].text);
    }
}
END_TEST

START_TEST(test_a_fact_left_out_is_null)
{
    struct sheet s;

    sheet_open(&s);
    json_object(&s.json, NULL);
    json_string_or_null(&s.json, "key", "");
    json_string_or_null(&s.json, "metre", "4/4");
    json_close(&s.json);
    sheet_expect(&s, "{\"key\":null,\"metre\":\"4/4\"}");
}
END_TEST

Suite *json_suite(void)
{
    Suite *suite = suite_create("json");
    TCase *tcase = tcase_create("writer");

    tcase_add_test(tcase, test_commas_stand_between_values_only);
    tcase_add_test(tcase, test_text_is_escaped_as_rfc_8259_demands);
    tcase_add_test(tcase, test_what_steers_a_terminal_is_escaped);
    tcase_add_test(tcase, test_bytes_that_are_no_utf8_are_replaced);
    tcase_add_test(tcase, test_fractions_always_have_a_denominator);
    tcase_add_test(tcase, test_hundredths_are_numbers_without_trailing_noughts);
    tcase_add_test(tcase, test_a_fact_left_out_is_null);
    suite_add_tcase(suite, tcase);
    return suite;
}
