/* schema/store_check_grams.c - does the index of runs hold every run of the
 * notes, and nothing else?  And so do the lists of salient places?
 *
 * What should be there is made of the notes, a share of the segments at a time
 * so that memory stays small.  Each posting that is there is looked up in that
 * and ticked off; what is left over at the end is missing.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "schema/store_check_parts.h"

enum {
    SHARE_NOTES = 2400000 /* at 20 bytes or so */
};

_Static_assert(GRAM_SLOTS < 15, "the tokens of a note are bits");

static void share_free(struct share *s)
{
    free(s->bases);
    free(s->text);
    free(s->expected);
    free(s->extra);
    free(s->salients.items);
    free(s->wrong);
}

/* Take as many segments from FIRST on as there is room for. */
static enum status share_start(struct share *s, struct checking *c,
                               size_t first)
{
    size_t notes = 0, end = first;

    while (end < c->segment_count && (end == first || notes < SHARE_NOTES)) {
        if (c->segments[end].sound)
            notes += (size_t)c->segments[end].notes;
        end++;
    }
    *s = (struct share){ .c = c, .first = first, .end = end };
    s->bases = calloc(end - first + 1, sizeof *s->bases);
    s->text = malloc(notes * GRAM_UNIT + 1);
    s->expected = malloc((notes + 1) * sizeof *s->expected);
    s->extra = calloc(notes + 1, 1);
    s->wrong = calloc(notes + 1, 1);
    if (!s->bases || !s->text || !s->expected || !s->extra || !s->wrong)
        return fault_nomem(c->why);
    for (size_t i = 0; i < notes; i++)
        s->expected[i] = NOT_KNOWN;
    for (size_t i = first; i < end; i++)
        s->bases[i - first + 1] =
            s->bases[i - first] +
            (c->segments[i].sound ? (size_t)c->segments[i].notes : 0);
    return ST_OK;
}

static int by_id(const void *a, const void *b)
{
    const struct checked_segment *x = a, *y = b;

    return (x->id > y->id) - (x->id < y->id);
}

const struct checked_segment *check_segment_of(const struct checking *c,
                                               int64_t id)
{
    struct checked_segment wanted = { .id = id };

    return c->segment_count > 0
               ? bsearch(&wanted, c->segments, c->segment_count, sizeof wanted,
                         by_id)
               : NULL;
}

/* Does SOLO lie in this share, and where does its segment begin? */
static bool is_in(const struct share *s, const struct checked_solo *solo,
                  size_t *base)
{
    const struct checking *c = s->c;
    const struct checked_segment *segment =
        solo->laid ? check_segment_of(c, solo->segment) : NULL;
    size_t index = segment ? (size_t)(segment - c->segments) : 0;

    if (!segment || !segment->sound || index < s->first || index >= s->end)
        return false;
    *base = s->bases[index - s->first];
    return true;
}

/* --- what should be there ----------------------------------------------- */

/* The salient places of SOLO, whose first note is the note AT of the share. */
static enum status expect_salients(struct share *s, size_t at,
                                   const struct solo *solo, struct fault *why)
{
    uint8_t *bytes = malloc(2 * solo->note_count + 1);
    enum status st;

    if (!bytes)
        return fault_nomem(why);
    strands_mark(bytes, bytes + solo->note_count, solo);
    st = salience_find(&s->salients, solo, bytes, bytes + solo->note_count,
                       (uint32_t)at, why);
    free(bytes);
    return st;
}

static enum status expect_solo(struct share *s, size_t base,
                               const struct checked_solo *at)
{
    struct checking *c = s->c;
    char *text = s->text + (base + at->start) * GRAM_UNIT;
    struct fault inner;
    struct solo *solo;
    enum status st = store_load(c->store, at->id, &solo, &inner);

    if (st == ST_OK && (int64_t)solo->note_count == at->notes)
        st = expect_salients(s, base + at->start, solo, &inner);
    if (st == ST_OK && (int64_t)solo->note_count == at->notes) {
        gram_text(text, solo);
        for (int i = 0; i < (int)at->notes; i++)
            s->expected[base + at->start + (size_t)i] =
                (uint16_t)((1 << gram_slots(text, (int)at->notes, i)) - 1);
    } else if (st != ST_OK && st != ST_NOTHING && st != ST_LIBRARY) {
        if (c->why)
            *c->why = inner;
        return st;
    }
    solo_free(solo);
    check_step(c);
    return ST_OK; /* what cannot be read was said already */
}

static enum status expect_all(struct share *s)
{
    struct checking *c = s->c;
    enum status st = ST_OK;

    for (size_t i = 0; i < c->solo_count && st == ST_OK; i++) {
        size_t base;

        if (is_in(s, &c->solos[i], &base))
            st = expect_solo(s, base, &c->solos[i]);
    }
    return st;
}

/* --- what is there ------------------------------------------------------ */

/* Tick off the posting of TOKEN at the note OFFSET of the segment ID. */
static void see_posting(struct share *s, const char *token, int len,
                        int64_t id, int64_t offset)
{
    struct checking *c = s->c;
    const struct checked_segment *segment = check_segment_of(c, id);
    size_t index = segment ? (size_t)(segment - c->segments) : 0, note;
    int slot;

    if (!segment ||
        (segment->sound && (offset < 0 || offset >= segment->notes))) {
        s->stray += s->first == 0; /* once, though there are several shares */
        return;
    }
    if (!segment->sound || index < s->first || index >= s->end)
        return;
    note = s->bases[index - s->first] + (size_t)offset;
    c->out->postings++;
    if (s->expected[note] & NOT_KNOWN)
        return;
    slot = gram_slot(s->text + s->bases[index - s->first] * GRAM_UNIT,
                     (int)segment->notes, (int)offset, token, len);
    if (slot >= 0 && s->expected[note] & 1 << slot)
        s->expected[note] &= (uint16_t) ~(1 << slot);
    else if (s->extra[note] < UINT8_MAX)
        s->extra[note]++;
}

static enum status see_all(struct share *s)
{
    struct checking *c = s->c;
    struct binder b = store_bind_asked(
        c->store, &c->asked,
        "SELECT term, doc, offset FROM temp.gram_vocab");

    while (store_row(&b)) {
        const char *token = column_text(b.stmt, 0);

        see_posting(s, token, sqlite3_column_bytes(b.stmt, 0),
                    sqlite3_column_int64(b.stmt, 1),
                    sqlite3_column_int64(b.stmt, 2));
    }
    return store_done(c->store, &b, c->why);
}

/* --- what differs ------------------------------------------------------- */

static int bits(uint16_t set)
{
    int count = 0;

    for (; set; set &= (uint16_t)(set - 1))
        count++;
    return count;
}

static enum status tell_solo(struct share *s, size_t base,
                             const struct checked_solo *solo)
{
    long missing = 0, extra = 0;
    bool wrong = false;
    char what[160];
    enum status st = ST_OK;

    for (size_t i = base + solo->start;
         i < base + solo->start + (size_t)solo->notes; i++) {
        if (!(s->expected[i] & NOT_KNOWN))
            missing += bits(s->expected[i]);
        extra += s->extra[i];
        wrong = wrong || s->wrong[i];
    }
    if (wrong)
        st = check_tell(s->c, PART_STRANDS, solo->id,
                        "what is kept of its best places is not what its "
                        "notes say");
    if (st != ST_OK || (missing == 0 && extra == 0))
        return st;
    snprintf(what, sizeof what,
             "of its runs of notes %ld are missing in the search, and %ld "
             "that it does not have are there",
             missing, extra);
    return check_tell(s->c, PART_GRAMS, solo->id, what);
}

static enum status tell_all(struct share *s)
{
    struct checking *c = s->c;
    char what[80];
    enum status st = ST_OK;

    for (size_t i = 0; i < c->solo_count && st == ST_OK; i++) {
        size_t base;

        if (is_in(s, &c->solos[i], &base))
            st = tell_solo(s, base, &c->solos[i]);
    }
    if (st != ST_OK || s->stray == 0)
        return st;
    snprintf(what, sizeof what, "the search holds %zu runs of no solo",
             s->stray);
    return check_tell(c, PART_GRAMS, 0, what);
}

/* One share, whose end is *END.  A library without segments is one, too. */
static enum status check_share(struct checking *c, size_t first, size_t *end)
{
    struct share s;
    enum status st = share_start(&s, c, first);

    *end = s.end;
    if (st == ST_OK && s.end > s.first)
        st = expect_all(&s);
    if (st == ST_OK)
        st = see_all(&s);
    if (st == ST_OK)
        st = check_survive(c, PART_STRANDS, 0, check_salients(&s));
    if (st == ST_OK)
        st = tell_all(&s);
    share_free(&s);
    return check_survive(c, PART_GRAMS, 0, st);
}

enum status check_grams(struct checking *c)
{
    size_t at = 0;
    enum status st;

    do
        st = check_share(c, at, &at);
    while (st == ST_OK && at < c->segment_count);
    return st;
}
