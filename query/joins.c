/* query/joins.c - see joins.h. */
#include "query/joins.h"

#include <stdlib.h>

#include "query/joins_parts.h"

enum {
    PRICE_OTHER = 1000,
    PRICE_SPAN = 4,
    PRICE_APPROACH = 6,
    PRICE_LEAN = 1, /* for a note a run leans on, or a target it owns */
    FEWEST_SCALE = 4,
    FEWEST_TONES = 3, /* of an arpeggio */
    FEWEST_CHROMATIC = 3,
    FEWEST_REPEATED = 2
};

static const struct {
    const char *word, *name;
} names[JOINS] = {
    [JOIN_ENCLOSURE] = { "enclosure", "enclosure" },
    [JOIN_APPROACH] = { "approach", "approach note" },
    [JOIN_SCALE] = { "scale", "scale run" },
    [JOIN_ARPEGGIO] = { "arpeggio", "arpeggio" },
    [JOIN_CHROMATIC] = { "chromatic", "chromatic run" },
    [JOIN_REPEAT] = { "repeat", "repeated note" },
    [JOIN_OTHER] = { "other", "other" },
};

const char *join_word(enum join what)
{
    return names[what].word;
}

const char *join_name(enum join what)
{
    return names[what].name;
}

enum status joins_new(struct joins **out, const struct solo *solo, size_t first,
                      size_t count, struct fault *why)
{
    struct joins *joins = calloc(1, sizeof *joins);

    *out = joins;
    if (!joins)
        return fault_nomem(why);
    joins->first = first;
    joins->count = count;
    joins->notes = calloc(count + 1, sizeof *joins->notes);
    joins->best = calloc(count + 1, sizeof *joins->best);
    if (!joins->notes || !joins->best) {
        joins_free(joins);
        *out = NULL;
        return fault_nomem(why);
    }
    for (size_t i = 0; i < count; i++) {
        struct join_note *note = &joins->notes[i];

        join_note_read(note, solo, &solo->notes[first + i]);
        if (i > 0)
            note->steps = join_steps(note - 1, note);
    }
    return ST_OK;
}

void joins_free(struct joins *joins)
{
    if (!joins)
        return;
    free(joins->notes);
    free(joins->best);
    free(joins);
}

/* --- choosing ------------------------------------------------------------- */

/* The stretch that is named, FIRST..END-1 of the passage, and the choice for
 * the notes from AT on, as far as it is made. */
struct search {
    struct joins *joins;
    size_t end, at;
};

/* A span from AT on: is it better than what is chosen there? */
static void offer(const struct search *s, size_t length, enum join what,
                  int64_t price, int64_t target)
{
    struct join_choice *best = &s->joins->best[s->at];

    price += best[length].price;
    if (best->length == 0 || price < best->price ||
        (price == best->price &&
         (length > best->length ||
          (length == best->length && what < best->what))))
        *best = (struct join_choice){ price, length, what, target };
}

/* May the notes FIRST..LAST of the passage belong together? */
static bool is_phrase(const struct joins *joins, size_t first, size_t last)
{
    return last < joins->count &&
           joins->notes[first].phrase == joins->notes[last].phrase;
}

/* --- runs ----------------------------------------------------------------- */

/* A run that grows note by note. */
struct run {
    enum join what;
    size_t notes, tones;
    uint64_t scales; /* that fit all notes and steps */
    int direction;
    size_t since; /* steps since the last turn */
    bool turned;
};

static struct run run_start(enum join what, const struct join_note *note)
{
    return (struct run){ .what = what,
                         .notes = 1,
                         .tones = join_is_tone(note, note->midi),
                         .scales = note->fits };
}

/* A step up or down; false where it would turn too soon again. */
static bool keep_going(struct run *run, int direction)
{
    if (run->direction != 0 && direction != run->direction) {
        if (run->what == JOIN_CHROMATIC || (run->turned && run->since < 2))
            return false;
        run->turned = true;
        run->since = 0;
    }
    run->direction = direction;
    run->since++;
    return true;
}

/* Add NOTE, which follows note[-1]; false where the run ends before it. */
static bool run_add(struct run *run, const struct join_note *note)
{
    int interval = note->midi - note[-1].midi;

    run->notes++;
    run->tones += join_is_tone(note, note->midi);
    switch (run->what) {
    case JOIN_REPEAT:
        return interval == 0;
    case JOIN_CHROMATIC:
        if (abs(interval) != 1)
            return false;
        break;
    case JOIN_ARPEGGIO:
        if (!join_is_third(&note[-1], note))
            return false;
        break;
    default:
        run->scales &= note->fits & note->steps;
        if (run->scales == 0)
            return false;
    }
    return keep_going(run, interval > 0 ? 1 : -1);
}

static bool run_is_whole(const struct run *run)
{
    switch (run->what) {
    case JOIN_REPEAT:
        return run->notes >= FEWEST_REPEATED;
    case JOIN_CHROMATIC:
        return run->notes >= FEWEST_CHROMATIC;
    case JOIN_ARPEGGIO:
        return run->tones >= FEWEST_TONES;
    default:
        return run->notes >= FEWEST_SCALE;
    }
}

/* Offer every run of WHAT that owns the note AT and begins with it, or, where
 * BEFORE is 1, with the note before. */
static void offer_runs(const struct search *s, enum join what, size_t before)
{
    const struct join_note *notes = s->joins->notes;
    size_t first = s->at - before;
    struct run run = run_start(what, &notes[first]);

    for (size_t i = first + 1; i <= s->end && is_phrase(s->joins, first, i) &&
                               i - first < JOINS_SPAN_MAX;
         i++) {
        if (!run_add(&run, &notes[i]))
            return;
        if (!run_is_whole(&run))
            continue;
        /* The last note may be its own, or only leant on. */
        if (i < s->end)
            offer(s, i + 1 - s->at, what,
                  PRICE_SPAN + PRICE_LEAN * (int64_t)before, JOINS_NO_TARGET);
        if (i > s->at)
            offer(s, i - s->at, what,
                  PRICE_SPAN + PRICE_LEAN * (int64_t)(before + 1),
                  JOINS_NO_TARGET);
    }
}

/* --- around a target ------------------------------------------------------ */

static void offer_around(const struct search *s, size_t length, enum join what,
                         int64_t price)
{
    size_t target = s->at + length;
    int64_t named = (int64_t)(s->joins->first + target);

    if (target <= s->end)
        offer(s, length, what, price, named);
    if (target < s->end)
        offer(s, length + 1, what, price + PRICE_LEAN, named);
}

static void offer_targets(const struct search *s)
{
    const struct join_note *at = &s->joins->notes[s->at];

    for (size_t length = 2; length <= 3; length++)
        if (is_phrase(s->joins, s->at, s->at + length) &&
            join_encloses(at, length))
            offer_around(s, length, JOIN_ENCLOSURE, PRICE_SPAN);
    if (is_phrase(s->joins, s->at, s->at + 1) && join_approaches(at))
        offer_around(s, 1, JOIN_APPROACH, PRICE_APPROACH);
}

/* --- all of them ---------------------------------------------------------- */

static void choose(const struct search *s)
{
    static const enum join runs[] = { JOIN_SCALE, JOIN_ARPEGGIO, JOIN_CHROMATIC,
                                      JOIN_REPEAT };

    s->joins->best[s->at].length = 0;
    for (size_t r = 0; r < sizeof runs / sizeof *runs; r++) {
        offer_runs(s, runs[r], 0);
        if (s->at > 0)
            offer_runs(s, runs[r], 1);
    }
    offer_targets(s);
    offer(s, 1, JOIN_OTHER, PRICE_OTHER, JOINS_NO_TARGET);
}

void joins_name(struct join_span *out, size_t *count, struct joins *joins,
                size_t first, size_t last)
{
    struct search s = { joins, last + 1 - joins->first, 0 };
    size_t start = first - joins->first;

    *count = 0;
    joins->best[s.end] = (struct join_choice){ 0 };
    for (s.at = s.end; s.at-- > start;)
        choose(&s);
    for (size_t i = start; i < s.end; i += joins->best[i].length) {
        const struct join_choice *choice = &joins->best[i];
        size_t end = joins->first + i + choice->length - 1;

        if (choice->what == JOIN_OTHER && *count > 0 &&
            out[*count - 1].what == JOIN_OTHER)
            out[*count - 1].last = end;
        else
            out[(*count)++] =
                (struct join_span){ joins->first + i, end, choice->what,
                                    choice->target };
    }
}
