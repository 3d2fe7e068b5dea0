/* query/rank_weights.c - reading the weights of the parts. */
#include <string.h>
#include <strings.h>

#include "query/rank.h"

enum {
    WEIGHTS = 3,
    WEIGHT_MAX = 1000,
    DECIMALS = 1000000000 /* as many as rational_parse_decimal() keeps */
};

static const char *const names[WEIGHTS] = { "harmony", "position", "rhythm" };

static enum status wrong(struct fault *why, size_t at, const char *what)
{
    return fault_at(why, ST_SYNTAX, (long)at,
                    "%s: weights are written as "
                    "harmony=0.55,position=0.3,rhythm=0.15",
                    what);
}

/* Which of the names the LEN bytes at TEXT are, blanks after it aside; -1
 * none. */
static int name_at(const char *text, size_t len)
{
    while (len > 0 && text[len - 1] == ' ')
        len--;
    for (int i = 0; i < WEIGHTS; i++)
        if (strlen(names[i]) == len && strncasecmp(names[i], text, len) == 0)
            return i;
    return -1;
}

/* A value of LEN bytes in billionths; -1 where it is none. */
static int64_t value_at(const char *text, size_t len)
{
    char copy[40];
    struct rational value;

    if (len >= sizeof copy)
        return -1;
    memcpy(copy, text, len);
    copy[len] = '\0';
    if (!rational_parse_decimal(&value, copy) || value.lost ||
        rational_compare(value, rational_make(0, 1)) < 0 ||
        rational_compare(value, rational_make(WEIGHT_MAX, 1)) > 0)
        return -1;
    /* The denominator divides a power of ten. */
    return value.num * (DECIMALS / value.den);
}

/* Read all of TEXT into VALUES, billionths. */
static enum status read_values(int64_t values[WEIGHTS], const char *text,
                               struct fault *why)
{
    bool seen[WEIGHTS] = { false };
    size_t at = 0;

    for (;;) {
        size_t len, name_len;
        int which;

        at += strspn(text + at, " ");
        len = strcspn(text + at, ",");
        name_len = strcspn(text + at, "=,");
        which = name_at(text + at, name_len);
        if (which < 0 || name_len == len)
            return wrong(why, at, "a weight is of harmony, position or rhythm");
        if (seen[which])
            return wrong(why, at, "a weight that is given twice");
        seen[which] = true;
        at += name_len + 1;
        values[which] = value_at(text + at, len - name_len - 1);
        if (values[which] < 0)
            return wrong(why, at, "a weight is a number from 0 to 1000");
        at += len - name_len - 1;
        if (text[at] == '\0')
            return ST_OK;
        at++;
    }
}

/* OUT is VALUES, not all 0, scaled to sum to RANK_WHOLE. */
static void scale(int out[WEIGHTS], const int64_t values[WEIGHTS])
{
    int64_t all = 0, rest[WEIGHTS];
    int left = RANK_WHOLE;

    for (int i = 0; i < WEIGHTS; i++)
        all += values[i];
    for (int i = 0; i < WEIGHTS; i++) {
        out[i] = (int)(values[i] * RANK_WHOLE / all);
        rest[i] = values[i] * RANK_WHOLE % all;
        left -= out[i];
    }
    for (; left > 0; left--) {
        int most = 0;

        for (int i = 1; i < WEIGHTS; i++)
            if (rest[i] > rest[most])
                most = i;
        out[most]++;
        rest[most] = -1;
    }
}

enum status rank_weights_parse(struct rank_weights *out, const char *text,
                               struct fault *why)
{
    const struct rank_weights usual = RANK_WEIGHTS_DEFAULT;
    const int64_t unit = DECIMALS / RANK_WHOLE;
    int64_t values[WEIGHTS] = { usual.harmony * unit, usual.position * unit,
                                usual.rhythm * unit };
    int scaled[WEIGHTS];
    enum status st = read_values(values, text, why);

    if (st != ST_OK)
        return st;
    if (values[0] + values[1] + values[2] == 0)
        return wrong(why, 0, "at least one weight is above 0");
    scale(scaled, values);
    *out = (struct rank_weights){ scaled[0], scaled[1], scaled[2] };
    return ST_OK;
}
