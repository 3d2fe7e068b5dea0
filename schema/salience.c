/* schema/salience.c - see salience.h. */
#include "schema/salience.h"

#include "schema/follow.h"
#include "schema/grow.h"
#include "schema/strand.h"
#include "schema/worth.h"

/* A score is a sum of whole thousandths by their weights. */
_Static_assert(WORTH_HARMONY % SALIENCE_STEP == 0 &&
                   WORTH_POSITION % SALIENCE_STEP == 0 &&
                   WORTH_RHYTHM % SALIENCE_STEP == 0,
               "scores are steps apart");
_Static_assert(1000 * ((int)WORTH_WHOLE - (int)SALIENCE_FLOOR) /
                       SALIENCE_STEP <=
                   UINT16_MAX,
               "what is above the floor is two bytes");

int salience_list(int notes, int first, int second)
{
    return (notes - SALIENCE_LEAST) * SALIENCE_BEGINNINGS +
           pitch_modulo(5 * first + second, SALIENCE_BEGINNINGS);
}

uint8_t salience_chord(int class, int start)
{
    return (uint8_t)(12 * class + pitch_modulo(start, 12));
}

_Static_assert(12 * CHORD_CLASSES <= SALIENCE_NO_CHORD,
               "a class and a degree are a byte");

/* --- position ------------------------------------------------------------- */

static int position(uint8_t mark)
{
    enum worth_spot spot = worth_spot(mark & MARK_CHORUS, mark & MARK_SECTION,
                                      mark & MARK_FOUR, mark & MARK_PHRASE);

    return worth_position(worth_where[spot], worth_metre[mark & MARK_STRENGTH]);
}

/* --- a place that grows --------------------------------------------------- */

enum {
    RING = 16,
    NEXTS = 64 /* what follows a note: STRAND_FOLLOW without the tone */
};

_Static_assert((int)SALIENCE_MOST <= (int)RING, "the notes of a place fit");

/* Going through a solo. */
struct salience {
    const struct solo *solo;
    const uint8_t *mark, *follow;
    /* How even the rhythm is at the notes before READY, the last of them: the
     * time before a note with that before it, and with its duration. */
    size_t ready;
    size_t same; /* solo_same_symbol() of the note at hand */
    int before[RING], held[RING];
    /* What it is worth that this follows, and harmony then at most. */
    int follows[NEXTS], most[NEXTS];
};

static void know_nexts(struct salience *s)
{
    for (int line = 0; line < FOLLOW_LINES; line++)
        for (int motion = 0; motion < FOLLOW_MOTIONS; motion++) {
            int next = motion | line << 3;

            s->follows[next] = (worth_motion[motion] + worth_line[line]) / 2;
            s->most[next] =
                WORTH_HARMONY *
                worth_harmony(WORTH_WHOLE, s->follows[next], WORTH_WHOLE);
        }
}

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

/* By how much the place from FIRST to LAST, the newest of its notes, comes to
 * more than the floor; below 0 where it does not.  Most places do not, and of
 * most of them the cheaper parts tell. */
static int score_above(const struct salience *s, const struct growing *g,
                       int position, size_t first, size_t last)
{
    int next = s->follow[last] >> 2, most = s->most[next];
    int ratios = g->ratios + s->held[last % RING];
    int above = WORTH_POSITION * position - 1000 * SALIENCE_FLOOR;

    if (above + most + WORTH_RHYTHM * WORTH_WHOLE < 0)
        return -1;
    above += WORTH_RHYTHM * worth_ratios(ratios, (int)(last - first));
    if (above + most < 0)
        return -1;
    return above +
           WORTH_HARMONY * worth_harmony(WORTH_WHOLE, s->follows[next], fit(g));
}

uint8_t salience_tones(uint16_t tones)
{
    enum {
        PRIME = 251 /* sets of tones that differ in one or two do not meet */
    };

    return (uint8_t)(tones % PRIME);
}

/* Tell the chord under the COUNT notes of PLACE, from FIRST on, of which SAME
 * notes are heard under one symbol. */
static void set_chord(struct salient *place, const struct solo *solo,
                      size_t first, size_t count, size_t same)
{
    const struct chord *chord = follow_sounding(
        solo, solo_window_chord_after(solo, first, count, same));

    place->chord = SALIENCE_NO_CHORD;
    if (!chord || !chord->has_root)
        return;
    place->chord =
        salience_chord(chord->class, solo->notes[first].midi - chord->root_pc);
    place->tones = salience_tones(chord->tones);
}

static bool add(struct salients *out, const struct salient *place)
{
    struct salient *more =
        grow_room(out->items, out->count, &out->room, sizeof *more);

    if (!more)
        return false;
    out->items = more;
    more[out->count++] = *place;
    return true;
}

/* Those that start at the note I. */
static bool find_at(struct salience *s, size_t i, uint32_t base,
                    struct salients *out)
{
    const struct note *notes = s->solo->notes;
    struct growing g = { 0 };
    int here = position(s->mark[i]);
    bool room = true;

    for (size_t k = i; k < s->solo->note_count && k < i + SALIENCE_MOST && room;
         k++) {
        struct salient place = { .first = base + (uint32_t)i };
        int length = (int)(k - i) + 1, above;

        take_note(&g, notes[k].duration, s->mark[k], s->follow[k]);
        if (length < SALIENCE_LEAST)
            continue;
        have_rhythm(s, i + 1, k);
        g.ratios += s->before[k % RING];
        above = score_above(s, &g, here, i, k);
        if (above < 0)
            continue;
        place.above = (uint16_t)(above / SALIENCE_STEP);
        place.list =
            (uint16_t)salience_list(length, notes[i + 1].midi - notes[i].midi,
                                    notes[i + 2].midi - notes[i + 1].midi);
        set_chord(&place, s->solo, i, (size_t)length, s->same);
        room = add(out, &place);
    }
    return room;
}

enum status salience_find(struct salients *out, const struct solo *solo,
                          const uint8_t *mark, const uint8_t *follow,
                          uint32_t base, struct fault *why)
{
    struct salience s = { .solo = solo, .mark = mark, .follow = follow };

    know_nexts(&s);
    for (size_t i = 0; i < solo->note_count; i++) {
        int most = WORTH_WHOLE * (WORTH_HARMONY + WORTH_RHYTHM) +
                   WORTH_POSITION * position(mark[i]);

        s.same = s.same > 1 ? s.same - 1 : solo_same_symbol(solo, i);
        /* Most notes cannot be, wherever the line goes. */
        if (most / 1000 >= SALIENCE_FLOOR && !find_at(&s, i, base, out))
            return fault_nomem(why);
    }
    return ST_OK;
}
