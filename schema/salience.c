/* schema/salience.c - see salience.h. */
#include "schema/salience.h"

#include "schema/strand.h"
#include "schema/worth.h"

/* Of a thousand invented notes some 0.02, 0.1, 0.6, 1.6, 2.6, 5, 8, 11 and 19
 * reach the first for places of 5 notes, half as many again for longer ones:
 * there is room above for the cells that stand a hundred thousand times.  The
 * last, up to 118 and 173, lie close, for those that stand a thousand times. */
static const int floors[SALIENCE_LEVELS] = { 980000, 970000, 960000, 950000,
                                             940000, 920000, 900000, 885000,
                                             870000, 860000, 850000, 840000,
                                             830000, 820000 };

int salience_floor(int level)
{
    return floors[level - 1];
}

/* --- position ------------------------------------------------------------- */

static int position(uint8_t mark)
{
    enum worth_spot spot =
        worth_spot(mark & MARK_CHORUS, mark & MARK_SECTION, mark & MARK_FOUR,
                   mark & MARK_PHRASE);

    return worth_position(worth_where[spot], worth_metre[mark & MARK_STRENGTH]);
}

/* --- a place that grows --------------------------------------------------- */

enum {
    SHORTEST = 3, /* notes in a place */
    RING = 16
};

_Static_assert((int)SALIENCE_NOTES <= (int)RING, "the notes of a place fit");

/* What a place comes to, note by note. */
struct growing {
    /* How its notes fit, weighted by duration and strength, and by strength
     * alone; and the weights. */
    int64_t sum, all, plain_sum, plain_all;
    int ratios; /* those of its lengths, but for the last */
};

static void take_note(struct growing *g, int64_t duration, uint8_t mark,
                      uint8_t follow)
{
    int64_t strength = 1 + (mark & MARK_STRENGTH);
    int tone = follow & 3;

    if (tone == FOLLOW_UNEXPLAINED)
        return;
    if (duration > WORTH_DURATION_MAX)
        duration = WORTH_DURATION_MAX;
    g->sum += duration * strength * worth_tone[tone];
    g->all += duration * strength;
    g->plain_sum += strength * worth_tone[tone];
    g->plain_all += strength;
}

static int fit(const struct growing *g)
{
    if (g->all > 0)
        return worth_fit(g->sum, g->all);
    return g->plain_all > 0 ? worth_fit(g->plain_sum, g->plain_all) : 0;
}

/* The smaller of two lengths over the larger, in thousandths; lengths of
 * nothing are like no other. */
static int similarity(int64_t a, int64_t b)
{
    int64_t least = a < b ? a : b, most = a < b ? b : a;

    if (least <= 0)
        return 0;
    if (least == most || most > WORTH_DURATION_MAX)
        return WORTH_WHOLE; /* whatever it is, it is not more */
    return worth_ratio(least, most);
}

/* Know the rhythm up to the note LAST, from FIRST on, which has one before. */
static void have_rhythm(struct salience *s, size_t first, size_t last)
{
    if (s->ready < first)
        s->ready = first;
    for (; s->ready <= last; s->ready++) {
        const struct note *note = &s->solo->notes[s->ready];
        int64_t time = note->start - note[-1].start;

        s->held[s->ready % RING] = similarity(time, note->duration);
        s->before[s->ready % RING] =
            s->ready > 1 ? similarity(note[-1].start - note[-2].start, time)
                         : 0;
    }
}

/* What the place from FIRST to LAST comes to, LAST the newest of its notes. */
static int score(const struct salience *s, const struct growing *g,
                 int position, size_t first, size_t last)
{
    uint8_t follow = s->follow[last];
    int follows = (worth_motion[follow >> 2 & 7] + worth_line[follow >> 5]) / 2;
    int ratios = g->ratios + s->held[last % RING];

    return WORTH_HARMONY * worth_harmony(WORTH_WHOLE, follows, fit(g)) +
           WORTH_POSITION * position +
           WORTH_RHYTHM * worth_ratios(ratios, (int)(last - first));
}

/* The most that places can score that start at I, by their lengths. */
static void find_most(struct salience *s, size_t i, int best[SALIENCE_LENGTHS])
{
    const struct note *notes = s->solo->notes;
    struct growing g = { 0 };
    int here = position(s->mark[i]);

    for (size_t k = i; k < s->solo->note_count && k < i + SALIENCE_NOTES; k++) {
        size_t length;
        int this;

        take_note(&g, notes[k].duration, s->mark[k], s->follow[k]);
        if (k <= i + 1)
            continue;
        have_rhythm(s, i + 1, k);
        g.ratios += s->before[k % RING];
        this = score(s, &g, here, i, k);
        length = k - i + 1 - SHORTEST;
        if (length >= SALIENCE_LENGTHS)
            length = SALIENCE_LENGTHS - 1;
        if (this > best[length])
            best[length] = this;
    }
}

void salience_start(struct salience *out, const struct solo *solo,
                    const uint8_t *mark, const uint8_t *follow)
{
    *out = (struct salience){ .solo = solo, .mark = mark, .follow = follow };
}

static int level_of(int best)
{
    int level = 1;

    while (level <= SALIENCE_LEVELS && best < floors[level - 1])
        level++;
    return level <= SALIENCE_LEVELS ? level : 0;
}

void salience_levels(struct salience *s, size_t i, int levels[SALIENCE_LENGTHS])
{
    int best[SALIENCE_LENGTHS] = { 0 };
    int most = WORTH_WHOLE * (WORTH_HARMONY + WORTH_RHYTHM) +
               WORTH_POSITION * position(s->mark[i]);

    /* Most notes cannot be, wherever the line goes. */
    if (most >= floors[SALIENCE_LEVELS - 1])
        find_most(s, i, best);
    for (size_t n = 0; n < SALIENCE_LENGTHS; n++)
        levels[n] = level_of(best[n]);
}
