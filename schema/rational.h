/* schema/rational.h - exact fractions for musical time.
 *
 * The unit of time everywhere is the quarter note.  A value is always
 * reduced and its denominator positive, so equality is memberwise.
 * Arithmetic is done in 128 bits; a result that does not fit 64 bits sets
 * `lost` (and stays set through further arithmetic), so that a reader can
 * warn once instead of checking every step.
 */
#ifndef SCHEMA_RATIONAL_H
#define SCHEMA_RATIONAL_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct rational {
    int64_t num;
    int64_t den; /* > 0 */
    bool lost;   /* a result did not fit; the value is only near */
};

/* N/D reduced.  D = 0 gives 0/1 with `lost` set. */
struct rational rational_make(int64_t n, int64_t d);
struct rational rational_add(struct rational a, struct rational b);
struct rational rational_sub(struct rational a, struct rational b);
struct rational rational_mul(struct rational a, struct rational b);
/* Division by zero gives 0/1 with `lost` set. */
struct rational rational_div(struct rational a, struct rational b);
/* -1, 0 or 1.  Exact whatever the sizes. */
int rational_compare(struct rational a, struct rational b);

/* Read a decimal number such as "12", "-0.5" or "+3.25" with optional blanks
 * around it.  False (and 0/1 in *OUT) where TEXT is anything else or does
 * not fit; at most nine decimals are kept. */
bool rational_parse_decimal(struct rational *out, const char *text);

/* Greatest common divisor of |A| and |B|; 0 only where both are 0.  The one
 * that does not fit, 2^63 of INT64_MIN and 0 or itself, gives INT64_MAX. */
int64_t rational_gcd(int64_t a, int64_t b);

/* "n/d", always with the denominator.  Returns OUT. */
#define RATIONAL_TEXT_SIZE 44
char *rational_text(char out[RATIONAL_TEXT_SIZE], struct rational value);

#endif
