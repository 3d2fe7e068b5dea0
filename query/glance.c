/* query/glance.c - see glance.h. */
#include "query/glance.h"

#include <string.h>
#include <strings.h>

#include "query/rank_parts.h"
#include "schema/salience.h"

/* --- what strands can answer ---------------------------------------------- */

static bool strands_tell(const struct find_query *query)
{
    /* The chord after is not in the strands. */
    if (query->into.count > 0 || query->variants)
        return false;
    /* Nor are the tones of a chord, by which two that are not explained are
     * told apart. */
    if (query->home.known && query->home.chord.class == CHORD_OTHER)
        return false;
    return query->fragment.over.count <= 1;
}

static int sum_up(const struct glance_question *question, int harmony,
                  int position, int rhythm)
{
    const struct rank_weights *weights = &question->rank.weights;

    return weights->harmony * harmony + weights->position * position +
           weights->rhythm * rhythm;
}

static struct rank_spot spot_of(uint8_t mark)
{
    return (struct rank_spot){
        .strength = mark & MARK_STRENGTH,
        .opens_chorus = mark & MARK_CHORUS,
        .opens_section = mark & MARK_SECTION,
        .first_of_four = mark & MARK_FOUR,
        .starts_phrase = mark & MARK_PHRASE,
    };
}

static int value_spot(const struct find_query *query,
                      const struct rank_spot *spot)
{
    struct rank_position position = { 0 };

    if (spot->strength <= 4) /* there is no other */
        rank_position_value(&position, &query->place, spot);
    return position.total;
}

/* Does QUERY ask for nothing that lets a place score more than its salience
 * says? */
static bool is_usual(const struct find_query *query)
{
    const struct rank_weights usual = RANK_WEIGHTS_DEFAULT;
    const struct rank_weights *asked = &query->weights;

    return asked->harmony == usual.harmony &&
           asked->position == usual.position && asked->rhythm == usual.rhythm &&
           !query->fragment.has_rhythm &&
           query->fragment.count >= SALIENCE_LEAST &&
           query->fragment.count <= SALIENCE_MOST &&
           !place_is_asked(&query->place);
}

bool glance_prepare(struct glance_question *out,
                    const struct find_query *query)
{
    memset(out, 0, sizeof *out);
    out->query = query;
    if (!strands_tell(query))
        return false;
    find_rank_base(&out->rank, query);
    out->by_salience = is_usual(query);
    out->by_form = query->place.bar_low || query->place.section ||
                   query->place.has_beat;
    for (int mark = 0; mark < 256; mark++) {
        struct rank_spot spot = spot_of((uint8_t)mark);

        out->positions[mark] = value_spot(query, &spot);
        out->most[mark] = sum_up(
            out, RANK_WHOLE, out->by_form ? RANK_WHOLE : out->positions[mark],
            RANK_WHOLE);
    }
    return true;
}

enum status glance_open(struct glance *out, struct store *store,
                        const struct glance_question *question,
                        const struct stretch *solo, struct fault *why)
{
    memset(out, 0, sizeof *out);
    out->store = store;
    out->question = question;
    out->solo = *solo;
    out->count = solo->count;
    out->why = why;
    out->status = store_codes(store, &out->codes, why);
    return out->status;
}

enum status glance_open_at(struct glance *out, struct store *store,
                           const struct glance_question *question,
                           const struct stretch *solo, size_t first,
                           size_t count, struct fault *why)
{
    struct stretch piece = *solo;

    piece.start += (uint32_t)first;
    piece.count = (uint32_t)count;
    if (glance_open(out, store, question, &piece, why) == ST_OK)
        out->status = store_strands_at(store, &piece, out->strands, why);
    return out->status;
}

const uint8_t *glance_strand(struct glance *g, enum strand strand)
{
    if (!g->strands[strand] && g->status == ST_OK)
        g->status = store_strand_at(g->store, &g->solo, strand,
                                    &g->strands[strand], g->why);
    return g->strands[strand];
}

uint8_t glance_code(struct glance *g, enum strand strand, enum strand_code kind,
                    size_t at)
{
    const uint8_t *codes = glance_strand(g, strand);

    return codes && codes[at] <= g->codes->counts[kind] ? codes[at]
                                                        : STRAND_UNSAID;
}

/* --- lengths -------------------------------------------------------------- */

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

/* --- does it fit ---------------------------------------------------------- */

static enum glance_answer rhythm_fits_there(struct glance *g,
                                            const struct match *m)
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

static enum glance_answer yes_or_no(bool fits)
{
    return fits ? GLANCE_YES : GLANCE_NO;
}

static enum glance_answer chorus_fits(struct glance *g, int asked, size_t at)
{
    uint8_t code = glance_code(g, STRAND_CHORUS, CODE_CHORUS, at);
    const struct strand_chorus *here = &g->codes->choruses[code];

    if (code == STRAND_UNSAID || code == 0)
        return code ? GLANCE_UNSURE : GLANCE_NO;
    return yes_or_no(here->number ==
                     (asked == PLACE_LAST_CHORUS ? here->of : asked));
}

static bool in_section(const struct strand_bar *here, const char *asked)
{
    return *here->section && strcasecmp(here->section, asked) == 0;
}

static enum glance_answer bar_fits(struct glance *g, const struct place *asked,
                                   size_t at)
{
    uint8_t code = glance_code(g, STRAND_BAR, CODE_BAR, at);
    const struct strand_bar *here = &g->codes->bars[code];

    if (code == STRAND_UNSAID || code == 0)
        return code ? GLANCE_UNSURE : GLANCE_NO;
    return yes_or_no((!asked->bar_low || (here->number >= asked->bar_low &&
                                          here->number <= asked->bar_high)) &&
                     (!asked->section || in_section(here, asked->section)));
}

static enum glance_answer beat_fits(struct glance *g, struct rational asked,
                                    size_t at)
{
    uint8_t code = glance_code(g, STRAND_BEAT, CODE_BEAT, at);

    if (code == STRAND_UNSAID || code == 0)
        return GLANCE_UNSURE;
    return yes_or_no(rational_compare(g->codes->beats[code], asked) == 0);
}

static enum glance_answer form_fits_there(struct glance *g, size_t first)
{
    const struct place *place = &g->question->query->place;
    enum glance_answer answer = GLANCE_YES;

    if (place->chorus)
        answer = chorus_fits(g, place->chorus, first);
    if (answer == GLANCE_YES && (place->bar_low || place->section))
        answer = bar_fits(g, place, first);
    if (answer == GLANCE_YES && place->has_beat)
        answer = beat_fits(g, place->beat, first);
    return answer;
}

static enum glance_answer place_fits_there(struct glance *g,
                                           const struct match *m)
{
    const struct place *place = &g->question->query->place;
    enum glance_answer answer = form_fits_there(g, m->first);
    const uint8_t *mark;
    bool fits = true;

    if (answer != GLANCE_YES ||
        (place->at == PLACE_ANYWHERE && !place->within_phrase))
        return answer;
    mark = glance_strand(g, STRAND_MARK);
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
    return yes_or_no(fits);
}

static bool asks_chord(const struct find_query *query)
{
    return query->has_relation ||
           (query->fragment.over.count > 0 && !query->reharmonized);
}

enum glance_answer glance_match(struct glance *g, struct match *m)
{
    const struct find_query *query = g->question->query;
    enum glance_answer answer = rhythm_fits_there(g, m);
    struct glance_chord there;

    m->exactness = 0;
    if (answer == GLANCE_YES && place_is_asked(&query->place))
        answer = place_fits_there(g, m);
    if (answer != GLANCE_YES || !asks_chord(query))
        return answer;
    if (!glance_window(g, m->first, m->last - m->first + 1, &there))
        return GLANCE_UNSURE;
    return yes_or_no(
        match_chord(query, there.sounds ? &there.event : NULL, m));
}

/* --- the score ------------------------------------------------------------ */

/* Fill in the tones of THERE. */
static bool read_tones(struct glance *g, struct glance_chord *there)
{
    uint8_t code = glance_code(g, STRAND_TONES, CODE_TONES, there->at);

    if (code == 0 || code == STRAND_UNSAID)
        return false;
    there->event.chord.tones = g->codes->tones[code];
    return true;
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

/* The value of the position of a place that fits; -1 where the notes have to
 * be asked. */
static int position_at(struct glance *g, size_t first)
{
    const struct find_query *query = g->question->query;
    uint8_t mark = g->strands[STRAND_MARK][first], bar;
    struct rank_spot spot;

    if (!g->question->by_form)
        return g->question->positions[mark];
    spot = spot_of(mark);
    spot.in_section = spot.on_beat = true;
    if (query->place.bar_low) {
        bar = glance_code(g, STRAND_BAR, CODE_BAR, first);
        if (bar == STRAND_UNSAID || bar == 0)
            return -1;
        spot.bar = g->codes->bars[bar].number;
    }
    return value_spot(query, &spot);
}

/* Score the place M over THERE: the same as rank_score(), or with the tones
 * of the chord not looked at, not less. */
static bool score_over(struct glance *g, const struct match *m,
                       const struct glance_chord *there, int position,
                       bool tones, int *score, bool *as_asked)
{
    struct rank_question rank = g->question->rank;
    struct rational lengths[RANK_NOTES_MAX];
    struct rank_harmony harmony = { 0 };
    struct rank_rhythm rhythm = { 0 };
    struct rank_facts facts = { 0 };

    facts.there = there->sounds ? &there->event.chord : NULL;
    find_rank_home(&rank, g->question->query, facts.there, m->shift, NULL);
    rank.by_class = rank.by_class || !tones;
    if (!read_facts(g, m, &facts))
        return false;
    rank_harmony_value(&harmony, &rank, &facts);
    rhythm.total = RANK_WHOLE;
    *as_asked = harmony.why_relation == RANK_VERY_TONES;
    *score = sum_up(g->question, harmony.total, position, rhythm.total);
    if (!tones)
        return true;
    if (!read_lengths(g, m, lengths))
        return false;
    rank_rhythm_value(&rhythm, &rank, lengths, facts.count);
    *score -= rank.weights.rhythm * (RANK_WHOLE - rhythm.total);
    return true;
}

/* The greatest score over THERE, whatever follows and however it fits. */
static int score_most(const struct glance *g, const struct match *m,
                      const struct glance_chord *there, int position)
{
    struct rank_question rank = g->question->rank;
    const struct chord *chord = there->sounds ? &there->event.chord : NULL;
    struct rank_harmony harmony = { 0 };

    find_rank_home(&rank, g->question->query, chord, m->shift, NULL);
    rank.by_class = true;
    return sum_up(g->question, rank_harmony_most(&harmony, &rank, chord),
                  position, RANK_WHOLE);
}

/* What a place may score, with its chord and its position.  False: the bound is
 * below ENOUGH already, or strands cannot say more. */
static bool bound_place(struct glance *g, const struct match *m, int enough,
                        int *score, struct glance_chord *there, int *position)
{
    const uint8_t *mark = glance_strand(g, STRAND_MARK);

    *score = sum_up(g->question, RANK_WHOLE, RANK_WHOLE, RANK_WHOLE);
    if (!mark)
        return false;
    *score = g->question->most[mark[m->first]];
    if (*score < enough || (*position = position_at(g, m->first)) < 0 ||
        !glance_window(g, m->first, m->last - m->first + 1, there))
        return false;
    *score = score_most(g, m, there, *position);
    return *score >= enough;
}

int glance_most(struct glance *g, const struct match *m, int enough)
{
    struct glance_chord there;
    int score, position;

    bound_place(g, m, enough, &score, &there, &position);
    return score;
}

void glance_score(struct glance *g, const struct match *m, int enough,
                  int *score, bool *exact)
{
    struct glance_chord there;
    int position;
    bool as_asked;

    *exact = false;
    if (!bound_place(g, m, enough, score, &there, &position) ||
        !score_over(g, m, &there, position, false, score, &as_asked) ||
        *score < enough)
        return;
    if (as_asked && there.sounds && !g->question->rank.by_class &&
        !read_tones(g, &there))
        return;
    *exact = score_over(g, m, &there, position, true, score, &as_asked);
}
