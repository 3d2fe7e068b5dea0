/* schema/rational.c - exact fractions for musical time. */
#include "schema/rational.h"

#include <inttypes.h>
#include <stdio.h>

/* Products of two 64-bit values and the sum of two such products fit here:
 * 2^63 * (2^63 - 1) is below 2^126. */
__extension__ typedef __int128 wide;

static wide wide_abs(wide x)
{
    return x < 0 ? -x : x;
}

static wide wide_gcd(wide a, wide b)
{
    a = wide_abs(a);
    b = wide_abs(b);
    while (b != 0) {
        wide rest = a % b;
        a = b;
        b = rest;
    }
    return a;
}

static uint64_t narrow_gcd(uint64_t a, uint64_t b)
{
    while (b != 0) {
        uint64_t rest = a % b;

        a = b;
        b = rest;
    }
    return a;
}

static bool fits(wide n, wide d)
{
    return n >= INT64_MIN && n <= INT64_MAX && d <= INT64_MAX;
}

/* N/D reduced, made near where it does not fit. */
static struct rational settle(wide n, wide d, bool lost)
{
    wide common;

    if (d == 0)
        return (struct rational){ 0, 1, true };
    if (d < 0) {
        n = -n;
        d = -d;
    }
    /* Division of 128 bits is slow, and music hardly ever needs it. */
    if (n >= -INT64_MAX && n <= INT64_MAX && d <= INT64_MAX) {
        int64_t num = (int64_t)n, den = (int64_t)d, both = 1;

        if (den > 1)
            both = (int64_t)narrow_gcd((uint64_t)(num < 0 ? -num : num),
                                       (uint64_t)den);
        if (both > 1) {
            num /= both;
            den /= both;
        }
        return (struct rational){ num, den, lost };
    }
    common = wide_gcd(n, d);
    n /= common;
    d /= common;
    if (!fits(n, d)) {
        lost = true;
        while (!fits(n, d) && d > 1) {
            n /= 2;
            d /= 2;
        }
        if (!fits(n, d))
            n = n < 0 ? INT64_MIN : INT64_MAX;
        common = wide_gcd(n, d);
        n /= common;
        d /= common;
    }
    return (struct rational){ (int64_t)n, (int64_t)d, lost };
}

struct rational rational_make(int64_t n, int64_t d)
{
    if (d == 1)
        return (struct rational){ n, 1, false };
    return settle(n, d, false);
}

struct rational rational_add(struct rational a, struct rational b)
{
    if (a.den == b.den)
        return settle((wide)a.num + b.num, a.den, a.lost || b.lost);
    return settle((wide)a.num * b.den + (wide)b.num * a.den,
                  (wide)a.den * b.den, a.lost || b.lost);
}

struct rational rational_sub(struct rational a, struct rational b)
{
    if (a.den == b.den)
        return settle((wide)a.num - b.num, a.den, a.lost || b.lost);
    return settle((wide)a.num * b.den - (wide)b.num * a.den,
                  (wide)a.den * b.den, a.lost || b.lost);
}

struct rational rational_mul(struct rational a, struct rational b)
{
    return settle((wide)a.num * b.num, (wide)a.den * b.den, a.lost || b.lost);
}

struct rational rational_div(struct rational a, struct rational b)
{
    return settle((wide)a.num * b.den, (wide)a.den * b.num, a.lost || b.lost);
}

int rational_compare(struct rational a, struct rational b)
{
    wide left = (wide)a.num * b.den;
    wide right = (wide)b.num * a.den;

    return (left > right) - (left < right);
}

int64_t rational_gcd(int64_t a, int64_t b)
{
    uint64_t g = narrow_gcd(a < 0 ? 0 - (uint64_t)a : (uint64_t)a,
                            b < 0 ? 0 - (uint64_t)b : (uint64_t)b);

    return g > INT64_MAX ? INT64_MAX : (int64_t)g;
}

static const char *skip_blanks(const char *s)
{
    while (*s == ' ' || *s == '\t' || *s == '\n' || *s == '\r')
        s++;
    return s;
}

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

/* Append the digit C to *N; false where the result does not fit. */
static bool append_digit(int64_t *n, char c)
{
    int digit = c - '0';

    if (*n > (INT64_MAX - digit) / 10)
        return false;
    *n = *n * 10 + digit;
    return true;
}

bool rational_parse_decimal(struct rational *out, const char *text)
{
    enum {
        DECIMALS_MAX = 9
    };
    const char *s = skip_blanks(text);
    bool negative = *s == '-', digits = false;
    int64_t n = 0, d = 1;

    /* What most numbers in scores are. */
    if (is_digit(text[0]) && text[1] == '\0') {
        *out = (struct rational){ text[0] - '0', 1, false };
        return true;
    }
    *out = (struct rational){ 0, 1, false };
    if (*s == '-' || *s == '+')
        s++;
    for (; is_digit(*s); s++, digits = true)
        if (!append_digit(&n, *s))
            return false;
    if (*s == '.') {
        s++;
        for (int kept = 0; is_digit(*s); s++, kept++, digits = true) {
            if (kept >= DECIMALS_MAX)
                continue;
            if (!append_digit(&n, *s))
                return false;
            d *= 10;
        }
    }
    if (!digits || *skip_blanks(s) != '\0')
        return false;
    *out = rational_make(negative ? -n : n, d);
    return true;
}

char *rational_text(char out[RATIONAL_TEXT_SIZE], struct rational value)
{
    snprintf(out, RATIONAL_TEXT_SIZE, "%" PRId64 "/%" PRId64, value.num,
             value.den);
    return out;
}
