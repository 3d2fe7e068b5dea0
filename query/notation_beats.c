/* query/notation_beats.c - the beats of a bar. */
#include <stdlib.h>

#include "query/notation_parts.h"

enum {
    GROUPS_MAX = 32
};

/* The beats that a metre says: their lengths in parts of a whole note. */
struct groups {
    int parts[GROUPS_MAX]; /* units of the metre's denominator */
    int count, unit;       /* 8 for eighths */
};

static void add_group(struct groups *g, int parts)
{
    if (g->count < GROUPS_MAX)
        g->parts[g->count++] = parts;
}

/* N units of the denominator in beats: threes where they divide the bar, else
 * twos and a last three; quarters in metres of quarters and longer notes. */
static void divide(struct groups *g, int n)
{
    if (g->unit < 8) {
        for (int i = 0; i < n; i++)
            add_group(g, 1);
    } else if (n % 3 == 0) {
        for (int i = 0; i < n; i += 3)
            add_group(g, 3);
    } else {
        for (; n > 3; n -= 2)
            add_group(g, 2);
        add_group(g, n);
    }
}

/* Read "3+2/8"; a metre that does not read is taken for quarters. */
static void read_metre(struct groups *g, const char *metre)
{
    int numbers[GROUPS_MAX], count = 0;
    char *end;

    g->count = 0;
    g->unit = 4;
    while (*metre >= '0' && *metre <= '9' && count < GROUPS_MAX) {
        long n = strtol(metre, &end, 10);

        numbers[count++] = n > 0 && n < 1000 ? (int)n : 1;
        metre = end;
        metre += *metre == '+';
    }
    if (*metre == '/' && count > 0) {
        long unit = strtol(metre + 1, NULL, 10);

        if (unit > 0 && unit <= 64 && (unit & (unit - 1)) == 0)
            g->unit = (int)unit;
    }
    for (int i = 0; i < count; i++) {
        /* Halves and wholes are read as quarters. */
        int times = g->unit < 4 ? 4 / g->unit : 1;

        divide(g, numbers[i] * times);
    }
    if (g->unit < 4)
        g->unit = 4;
    if (g->count == 0)
        add_group(g, 1);
}

void beats_of(struct beats *out, const char *metre, int64_t length,
              int64_t ticks, bool from_end)
{
    struct groups g;
    int64_t at = 0, bar = 0;

    read_metre(&g, metre);
    for (int i = 0; i < g.count; i++)
        bar += 4 * ticks * g.parts[i] / g.unit;
    /* Where the end of a bar stands alone, its beats lie as in the whole. */
    if (from_end && length < bar)
        at = length - bar;
    out->count = 0;
    for (int i = 0; at < length && out->count < BEATS_MAX; i++) {
        int parts = g.parts[i % g.count];
        int64_t next = at + 4 * ticks * parts / g.unit;

        if (next > 0) {
            out->by_three[out->count] = parts == 3;
            out->at[out->count++] = at > 0 ? at : 0;
        }
        at = next;
    }
    out->at[out->count] = length;
}
