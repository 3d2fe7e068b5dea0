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
