/* check_rational.c - exact fractions for musical time. */
#include "schema/rational.h"
#include "tests/unit/suites.h"

static void assert_is(struct rational value, int64_t n, int64_t d)
{
    ck_assert_int_eq(value.num, n);
    ck_assert_int_eq(value.den, d);
    ck_assert(!value.lost);
}

START_TEST(reduced_with_a_positive_denominator)
{
    assert_is(rational_make(6, 4), 3, 2);
    assert_is(rational_make(6, -4), -3, 2);
    assert_is(rational_make(-6, -4), 3, 2);
    assert_is(rational_make(0, -7), 0, 1);
    assert_is(rational_make(INT64_MIN, INT64_MIN), 1, 1);
    assert_is(rational_make(INT64_MIN, 2), INT64_MIN / 2, 1);
}
END_TEST

START_TEST(arithmetic_is_exact)
{
    struct rational third = rational_make(1, 3), sum = rational_make(0, 1);

    for (int i = 0; i < 3000; i++)
        sum = rational_add(sum, third);
    assert_is(sum, 1000, 1);
    assert_is(rational_sub(third, rational_make(1, 2)), -1, 6);
    assert_is(rational_mul(third, rational_make(-3, 5)), -1, 5);
    assert_is(rational_div(third, rational_make(-2, 3)), -1, 2);
    /* Nine notes in the time of seven, inside a triplet. */
    assert_is(rational_mul(rational_make(7, 9), rational_make(2, 3)), 14, 27);
    /* What does not fit on the way may fit at the end. */
    assert_is(
        rational_mul(rational_make(INT64_MAX, 3), rational_make(3, INT64_MAX)),
        1, 1);
}
END_TEST

START_TEST(what_does_not_fit_is_marked)
{
    struct rational big = rational_make(INT64_MAX, 1), sum;
    struct rational fine = rational_make(1, INT64_MAX);

    sum = rational_add(big, rational_make(1, 1));
    ck_assert(sum.lost);
    ck_assert_int_eq(sum.num, INT64_MAX);
    ck_assert_int_eq(sum.den, 1);
    ck_assert(rational_sub(sum, sum).lost);
    sum = rational_mul(fine, fine);
    ck_assert(sum.lost);
    ck_assert_int_gt(sum.den, 0);
    sum = rational_add(rational_make(1, INT64_MAX - 1), fine);
    ck_assert(sum.lost);
    ck_assert_int_gt(sum.num, 0);
    ck_assert(rational_make(1, 0).lost);
    sum = rational_div(big, rational_make(0, 1));
    ck_assert(sum.lost);
    ck_assert_int_eq(sum.num, 0);
    ck_assert_int_eq(sum.den, 1);
    sum = rational_make(1, INT64_MIN);
    ck_assert(sum.lost);
    ck_assert_int_gt(sum.den, 0);
}
END_TEST

START_TEST(comparison_is_exact)
{
    struct rational a = rational_make(INT64_MAX, INT64_MAX - 1);
    struct rational b = rational_make(INT64_MAX - 1, INT64_MAX - 2);

    ck_assert_int_eq(rational_compare(a, b), -1);
    ck_assert_int_eq(rational_compare(b, a), 1);
    ck_assert_int_eq(rational_compare(a, a), 0);
    ck_assert_int_eq(rational_compare(rational_make(INT64_MIN, 1), b), -1);
    ck_assert_int_eq(
        rational_compare(rational_make(-1, 3), rational_make(-1, 2)), 1);
}
END_TEST

static const struct {
    const char *text;
    bool reads;
    int64_t num, den;
} decimals[] = {
    { "12", true, 12, 1 },
    { "0", true, 0, 1 },
    { "7", true, 7, 1 },
    { "9", true, 9, 1 },
    { "a", false, 0, 1 },
    { "-0.5", true, -1, 2 },
    { "+3.25", true, 13, 4 },
    { " \t\n7.0\r ", true, 7, 1 },
    { ".5", true, 1, 2 },
    { "5.", true, 5, 1 },
    { "0.1234567891234", true, 123456789, 1000000000 },
    { "-0", true, 0, 1 },
    { "9223372036854775807", true, INT64_MAX, 1 },
    { "9223372036854775808", false, 0, 1 },
    { "9223372037.123456789", false, 0, 1 },
    { "", false, 0, 1 },
    { " ", false, 0, 1 },
    { ".", false, 0, 1 },
    { "-", false, 0, 1 },
    { "- 1", false, 0, 1 },
    { "1e3", false, 0, 1 },
    { "0x10", false, 0, 1 },
    { "1 2", false, 0, 1 },
    { "1,5", false, 0, 1 },
    { "--1", false, 0, 1 },
    { "nan", false, 0, 1 },
};

START_TEST(decimal_text)
{
    struct rational out = { 5, 5, true };

    ck_assert_int_eq(rational_parse_decimal(&out, decimals[_i].text),
                     decimals[_i].reads);
    assert_is(out, decimals[_i].num, decimals[_i].den);
}
END_TEST

START_TEST(greatest_common_divisor)
{
    ck_assert_int_eq(rational_gcd(12, -18), 6);
    ck_assert_int_eq(rational_gcd(0, -5), 5);
    ck_assert_int_eq(rational_gcd(0, 0), 0);
    ck_assert_int_eq(rational_gcd(INT64_MIN, 6), 2);
    ck_assert_int_eq(rational_gcd(INT64_MIN, 0), INT64_MAX);
}
END_TEST

START_TEST(text_has_the_denominator)
{
    char out[RATIONAL_TEXT_SIZE];

    ck_assert_str_eq(rational_text(out, rational_make(3, 2)), "3/2");
    ck_assert_str_eq(rational_text(out, rational_make(-4, 2)), "-2/1");
    ck_assert_str_eq(rational_text(out, rational_make(0, 9)), "0/1");
    ck_assert_str_eq(rational_text(out, rational_make(INT64_MIN, INT64_MAX)),
                     "-9223372036854775808/9223372036854775807");
}
END_TEST

Suite *rational_suite(void)
{
    Suite *suite = suite_create("rational");
    TCase *tests = tcase_create("rational");

    tcase_add_test(tests, reduced_with_a_positive_denominator);
    tcase_add_test(tests, arithmetic_is_exact);
    tcase_add_test(tests, what_does_not_fit_is_marked);
    tcase_add_test(tests, comparison_is_exact);
    tcase_add_loop_test(tests, decimal_text, 0,
                        sizeof decimals / sizeof *decimals);
    tcase_add_test(tests, greatest_common_divisor);
    tcase_add_test(tests, text_has_the_denominator);
    suite_add_tcase(suite, tests);
    return suite;
}
