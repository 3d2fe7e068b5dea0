/* query/bar_range.c - see bar_range.h. */
#include "query/bar_range.h"

#include <stdlib.h>
#include <string.h>

/* The dash between the two numbers: of an odd count the middle one, of an
 * even count the one after it (a number may begin with a dash, but none ends
 * with one).  NULL where there is none. */
static const char *middle_dash(const char *text)
{
    size_t dashes = 0, wanted;

    for (const char *p = text; *p; p++)
        dashes += *p == '-';
    if (dashes == 0 || (dashes == 1 && text[0] == '-' && text[1]))
        return NULL;
    wanted = dashes / 2;
    for (const char *p = text;; p++)
        if (*p == '-' && wanted-- == 0)
            return p;
}

enum status bar_range_read(struct bar_range *out, const char *text,
                           struct fault *why)
{
    const char *dash = middle_dash(text);
    size_t len = dash ? (size_t)(dash - text) : strlen(text);

    out->first = out->last = NULL;
    if (len == 0 || (dash && !dash[1]))
        return fault_set(why, ST_USAGE,
                         "--bars must be printed bar numbers such as 5-8 or "
                         "5, not '%.40s'",
                         text);
    out->first = strndup(text, len);
    out->last = strdup(dash ? dash + 1 : text);
    if (out->first && out->last)
        return ST_OK;
    bar_range_free(out);
    return fault_nomem(why);
}

void bar_range_free(struct bar_range *range)
{
    free(range->first);
    free(range->last);
    range->first = range->last = NULL;
}

/* --- in a solo ------------------------------------------------------------ */

/* The first (STEP 1) or last (STEP -1) printed bar number; "" where no bar
 * has one. */
static const char *end_number(const struct solo *solo, int step)
{
    for (size_t i = 0; i < solo->bar_count; i++) {
        size_t at = step > 0 ? i : solo->bar_count - 1 - i;

        if (solo->bars[at].number[0])
            return solo->bars[at].number;
    }
    return "";
}

static enum status unknown_bar(const struct solo *solo, const char *number,
                               const char *after, enum status unknown,
                               struct fault *why)
{
    return fault_set(
        why, unknown, "there is no bar %s%s%s: the bars run from %s to %s",
        number, after ? " at or after bar " : "", after ? after : "",
        end_number(solo, 1), end_number(solo, -1));
}

enum status bar_range_find(struct bar_indexes *out, const struct solo *solo,
                           const char *first, const char *last,
                           enum status unknown, struct fault *why)
{
    size_t count = solo->bar_count, at = 0;

    if (count == 0)
        return fault_set(why, ST_INPUT, "the file has no bars");
    while (first && at < count && strcmp(solo->bars[at].number, first) != 0)
        at++;
    if (at == count)
        return unknown_bar(solo, first, NULL, unknown, why);
    out->first = at;
    at = count;
    while (last && at > out->first &&
           strcmp(solo->bars[at - 1].number, last) != 0)
        at--;
    if (at == out->first)
        return unknown_bar(solo, last, first, unknown, why);
    out->last = at - 1;
    return ST_OK;
}

void bar_range_notes(size_t *first, size_t *count, const struct solo *solo,
                     const struct bar_indexes *bars)
{
    size_t at = 0, end;

    while (at < solo->note_count && (size_t)solo->notes[at].bar < bars->first)
        at++;
    for (end = at; end < solo->note_count; end++)
        if ((size_t)solo->notes[end].bar > bars->last)
            break;
    *first = at;
    *count = end - at;
}
