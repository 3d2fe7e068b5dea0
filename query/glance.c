/* query/glance.c - see glance.h. */
#include "query/glance.h"

#include <string.h>

#include "query/rank_parts.h"

/* --- what strands can answer ---------------------------------------------- */

static bool strands_tell(const struct find_query *query)
{
    const struct place *place = &query->place;

    /* Bars of the form and the chord after are not in the strands. */
    if (place->chorus || place->bar_low || place->section ||
        place->has_beat || query->into.count > 0 || query->variants)
        return false;
    /* Nor are the tones of a chord, by which two that are not explained are
     * told apart. */
    if (query->home.known && query->home.chord.class == CHORD_OTHER)
        return false;
    return query->fragment.over.count <= 1;
}

bool glance_prepare(struct glance_question *out,
                    const struct find_query *query)
{
    memset(out, 0, sizeof *out);
    out->query = query;
    if (!strands_tell(query))
        return false;
    find_rank_base(&out->rank, query);
    for (int mark = 0; mark < 256; mark++) {
        struct rank_position position = { 0 };
        struct rank_spot spot = {
            .strength = mark & MARK_STRENGTH,
            .opens_chorus = mark & MARK_CHORUS,
            .opens_section = mark & MARK_SECTION,
            .first_of_four = mark & MARK_FOUR,
            .starts_phrase = mark & MARK_PHRASE,
        };

        if (spot.strength <= 4)
            rank_position_value(&position, &spot);
        out->positions[mark] = position.total;
    }
    return true;
}

enum status glance_open(struct glance *out, struct store *store,
                        const struct glance_question *question, int64_t id,
                        struct fault *why)
{
    memset(out, 0, sizeof *out);
    out->store = store;
    out->question = question;
    out->id = id;
    out->why = why;
    out->status = store_codes(store, &out->codes, why);
    if (out->status == ST_OK)
        out->status = store_strand(store, id, STRAND_MIDI,
                                   &out->strands[STRAND_MIDI], &out->count,
                                   why);
    return out->status;
}

const uint8_t *glance_strand(struct glance *g, enum strand strand)
{
    size_t count = g->count;

    if (g->strands[strand] || g->status != ST_OK)
        return g->strands[strand];
    g->status = store_strand(g->store, g->id, strand, &g->strands[strand],
                             &count, g->why);
    if (g->status == ST_OK && count != g->count)
        g->status = fault_set(g->why, ST_INTERNAL, "strands of two lengths");
    return g->strands[strand];
}

/* --- the chord of a window ------------------------------------------------ */

/* Notes of a window that are heard under one chord, one after the other. */
struct run {
    size_t first, count, votes;
};

enum { RUNS_MAX = EDITS_STEPS_MAX };

/* Divide the N notes from FIRST.  Returns the number of runs. */
static size_t divide(const struct glance *g, size_t first, size_t n,
                     struct run runs[RUNS_MAX])
{
    const uint8_t *mark = g->strands[STRAND_MARK];
    size_t count = 0;

    for (size_t i = first; i < first + n; i++) {
        if (i == first || mark[i] & MARK_OTHER_CHORD)
            runs[count++] = (struct run){ .first = i };
        runs[count - 1].count++;
    }
    return count;
}

/* Let the notes vote.  False where two runs may or may not be one chord. */
static bool vote(const struct glance *g, struct run *runs, size_t count)
{
    const uint8_t *place = g->strands[STRAND_PLACE];
    const uint8_t *midi = g->strands[STRAND_MIDI];

    for (size_t i = 0; i < count; i++) {
        uint8_t here = place[runs[i].first];

        if (here == PLACE_UNSAID)
            return false;
        runs[i].votes = here == PLACE_NONE ? 0 : runs[i].count;
        for (size_t k = 0; k < i && here != PLACE_NONE; k++)
            if (strand_same_chord(here, midi[runs[i].first],
                                  place[runs[k].first], midi[runs[k].first]))
                return false;
    }
    return true;
}

/* The note whose chord wins, as solo_window_chord() has it. */
static size_t winner(const struct glance *g, const struct run *runs,
                     size_t count)
{
    const uint8_t *mark = g->strands[STRAND_MARK];
    size_t best = SIZE_MAX, best_votes = 0;
    int best_strength = -1;

    for (size_t r = 0; r < count; r++)
        for (size_t i = runs[r].first; i < runs[r].first + runs[r].count;
             i++) {
            int strength = mark[i] & MARK_STRENGTH;

            if (runs[r].votes > best_votes ||
                (runs[r].votes > 0 && runs[r].votes == best_votes &&
                 strength > best_strength)) {
                best = i;
                best_votes = runs[r].votes;
                best_strength = strength;
            }
        }
    return best;
}

bool glance_window(struct glance *g, size_t first, size_t n,
                   struct chord_event *out, bool *sounds)
{
    struct strand_chord there;
    struct run runs[RUNS_MAX];
    size_t count, at;

    *sounds = false;
    if (n > RUNS_MAX || !glance_strand(g, STRAND_MARK) ||
        !glance_strand(g, STRAND_PLACE))
        return false;
    count = divide(g, first, n, runs);
    if (!vote(g, runs, count))
        return false;
    at = winner(g, runs, count);
    if (at == SIZE_MAX)
        return true;
    strand_chord(&there, g->strands[STRAND_PLACE][at],
                 g->strands[STRAND_MIDI][at]);
    memset(out, 0, sizeof *out);
    out->chord = there.chord;
    out->function = "";
    *sounds = there.sounds;
    if (there.sounds && g->question->query->fragment.over.count > 0 &&
        g->question->query->fragment.over.chords[0].function[0]) {
        const uint8_t *function = glance_strand(g, STRAND_FUNCTION);

        if (!function || function[at] == STRAND_UNSAID)
            return false;
        if (function[at] > 0)
            out->function = g->codes->texts[CODE_FUNCTION][function[at]];
    }
    return there.said && out->function;
}

/* --- lengths --------------------------------------------------------------- */

static bool read_value(const struct glance *g, uint8_t code,
                       struct rational *out)
{
    if (code == 0 || code == STRAND_UNSAID ||
        code > g->codes->counts[CODE_VALUE])
        return false;
    *out = g->codes->values[code];
    return true;
}

/* The lengths of the notes of M as rhythm goes; false where they cannot be
 * told. */
static bool read_lengths(struct glance *g, const struct match *m,
                         struct rational lengths[RANK_NOTES_MAX])
{
    const uint8_t *gap = glance_strand(g, STRAND_GAP);
    const uint8_t *length = glance_strand(g, STRAND_LENGTH);

    if (!gap || !length)
        return false;
    for (size_t i = m->first; i < m->last; i++)
        if (!read_value(g, gap[i], &lengths[i - m->first]))
            return false;
    return read_value(g, length[m->last], &lengths[m->last - m->first]);
}

static int64_t common_multiple(int64_t a, int64_t b)
{
    int64_t x = a, y = b;

    while (y != 0) {
        int64_t rest = x % y;

        x = y;
        y = rest;
    }
    return a / x * b;
}

/* The durations of the notes of M in one unit. */
static bool read_durations(struct glance *g, const struct match *m,
                           struct rank_facts *facts)
{
    const uint8_t *length = glance_strand(g, STRAND_LENGTH);
    struct rational values[RANK_NOTES_MAX];
    int64_t unit = 1;

    if (!length)
        return false;
    for (size_t i = 0; i < facts->count; i++) {
        if (!read_value(g, length[m->first + i], &values[i]))
            return false;
        unit = common_multiple(unit, values[i].den);
        if (unit > 1 << 20)
            return false;
    }
    for (size_t i = 0; i < facts->count; i++)
        facts->notes[i].duration = values[i].num * (unit / values[i].den);
    return true;
}

/* --- does it fit ------------------------------------------------------------ */

static enum glance_answer rhythm_fits(struct glance *g, const struct match *m)
{
    struct rational lengths[RANK_NOTES_MAX];
    const struct find_query *query = g->question->query;

    if (query->rhythm == RHYTHM_ANY)
        return GLANCE_YES;
    if (!read_lengths(g, m, lengths))
        return GLANCE_UNSURE;
    return match_rhythm(query, lengths, m->last - m->first + 1) ? GLANCE_YES
                                                                : GLANCE_NO;
}

static bool starts_phrase(const uint8_t *mark, size_t i)
{
    return mark[i] & MARK_PHRASE;
}

static enum glance_answer place_fits_there(struct glance *g,
                                           const struct match *m)
{
    const struct place *place = &g->question->query->place;
    const uint8_t *mark = glance_strand(g, STRAND_MARK);
    bool fits = true;

    if (!mark)
        return GLANCE_UNSURE;
    if (place->at == PLACE_CHORUS)
        fits = mark[m->first] & MARK_CHORUS;
    else if (place->at == PLACE_SECTION)
        fits = mark[m->first] & MARK_SECTION;
    else if (place->at == PLACE_PHRASE)
        fits = starts_phrase(mark, m->first);
    else if (place->at == PLACE_PHRASE_END)
        /* Where there are phrases, the first note starts one. */
        fits = starts_phrase(mark, 0) && (m->last + 1 == g->count ||
                                          starts_phrase(mark, m->last + 1));
    for (size_t i = m->first + 1; place->within_phrase && i <= m->last; i++)
        fits = fits && !starts_phrase(mark, i);
    return fits ? GLANCE_YES : GLANCE_NO;
}

static bool asks_chord(const struct find_query *query)
{
    return query->has_relation ||
           (query->fragment.over.count > 0 && !query->reharmonized);
}

enum glance_answer glance_match(struct glance *g, struct match *m)
{
    const struct find_query *query = g->question->query;
    enum glance_answer answer = rhythm_fits(g, m);
    struct chord_event event;
    bool sounds;

    m->exactness = 0;
    if (answer == GLANCE_YES && place_is_asked(&query->place))
        answer = place_fits_there(g, m);
    if (answer != GLANCE_YES || !asks_chord(query))
        return answer;
    if (!glance_window(g, m->first, m->last - m->first + 1, &event, &sounds))
        return GLANCE_UNSURE;
    return match_chord(query, sounds ? &event : NULL, m) ? GLANCE_YES
                                                         : GLANCE_NO;
}

/* --- the score -------------------------------------------------------------- */

static int sum_up(const struct glance *g, int harmony, int position,
                  int rhythm)
{
    const struct rank_weights *weights = &g->question->rank.weights;

    return weights->harmony * harmony + weights->position * position +
           weights->rhythm * rhythm;
}

/* Read what harmony is scored by, but for the chord. */
static bool read_facts(struct glance *g, const struct match *m,
                       struct rank_facts *facts)
{
    const uint8_t *follow = glance_strand(g, STRAND_FOLLOW);
    const uint8_t *mark = glance_strand(g, STRAND_MARK);
    int motion, line;

    facts->count = m->last - m->first + 1;
    if (!follow || !mark || facts->count > RANK_NOTES_MAX)
        return false;
    for (size_t i = 0; i < facts->count; i++) {
        facts->notes[i].tone = follow[m->first + i] & 3;
        facts->notes[i].strength = mark[m->first + i] & MARK_STRENGTH;
    }
    motion = follow[m->last] >> 2 & 7;
    line = follow[m->last] >> 5;
    if (motion >= FOLLOW_MOTIONS || line >= FOLLOW_LINES)
        return false;
    facts->next = rank_next_of((enum follow_motion)motion);
    facts->line = (enum follow_line)line;
    return read_durations(g, m, facts);
}

void glance_score(struct glance *g, const struct match *m, int enough,
                  int *score, bool *exact)
{
    const struct find_query *query = g->question->query;
    const uint8_t *mark = glance_strand(g, STRAND_MARK);
    struct rational lengths[RANK_NOTES_MAX];
    struct rank_harmony harmony = { 0 };
    struct rank_rhythm rhythm = { 0 };
    struct rank_facts facts = { 0 };
    struct chord_event event;
    struct rank_question rank;
    bool sounds;
    int position;

    *exact = false;
    *score = sum_up(g, RANK_WHOLE, RANK_WHOLE, RANK_WHOLE);
    if (!mark)
        return;
    position = g->question->positions[mark[m->first]];
    *score = sum_up(g, RANK_WHOLE, position, RANK_WHOLE);
    if (*score < enough ||
        !glance_window(g, m->first, m->last - m->first + 1, &event, &sounds))
        return;
    rank = g->question->rank;
    facts.there = sounds ? &event.chord : NULL;
    find_rank_home(&rank, query, facts.there, m->shift, NULL);
    /* The tones are not known here: they may be those that are asked. */
    rank.by_class = true;
    if (!read_facts(g, m, &facts) || !read_lengths(g, m, lengths))
        return;
    rank_harmony_value(&harmony, &rank, &facts);
    rank_rhythm_value(&rhythm, &rank, lengths, facts.count);
    *score = sum_up(g, harmony.total, position, rhythm.total);
    *exact = g->question->rank.by_class ||
             harmony.why_relation != RANK_VERY_TONES;
}
