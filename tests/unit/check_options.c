/* check_options.c - command-line options: values, mistakes, help. */
#include <check.h>
#include <limits.h>
#include <stdlib.h>
#include <string.h>

#include "schema/options.h"
#include "tests/unit/suites.h"

static const char *const shades[] = { "auto", "always", "never", NULL };

struct values {
    bool quiet;
    const char *part;
    long jobs, limit;
    int shade;
    struct option_range bar;
    struct option_list where;
};

static const struct option_row own_rows[] = {
    { .kind = OPTION_HEADING, .help = "Reading:" },
    { .name = "quiet", .help = "Print nothing but the faults.",
      .kind = OPTION_FLAG, .offset = offsetof(struct values, quiet) },
    { .name = "part", .value_name = "NAME", .kind = OPTION_TEXT,
      .help = "Read this part, whatever the file says first, and whatever "
              "else stands in it, so that this help has to be wrapped.",
      .offset = offsetof(struct values, part) },
    { .name = "jobs", .value_name = "N", .help = "Read N files at once.",
      .kind = OPTION_NUMBER, .min = 1, .max = 64,
      .offset = offsetof(struct values, jobs) },
    { .name = "limit", .value_name = "N", .help = "Show at most N.",
      .kind = OPTION_NUMBER, .min = 0, .max = LONG_MAX,
      .offset = offsetof(struct values, limit) },
    { .name = "bar", .value_name = "A[-B]", .help = "Bars of the chorus.",
      .kind = OPTION_RANGE, .min = 1, .max = 999,
      .offset = offsetof(struct values, bar) },
    { .name = "where", .value_name = "NAME=VALUE", .help = "Only those.",
      .kind = OPTION_LIST, .offset = offsetof(struct values, where) },
    OPTION_END
};

static const struct option_row common_rows[] = {
    { .name = "color", .help = "Colour the answer.", .kind = OPTION_CHOICE,
      .choices = shades, .offset = offsetof(struct values, shade) },
    OPTION_END
};

/* Words of a command line, at most 15, separated by '|' in TEXT. */
static enum status parse(struct values *v, const char *text, char **left,
                         int *count, struct fault *why)
{
    struct option_set sets[] = { { own_rows, v },
                                 { common_rows, v },
                                 { NULL, NULL } };
    static char copy[400];
    char *words[16];
    int n = 0;
    enum status st;

    snprintf(copy, sizeof copy, "%s", text);
    for (char *p = strtok(copy, "|"); p; p = strtok(NULL, "|"))
        words[n++] = p;
    *v = (struct values){ .jobs = 2 };
    st = options_parse(sets, n, words, count, why);
    for (int i = 0; left && i < *count; i++)
        left[i] = words[i];
    return st;
}

static void expect_refusal(const char *text, const char *message)
{
    struct values v;
    struct fault why;
    int count;

    ck_assert_int_eq(parse(&v, text, NULL, &count, &why), ST_USAGE);
    ck_assert_int_eq(why.status, ST_USAGE);
    ck_assert_str_eq(why.message, message);
}

START_TEST(values_are_stored)
{
    struct values v;
    struct fault why;
    char *left[16];
    int count;

    ck_assert_int_eq(parse(&v,
                           "one|--quiet|--part|Tenor Sax|--jobs=8|two|"
                           "--color|never|--bar|5-8|--limit|0",
                           left, &count, &why),
                     ST_OK);
    ck_assert(v.quiet);
    ck_assert_str_eq(v.part, "Tenor Sax");
    ck_assert_int_eq(v.jobs, 8);
    ck_assert_int_eq(v.limit, 0);
    ck_assert_int_eq(v.shade, 2);
    ck_assert(v.bar.given && v.bar.low == 5 && v.bar.high == 8);
    ck_assert_int_eq(count, 2);
    ck_assert_str_eq(left[0], "one");
    ck_assert_str_eq(left[1], "two");
}
END_TEST

START_TEST(defaults_stay_and_the_last_counts)
{
    struct values v;
    struct fault why;
    int count;

    ck_assert_int_eq(parse(&v, "x", NULL, &count, &why), ST_OK);
    ck_assert_int_eq(v.jobs, 2);
    ck_assert(!v.bar.given && !v.quiet && !v.part);
    ck_assert_int_eq(parse(&v, "--jobs|3|--jobs|4|--bar|7", NULL, &count,
                           &why),
                     ST_OK);
    ck_assert_int_eq(v.jobs, 4);
    ck_assert(v.bar.low == 7 && v.bar.high == 7);
}
END_TEST

START_TEST(lists_grow_and_have_an_end)
{
    struct values v;
    struct fault why;
    char text[400] = "--where=a=b";
    int count;

    ck_assert_int_eq(parse(&v, "--where|title=x|--where=key=C minor", NULL,
                           &count, &why),
                     ST_OK);
    ck_assert_uint_eq(v.where.count, 2);
    ck_assert_str_eq(v.where.items[0], "title=x");
    ck_assert_str_eq(v.where.items[1], "key=C minor");
    for (int i = 0; i < 12; i++)
        strcat(text, "|--where=a=b");
    ck_assert_int_eq(parse(&v, text, NULL, &count, &why), ST_OK);
    ck_assert_uint_eq(v.where.count, 13);
}
END_TEST

/* A fragment of intervals is no option: "-4 -1 -2", also alone. */
START_TEST(numbers_are_arguments)
{
    struct values v;
    struct fault why;
    char *left[16];
    int count;

    ck_assert_int_eq(parse(&v, "-4 -1 -2|-4|-|--|--quiet|-x", left, &count,
                           &why),
                     ST_OK);
    ck_assert_int_eq(count, 5);
    ck_assert_str_eq(left[0], "-4 -1 -2");
    ck_assert_str_eq(left[1], "-4");
    ck_assert_str_eq(left[2], "-");
    ck_assert_str_eq(left[3], "--quiet");
    ck_assert_str_eq(left[4], "-x");
    ck_assert(!v.quiet);
}
END_TEST

START_TEST(mistakes_name_the_mend)
{
    expect_refusal("--jbos|3", "unknown option '--jbos'; "
                               "did you mean '--jobs'?");
    expect_refusal("--colour=never", "unknown option '--colour'; "
                                     "did you mean '--color'?");
    expect_refusal("--qui", "unknown option '--qui'; "
                            "did you mean '--quiet'?");
    expect_refusal("-part|x", "unknown option '-part'; "
                              "did you mean '--part'?");
    expect_refusal("-h", "unknown option '-h'; did you mean '--help'?");
    expect_refusal("--zzz", "unknown option '--zzz'; "
                            "'--help' lists the options");
    expect_refusal("--z\tz\x1b[1m", "unknown option '--z z?[1m'; "
                                    "'--help' lists the options");
    expect_refusal("--jobs", "'--jobs' needs a value: --jobs N");
    expect_refusal("--part|--quiet", "'--part' needs a value: --part NAME");
    expect_refusal("--color", "'--color' needs a value: "
                              "--color auto|always|never");
    expect_refusal("--quiet=yes", "'--quiet' takes no value");
}
END_TEST

START_TEST(values_out_of_range)
{
    expect_refusal("--jobs|0",
                   "'--jobs' must be a whole number from 1 to 64, not '0'");
    expect_refusal("--jobs|4x",
                   "'--jobs' must be a whole number from 1 to 64, not '4x'");
    expect_refusal("--jobs=", "'--jobs' must be a whole number from 1 to 64, "
                              "not ''");
    expect_refusal("--jobs|99999999999999999999",
                   "'--jobs' must be a whole number from 1 to 64, "
                   "not '99999999999999999999'");
    expect_refusal("--limit|-1", "'--limit' must be a whole number, at least "
                                 "0, not '-1'");
    expect_refusal("--bar|8-5", "'--bar' must be a number or a range such as "
                                "5-8, at least 1, not '8-5'");
    expect_refusal("--bar|5-", "'--bar' must be a number or a range such as "
                               "5-8, at least 1, not '5-'");
    expect_refusal("--color|pink",
                   "'--color' must be auto, always or never, not 'pink'");
}
END_TEST

START_TEST(nearest_word)
{
    const char *const words[] = { "solos", "solo", "find", "coverage", NULL };

    ck_assert_str_eq(options_nearest(words, "fnid"), "find");
    ck_assert_str_eq(options_nearest(words, "cov"), "coverage");
    ck_assert_str_eq(options_nearest(words, "slo"), "solo");
    ck_assert_ptr_null(options_nearest(words, "x"));
    ck_assert_ptr_null(options_nearest(words, ""));
    ck_assert_ptr_null(options_nearest(words, "tension"));
}
END_TEST

START_TEST(help_fits_the_page)
{
    struct values v;
    struct option_set sets[] = { { own_rows, &v },
                                 { common_rows, &v },
                                 { NULL, NULL } };
    char *text = NULL;
    size_t size = 0;
    FILE *out = open_memstream(&text, &size);

    ck_assert_ptr_nonnull(out);
    options_help(out, sets);
    ck_assert_int_eq(fclose(out), 0);
    for (char *line = text; *line; line += strcspn(line, "\n") + 1)
        ck_assert_uint_le(strcspn(line, "\n"), 80);
    ck_assert_ptr_nonnull(strstr(text, "Reading:\n"));
    ck_assert_ptr_nonnull(strstr(text, "  --part NAME"));
    ck_assert_ptr_nonnull(strstr(text, "--color auto|always|never\n"));
    ck_assert_ptr_nonnull(strstr(text, " Read this part, whatever the file "
                                       "says first, and\n"
                                       "                           "
                                       "whatever else"));
    free(text);
}
END_TEST

Suite *options_suite(void)
{
    Suite *suite = suite_create("options");
    TCase *tests = tcase_create("options");

    tcase_add_test(tests, values_are_stored);
    tcase_add_test(tests, defaults_stay_and_the_last_counts);
    tcase_add_test(tests, lists_grow_and_have_an_end);
    tcase_add_test(tests, numbers_are_arguments);
    tcase_add_test(tests, mistakes_name_the_mend);
    tcase_add_test(tests, values_out_of_range);
    tcase_add_test(tests, nearest_word);
    tcase_add_test(tests, help_fits_the_page);
    suite_add_tcase(suite, tests);
    return suite;
}
