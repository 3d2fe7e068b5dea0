/* indexer/playorder.c - repeats, endings, D.C., D.S., coda, fine.
 *
 * Common practice: a backward repeat goes back to the last forward repeat, or
 * to the start; a bracketed ending is played in the passes it names; after
 * D.C. or D.S. repeats are not taken again, the last ending is, "to coda"
 * leaps to the coda, and "fine" ends.
 */
#include <stdlib.h>
#include <string.h>

#include "indexer/score.h"

enum { PLAYS_MAX = 100000, TIMES_MAX = 100 };

/* What stands at a bar. */
struct stop {
    bool forward, backward;
    uint8_t times;     /* of the backward repeat */
    uint32_t endings;  /* passes in which this bar is played; 0 all */
    uint32_t later;    /* passes that this ending and those behind it name */
    bool last_ending;  /* the bracket of the highest pass in its group */
    unsigned int jump; /* enum raw_jump */
    uint8_t taken;     /* how often the backward repeat was taken */
};

static void read_stop(const struct raw_part *part, size_t bar,
                      struct stop *stops)
{
    struct stop *stop = &stops[bar];

    for (size_t i = 0; i < part->bars[bar].count; i++) {
        const struct raw_event *event =
            &part->events[part->bars[bar].first + i];

        if (event->kind == RAW_JUMP) {
            stop->jump |= event->jump;
        } else if (event->kind == RAW_BARLINE) {
            stop->forward |= event->barline.flags & BARLINE_REPEAT_START;
            if (event->barline.flags & BARLINE_REPEAT_END) {
                stop->backward = true;
                stop->times = (uint8_t)event->barline.times;
            }
        }
    }
}

/* A bracket holds from its start to its stop; a start without a stop ends
 * where the next bracket starts or at a backward repeat. */
static void read_endings(const struct raw_part *part, struct stop *stops)
{
    uint32_t open = 0;

    for (size_t bar = 0; bar < part->bar_count; bar++) {
        bool stopped = false;

        for (size_t i = 0; i < part->bars[bar].count; i++) {
            const struct raw_event *event =
                &part->events[part->bars[bar].first + i];

            if (event->kind != RAW_BARLINE)
                continue;
            if (event->barline.flags & BARLINE_ENDING_START)
                open = event->barline.endings;
            if (event->barline.flags & BARLINE_ENDING_STOP)
                stopped = true;
        }
        stops[bar].endings = open;
        if (stopped || stops[bar].backward)
            open = 0;
    }
}

/* A group of endings runs from one to the next as long as each follows the
 * one before; the last of them is what is played after a D.C. or D.S. */
static void mark_last_endings(struct stop *stops, size_t count)
{
    for (size_t bar = count; bar-- > 0;) {
        struct stop *stop = &stops[bar], *next = stop + 1;

        if (stop->endings == 0)
            continue;
        stop->later = stop->endings;
        if (bar + 1 == count || next->endings == 0) {
            stop->last_ending = true;
        } else {
            stop->later |= next->later;
            stop->last_ending =
                next->endings == stop->endings && next->last_ending;
        }
    }
}

struct player {
    struct stop *stops;
    size_t count;
    int32_t *plays;
    size_t play_count;
    size_t repeat_from; /* bar to go back to */
    unsigned int pass;  /* 1-based pass through the repeated passage */
    bool jumped;        /* after D.C. or D.S. */
    size_t segno, coda;
};

static void find_signs(struct player *p)
{
    p->segno = p->coda = p->count;
    for (size_t i = 0; i < p->count; i++) {
        if ((p->stops[i].jump & JUMP_SEGNO) && p->segno == p->count)
            p->segno = i;
        /* Of several coda signs the last stands at the coda itself. */
        if (p->stops[i].jump & JUMP_CODA)
            p->coda = i;
    }
}

static bool is_played(const struct player *p, size_t bar)
{
    const struct stop *stop = &p->stops[bar];

    if (stop->endings == 0)
        return true;
    if (p->jumped)
        return stop->last_ending;
    return p->pass <= 32 && (stop->endings >> (p->pass - 1) & 1);
}

/* The highest pass that an ending of the group from STOP on asks for. */
static unsigned int passes_asked(const struct stop *stop)
{
    unsigned int most = 0;

    while (most < RAW_ENDINGS_MAX && stop->later >> most)
        most++;
    return most;
}

/* Does the repeat at the end of BAR go back once more? */
static bool goes_back(struct player *p, size_t bar)
{
    struct stop *stop = &p->stops[bar];
    unsigned int times = stop->times;
    unsigned int asked = passes_asked(stop);

    if (!stop->backward || p->jumped)
        return false;
    /* The repeat after ending n is taken as long as a later pass remains. */
    if (asked > times)
        times = asked;
    return p->pass < times && stop->taken + 1u < TIMES_MAX;
}

/* The bar after BAR, or COUNT at the end. */
static size_t next_bar(struct player *p, size_t bar)
{
    struct stop *stop = &p->stops[bar];

    if (goes_back(p, bar)) {
        stop->taken++;
        p->pass++;
        return p->repeat_from;
    }
    if (stop->backward) {
        /* Through with this passage: the next one starts afresh, unless a
         * further ending of the same group follows. */
        if (bar + 1 >= p->count || p->stops[bar + 1].endings == 0) {
            p->repeat_from = bar + 1;
            p->pass = 1;
        }
    } else if (stop->endings &&
               (bar + 1 >= p->count || p->stops[bar + 1].endings == 0)) {
        p->repeat_from = bar + 1;
        p->pass = 1;
    }
    if (p->jumped && (stop->jump & JUMP_FINE))
        return p->count;
    if (p->jumped && (stop->jump & JUMP_TO_CODA) && p->coda > bar &&
        p->coda < p->count)
        return p->coda;
    if (!p->jumped && (stop->jump & (JUMP_DA_CAPO | JUMP_DAL_SEGNO))) {
        p->jumped = true;
        if ((stop->jump & JUMP_DAL_SEGNO) && p->segno < p->count)
            return p->segno;
        return 0;
    }
    return bar + 1;
}

static void play(struct player *p)
{
    size_t bar = 0, skipped = 0;

    while (bar < p->count && p->play_count < PLAYS_MAX &&
           skipped <= p->count) {
        if (p->stops[bar].forward && p->repeat_from != bar && !p->jumped) {
            p->repeat_from = bar;
            p->pass = 1;
        }
        if (!is_played(p, bar)) {
            bar++;
            skipped++;
            continue;
        }
        skipped = 0;
        p->plays[p->play_count++] = (int32_t)bar;
        bar = next_bar(p, bar);
    }
}

enum status playorder_make(struct raw_score *score,
                           const struct raw_part *part, struct fault *why)
{
    struct solo *solo = score->solo;
    struct player p = { .count = part->bar_count, .pass = 1 };
    int32_t *plays = malloc(PLAYS_MAX * sizeof *plays);

    p.stops = calloc(part->bar_count + 1, sizeof *p.stops);
    p.plays = plays;
    if (p.stops && plays) {
        for (size_t i = 0; i < p.count; i++)
            read_stop(part, i, p.stops);
        read_endings(part, p.stops);
        mark_last_endings(p.stops, p.count);
        find_signs(&p);
        play(&p);
        if (p.play_count == PLAYS_MAX)
            score_warn(score, part->id, "", "repeat",
                       "the repeats make more than %d bars; the rest is not "
                       "followed", (int)PLAYS_MAX);
        solo->plays = solo_alloc(solo, (p.play_count + 1) * sizeof *plays);
    }
    free(p.stops);
    if (solo->plays) {
        memcpy(solo->plays, plays, p.play_count * sizeof *plays);
        solo->play_count = p.play_count;
    }
    free(plays);
    return solo->plays ? ST_OK : fault_nomem(why);
}
