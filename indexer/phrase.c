/* indexer/phrase.c - see phrase.h. */
#include "indexer/phrase.h"

#include <stdlib.h>
#include <string.h>

enum {
    SIDE = 8,    /* notes looked at on either side of a gap */
    DIVIDES = 4 /* times what is usual */
};

/* Long enough for any music; keeps sums within 64 bits. */
static const int64_t ticks_max = (int64_t)1 << 56;

/* The gap after a note. */
struct gap {
    int64_t between; /* from onset to onset */
    int64_t rest;    /* from the end to the next onset */
    bool divides;
};

static int64_t gap_size(const struct gap *gap)
{
    return gap->between + gap->rest;
}

static int64_t within(int64_t ticks)
{
    return ticks < 0 ? 0 : ticks > ticks_max ? ticks_max : ticks;
}

static void measure(struct gap *gaps, const struct solo *solo)
{
    for (size_t i = 0; i + 1 < solo->note_count; i++) {
        const struct note *note = &solo->notes[i];

        gaps[i].between = within(note[1].start - note->start);
        gaps[i].rest = within(note[1].start - note->start - note->duration);
    }
}

/* Is the median of the onset intervals around the gap AT, of COUNT, at most
 * MOST?  Of an even number the lower one counts; a lone gap is its own. */
static bool is_usual(const struct gap *gaps, size_t count, size_t at,
                     int64_t most)
{
    size_t n = 0, within_most = 0;
    size_t first = at > SIDE ? at - SIDE : 0;

    for (size_t i = first; i < count && i <= at + SIDE; i++) {
        if (i == at)
            continue;
        n++;
        within_most += gaps[i].between <= most;
    }
    if (n == 0)
        return gaps[at].between <= most;
    return within_most > (n - 1) / 2;
}

/* What is less than this is less than every median. */
static int64_t shortest(const struct gap *gaps, size_t count)
{
    int64_t least = INT64_MAX;

    for (size_t i = 0; i < count; i++)
        if (gaps[i].between < least)
            least = gaps[i].between;
    return least;
}

/* A bar or more of rest follows the note AT. */
static bool is_long_rest(const struct solo *solo, const struct gap *gaps,
                         size_t at)
{
    int64_t bar = solo->bars[solo->notes[at].bar].nominal;

    return bar > 0 && gaps[at].rest >= bar;
}

/* A note alone goes with the nearer side. */
static void join_single_notes(struct gap *gaps, size_t count,
                              const struct solo *solo)
{
    for (size_t i = 0; i + 1 < count; i++) {
        struct gap *before = &gaps[i], *after = &gaps[i + 1];

        if (!before->divides || !after->divides ||
            (is_long_rest(solo, gaps, i) && is_long_rest(solo, gaps, i + 1)))
            continue;
        if (gap_size(before) < gap_size(after))
            before->divides = false;
        else
            after->divides = false;
    }
}

enum status phrase_mark(struct solo *solo, struct fault *why)
{
    size_t count = solo->note_count ? solo->note_count - 1 : 0;
    struct gap *gaps = calloc(count + 1, sizeof *gaps);
    int32_t phrase = 1;
    int64_t least;

    if (!gaps)
        return fault_nomem(why);
    measure(gaps, solo);
    least = shortest(gaps, count);
    for (size_t i = 0; i < count; i++) {
        int64_t most = gap_size(&gaps[i]) / DIVIDES;

        gaps[i].divides = is_long_rest(solo, gaps, i) ||
                          (gaps[i].between > 0 && most >= least &&
                           is_usual(gaps, count, i, most));
    }
    join_single_notes(gaps, count, solo);
    for (size_t i = 0; i < solo->note_count; i++) {
        solo->notes[i].phrase = phrase;
        phrase += gaps[i].divides;
    }
    free(gaps);
    return ST_OK;
}
