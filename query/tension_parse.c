/* query/tension_parse.c - --length, --approach, --departure, --resolves. */
#include <string.h>

#include "query/tension_words.h"

/* --- length --------------------------------------------------------------- */

/* "8-2": the two lengths in the order of their size. */
static bool read_span(struct tension_query *out, const char *text,
                      const char *dash)
{
    struct rational a, b;
    bool ordered;

    if (!fragment_parse_value(&a, text, (size_t)(dash - text)) ||
        !fragment_parse_value(&b, dash + 1, strlen(dash + 1)))
        return false;
    ordered = rational_compare(a, b) <= 0;
    out->shortest = ordered ? a : b;
    out->longest = ordered ? b : a;
    out->has_shortest = out->has_longest = true;
    return true;
}

enum status tension_parse_length(struct tension_query *out, const char *text,
                                 struct fault *why)
{
    size_t length = strlen(text);
    char last = length > 0 ? text[length - 1] : '\0';
    const char *dash = strchr(text, '-');
    struct rational value;

    if (dash && dash[1] && read_span(out, text, dash))
        return ST_OK;
    if (last == '+' || last == '-')
        length--;
    if (!fragment_parse_value(&value, text, length))
        return fault_at(why, ST_SYNTAX, 0,
                        "a length is a note value as in a fragment (4 a "
                        "quarter, 8. a dotted eighth, 8t a triplet eighth), "
                        "with + for that or longer, - for that or shorter, or "
                        "two such as 8-2");
    out->has_shortest = last != '-';
    out->has_longest = last != '+';
    out->shortest = out->longest = value;
    return ST_OK;
}

/* --- approach and departure ----------------------------------------------- */

/* Take the word of WORDS (ended by NULL) that TEXT, LENGTH bytes, is; -1 for
 * none. */
static int word_index(const char *const *words, const char *text, size_t length)
{
    for (int i = 0; words[i]; i++)
        if (strlen(words[i]) == length &&
            strncasecmp(words[i], text, length) == 0)
            return i;
    return -1;
}

/* One word more of WAY; false where it does not go with the others. */
static bool take_word(struct tension_way *way, const char *const *directions,
                      const char *text, size_t length)
{
    /* In the order of enum tension_move from TENSION_REPEATED on. */
    static const char *const moves[] = { "repeated", "chromatic", "step",
                                         "leap", NULL };
    static const char *const fillers[] = { "from", "by", NULL };
    int move = word_index(moves, text, length);
    int direction = word_index(directions, text, length);

    if (move >= 0 && way->move == TENSION_MOVE_ANY)
        way->move = (enum tension_move)(TENSION_REPEATED + move);
    else if (direction >= 0 && way->direction == 0)
        way->direction = direction == 0 ? 1 : -1;
    else
        return word_index(fillers, text, length) >= 0;
    return way->move != TENSION_REPEATED || way->direction == 0;
}

/* DIRECTIONS: the word for upwards, then that for downwards. */
static bool read_way(struct tension_way *out, const char *const *directions,
                     const char *text)
{
    static const char between[] = " -";

    *out = (struct tension_way){ TENSION_MOVE_ANY, 0 };
    for (text += strspn(text, between); *text; text += strspn(text, between)) {
        size_t length = strcspn(text, between);

        if (!take_word(out, directions, text, length))
            return false;
        text += length;
    }
    return out->move != TENSION_MOVE_ANY || out->direction != 0;
}

enum status tension_parse_approach(struct tension_way *out, const char *text,
                                   struct fault *why)
{
    static const char *const directions[] = { "below", "above", NULL };

    if (read_way(out, directions, text))
        return ST_OK;
    return fault_at(why, ST_SYNTAX, 0,
                    "an approach is step, chromatic or leap, from below or "
                    "above, or both such as step-below; or repeated");
}

enum status tension_parse_departure(struct tension_way *out, const char *text,
                                    struct fault *why)
{
    static const char *const directions[] = { "up", "down", NULL };

    if (read_way(out, directions, text))
        return ST_OK;
    return fault_at(why, ST_SYNTAX, 0,
                    "a departure is step, chromatic or leap, up or down, or "
                    "both such as step-down; or repeated");
}

/* --- resolution ----------------------------------------------------------- */

enum status tension_parse_resolves(struct tension_query *out, int *from,
                                   const char *text, struct fault *why)
{
    const char *sign = strchr(text, '>');
    const char *to = sign ? sign + 1 : text;
    enum status st = ST_OK;
    char before[32];

    *from = TENSION_ANY;
    if (sign && (size_t)(sign - text) >= sizeof before)
        return fault_at(why, ST_SYNTAX, 0, "that is too long for a degree");
    if (sign) {
        memcpy(before, text, (size_t)(sign - text));
        before[sign - text] = '\0';
        st = fragment_parse_degree(from, before, why);
    }
    if (st != ST_OK)
        return st;
    out->has_resolution = true;
    st = fragment_parse_degree(&out->resolution, to, why);
    if (st == ST_SYNTAX && why && why->offset >= 0)
        why->offset += to - text;
    return st;
}
