/* check_field.c - how the values of restrictions read. */
#include <check.h>
#include <string.h>

#include "schema/field.h"
#include "tests/unit/suites.h"

static struct filter_term good(int field, const char *value)
{
    struct filter_term term;
    struct fault why = { 0 };

    ck_assert_msg(field_parse(&term, field, value, &why) == ST_OK,
                  "\"%s\": %s", value, why.message);
    ck_assert_int_eq(term.field, field);
    return term;
}

static struct fault bad(int field, const char *value)
{
    struct filter_term term;
    struct fault why = { 0 };

    ck_assert_msg(field_parse(&term, field, value, &why) == ST_SYNTAX,
                  "\"%s\" was taken", value);
    ck_assert_int_gt((int)strlen(why.message), 0);
    ck_assert_int_le(why.offset, (long)strlen(value));
    ck_assert_int_ge(why.offset, 0);
    return why;
}

START_TEST(keys_are_normalised)
{
    static const char *const pairs[][2] = {
        { "Eb", "Eb major" },        { "eb", "Eb major" },
        { "Eb major", "Eb major" },  { " eb  MAJOR ", "Eb major" },
        { "EbM", "Eb major" },       { "Cm", "C minor" },
        { "c minor", "C minor" },    { "C min", "C minor" },
        { "b", "B major" },          { "bb", "Bb major" },
        { "bbm", "Bb minor" },       { "f#m", "F# minor" },
        { "E\xE2\x99\xAD", "Eb major" }, /* the flat sign */
        { "E flat", "Eb major" },    { "e-flat minor", "Eb minor" },
        { "F sharp", "F# major" },   { "Cb", "Cb major" },
        { "A#m", "A# minor" },
    };

    for (size_t i = 0; i < sizeof pairs / sizeof pairs[0]; i++)
        ck_assert_str_eq(good(FIELD_KEY, pairs[i][0]).text, pairs[i][1]);
}
END_TEST

/* The index writes keys with solo_key_text(): each of them must be found. */
START_TEST(every_key_of_the_index_can_be_asked_for)
{
    for (int fifths = -7; fifths <= 7; fifths++)
        for (int mode = MODE_MAJOR; mode <= MODE_MINOR; mode++) {
            char key[KEY_TEXT_SIZE];

            solo_key_text(key, fifths, mode);
            ck_assert_str_eq(good(FIELD_KEY, key).text, key);
        }
}
END_TEST

START_TEST(what_is_no_key_is_refused)
{
    static const char *const texts[] = { "",      "H",     "Eb dur", "G# major",
                                         "Fb",    "Cbm",   "major",  "C7",
                                         "C##",   "Eb Eb", "E flat flat" };

    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++)
        bad(FIELD_KEY, texts[i]);
}
END_TEST

START_TEST(metres_are_numbers)
{
    static const char *const texts[] = { "4/4", "3/4",   "12/8", "3+2/8",
                                         "3/4+2/8", "2+2+3/8" };
    static const char *const wrong[] = { "",    "C",     "common", "cut",
                                         "4",   "4/",    "/4",     "4/4 ",
                                         "04/4", "4//4", "3+/8",   "+3/8",
                                         "4/4+", "1234/4", "4-4" };

    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++)
        ck_assert_str_eq(good(FIELD_METRE, texts[i]).text, texts[i]);
    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++)
        bad(FIELD_METRE, wrong[i]);
}
END_TEST

START_TEST(tempos_are_ranges)
{
    static const struct {
        const char *text;
        int64_t low, high;
    } rows[] = { { "120", 12000, 12000 },
                 { "100-140", 10000, 14000 },
                 { "100\xE2\x80\x93" "140", 10000, 14000 }, /* en dash */
                 { "66.5", 6650, 6650 },
                 { " 60 - 70.25 ", 6000, 7025 },
                 { "120-120", 12000, 12000 },
                 { "9999", 999900, 999900 } };
    static const char *const wrong[] = { "", "fast", "0", "-5", "100-",
                                         "-140", "140-100", "1e3", "100-1-2",
                                         "10000", "120bpm",
                                         "99999999999999999999999999" };

    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct filter_term term = good(FIELD_TEMPO, rows[i].text);

        ck_assert_int_eq(term.low, rows[i].low);
        ck_assert_int_eq(term.high, rows[i].high);
    }
    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++)
        bad(FIELD_TEMPO, wrong[i]);
}
END_TEST

START_TEST(words_need_a_letter_or_digit)
{
    static const char *const texts[] = { "Ada", "2", "\"Ada\"", "\xC3\xA9",
                                         "\xC2\xBD", "\xE4\xB8\xAD" };
    static const char *const wrong[] = {
        "", " ", "\"", "*", "-", "()", "\xE2\x80\x94", /* em dash */
        "\xE2\x99\xAF",                                /* sharp sign */
        "\xC2\xBF", "\xC3\x97", "\xff" };

    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++)
        ck_assert_str_eq(good(FIELD_PERFORMER, texts[i]).text, texts[i]);
    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++)
        bad(FIELD_TITLE, wrong[i]);
    ck_assert_ptr_nonnull(strstr(bad(FIELD_WORDS, "?").message, "words"));
    bad(FIELD_PATH, "");
}
END_TEST

START_TEST(where_names_a_field)
{
    struct filter_term term;
    struct fault why = { 0 };

    ck_assert_int_eq(field_parse_where(&term, "key=eb", &why), ST_OK);
    ck_assert_int_eq(term.field, FIELD_KEY);
    ck_assert_str_eq(term.text, "Eb major");
    ck_assert_int_eq(field_parse_where(&term, "Title=a=b", &why), ST_OK);
    ck_assert_int_eq(term.field, FIELD_TITLE);
    ck_assert_str_eq(term.text, "a=b");

    ck_assert_int_eq(field_parse_where(&term, "key", &why), ST_SYNTAX);
    ck_assert_ptr_nonnull(strstr(why.message, "NAME=VALUE"));
    ck_assert_int_eq(field_parse_where(&term, "mood=blue", &why), ST_SYNTAX);
    /* The message says which names there are. */
    for (int i = 0; i < FIELDS; i++)
        ck_assert_ptr_nonnull(strstr(why.message, field_info(i)->name));
    ck_assert_int_eq(field_parse_where(&term, "tempo=100-x", &why),
                     ST_SYNTAX);
    ck_assert_int_eq(why.offset, (long)strlen("tempo=100-"));
}
END_TEST

START_TEST(the_table_is_complete)
{
    for (int i = 0; i < FIELDS; i++) {
        const struct field_info *info = field_info(i);

        ck_assert_int_eq(field_named(info->name, strlen(info->name)), i);
        ck_assert(info->value[0] && info->meaning[0] && info->column[0]);
    }
    ck_assert_ptr_null(field_info(FIELDS));
    ck_assert_ptr_null(field_info(-1));
    ck_assert_int_eq(field_named("tit", 3), -1);
    ck_assert_int_eq(field_named("", 0), -1);
}
END_TEST

Suite *field_suite(void)
{
    Suite *suite = suite_create("field");
    TCase *tcase = tcase_create("field");

    tcase_add_test(tcase, keys_are_normalised);
    tcase_add_test(tcase, every_key_of_the_index_can_be_asked_for);
    tcase_add_test(tcase, what_is_no_key_is_refused);
    tcase_add_test(tcase, metres_are_numbers);
    tcase_add_test(tcase, tempos_are_ranges);
    tcase_add_test(tcase, words_need_a_letter_or_digit);
    tcase_add_test(tcase, where_names_a_field);
    tcase_add_test(tcase, the_table_is_complete);
    suite_add_tcase(suite, tcase);
    return suite;
}
