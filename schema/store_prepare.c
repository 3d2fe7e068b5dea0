/* schema/store_prepare.c - what an index keeps of a solo, worked out without
 * the index.
 *
 * The codes in strands are those of a library.  Whoever prepares a solo gives
 * them numbers of its own, in the order in which they are needed, and the
 * writer puts the library's in their place.
 */
#include <stdlib.h>
#include <string.h>

#include "schema/gram.h"
#include "schema/grow.h"
#include "schema/store_internal.h"

/* --- bytes and texts ------------------------------------------------------ */

static void notes_free(struct prepared_notes *notes)
{
    free(notes->letters);
    free(notes->strands[0]);
    free(notes->codes);
    free(notes->salients.items);
}

void prepared_free(struct prepared *p)
{
    free(p->bytes);
    free(p->words);
    notes_free(&p->notes);
    *p = (struct prepared){ 0 };
}

/* All words of SOLO.  A private-use character, which the tokenizer takes for
 * a word, stands between two remarks so that no phrase runs across them.  The
 * caller owns the text; NULL when memory is out. */
static char *words_of(const struct solo *solo)
{
    static const char between[] = " \xEE\x80\x80 ";
    struct gather out = { 0 };

    for (size_t i = 0; i < solo->remark_count; i++) {
        gather_put(&out, solo->remarks[i].text);
        gather_put(&out, between);
    }
    for (size_t i = 0; i < solo->bar_count; i++) {
        if (!solo->bars[i].rehearsal)
            continue;
        gather_put(&out, solo->bars[i].rehearsal);
        gather_put(&out, between);
    }
    return gather_take(&out);
}

enum status prepare_texts(struct prepared *p, const struct solo *solo,
                          struct fault *why)
{
    int fifths, mode;

    p->words = words_of(solo);
    if (!p->words)
        return fault_nomem(why);
    if (solo->has_key) {
        solo_concert_key(solo, &fifths, &mode);
        solo_key_text(p->key, fifths, mode);
    }
    return ST_OK;
}

enum status prepare_solo(struct prepared *p, const struct solo *solo,
                         struct fault *why)
{
    enum status st = solo_encode(solo, &p->bytes, &p->size, why);

    return st == ST_OK ? prepare_texts(p, solo, why) : st;
}

/* --- notes ---------------------------------------------------------------- */

/* What the codes of each strand are of; CODE_KINDS: it has none. */
static const uint8_t kinds[STRANDS] = {
    [STRAND_MIDI] = CODE_KINDS,      [STRAND_MARK] = CODE_KINDS,
    [STRAND_PLACE] = CODE_KINDS,     [STRAND_FOLLOW] = CODE_KINDS,
    [STRAND_GAP] = CODE_VALUE,       [STRAND_LENGTH] = CODE_VALUE,
    [STRAND_TONES] = CODE_TONES,     [STRAND_FUNCTION] = CODE_FUNCTION,
    [STRAND_CHORUS] = CODE_CHORUS,   [STRAND_BAR] = CODE_BAR,
    [STRAND_BEAT] = CODE_BEAT,
};

enum { HEAD = 8 }; /* bytes of a text that nearly always tell it */

/* What has the same text and kind as WANTED, or NULL. */
static const struct own_code *find_own(const struct prepared_notes *notes,
                                       const struct own_code *wanted)
{
    for (size_t i = 0; i < notes->code_count; i++) {
        const struct own_code *code = &notes->codes[i];

        if (memcmp(code->text, wanted->text, HEAD) == 0 &&
            code->kind == wanted->kind &&
            strcmp(code->text, wanted->text) == 0)
            return code;
    }
    return NULL;
}

/* The next number of KIND; STRAND_UNSAID where none is left. */
static uint8_t next_number(const struct prepared_notes *notes, uint8_t kind)
{
    int number = 1;

    for (size_t i = 0; i < notes->code_count; i++)
        number += notes->codes[i].kind == kind;
    return (uint8_t)(number < STRAND_UNSAID ? number : STRAND_UNSAID);
}

/* The number of TEXT among those of its kind in the solo; STRAND_UNSAID where
 * none is left, or no memory. */
static uint8_t own_code(void *context, enum strand_code kind, const char *text)
{
    struct prepared_notes *notes = context;
    struct own_code wanted = { .kind = (uint8_t)kind }, *more;
    const struct own_code *known;
    size_t len = strlen(text);

    if (len < sizeof wanted.text) {
        memcpy(wanted.text, text, len);
        known = find_own(notes, &wanted);
        if (known)
            return known->number;
        wanted.number = next_number(notes, wanted.kind);
    }
    more = grow_room(notes->codes, notes->code_count, &notes->code_room,
                     sizeof *more);
    if (more)
        notes->codes = more;
    if (!more || len >= sizeof wanted.text ||
        wanted.number == STRAND_UNSAID) {
        notes->uncoded = true;
        return STRAND_UNSAID;
    }
    more[notes->code_count++] = wanted;
    return wanted.number;
}

static enum status prepare_notes(struct prepared_notes *notes,
                                 const struct solo *solo, struct fault *why)
{
    size_t count = solo->note_count;

    notes->letters = malloc(count * GRAM_UNIT + 1);
    notes->strands[0] = malloc(count * STRANDS + 1);
    if (!notes->letters || !notes->strands[0])
        return fault_nomem(why);
    for (int s = 1; s < STRANDS; s++)
        notes->strands[s] = notes->strands[s - 1] + count;
    strands_write(notes->strands, solo, own_code, notes);
    gram_text(notes->letters, solo);
    return salience_find(&notes->salients, solo, notes->strands[STRAND_MARK],
                         notes->strands[STRAND_FOLLOW], 0, why);
}

enum status store_prepare(struct prepared **out, const struct solo *solo,
                          struct fault *why)
{
    struct prepared *p = calloc(1, sizeof *p);
    enum status st = p ? prepare_solo(p, solo, why) : fault_nomem(why);

    *out = NULL;
    if (st == ST_OK)
        st = prepare_notes(&p->notes, solo, why);
    if (st == ST_OK)
        *out = p;
    else
        store_prepared_free(p);
    return st;
}

void store_prepared_free(struct prepared *prepared)
{
    if (prepared)
        prepared_free(prepared);
    free(prepared);
}

/* --- in a library --------------------------------------------------------- */

/* What the codes of NOTES are in the library, which has them afterwards. */
static enum status find_codes(struct store *store,
                              const struct prepared_notes *notes,
                              uint8_t codes[CODE_KINDS][STRAND_UNSAID + 1],
                              struct fault *why)
{
    enum status st = ST_OK;

    for (int kind = 0; kind < CODE_KINDS; kind++) {
        codes[kind][0] = 0;
        codes[kind][STRAND_UNSAID] = STRAND_UNSAID;
    }
    for (size_t i = 0; i < notes->code_count && st == ST_OK; i++) {
        const struct own_code *own = &notes->codes[i];

        st = strands_code_of(store, (enum strand_code)own->kind, own->text,
                             &codes[own->kind][own->number], why);
    }
    return st;
}

static enum status place_strands(struct store *store,
                                 uint8_t *const out[STRANDS], size_t count,
                                 const struct prepared_notes *notes,
                                 struct fault *why)
{
    uint8_t codes[CODE_KINDS][STRAND_UNSAID + 1];
    enum status st = find_codes(store, notes, codes, why);

    for (int s = 0; s < STRANDS && st == ST_OK; s++) {
        if (kinds[s] == CODE_KINDS) {
            memcpy(out[s], notes->strands[s], count);
            continue;
        }
        for (size_t i = 0; i < count; i++)
            out[s][i] = codes[kinds[s]][notes->strands[s][i]];
    }
    return st;
}

/* Append the salient places of a solo. */
static enum status place_salients(const struct placing *to,
                                  const struct salients *salients,
                                  struct fault *why)
{
    struct salients *out = to->salients;
    struct salient *more = grow_to(out->items, out->count + salients->count,
                                   &out->room, sizeof *more);

    if (!more)
        return fault_nomem(why);
    out->items = more;
    for (size_t i = 0; i < salients->count; i++) {
        out->items[out->count] = salients->items[i];
        out->items[out->count++].first += to->start;
    }
    return ST_OK;
}

static enum status place_ready(struct store *store, const struct placing *to,
                               size_t count, const struct prepared_notes *notes,
                               struct fault *why)
{
    enum status st = place_strands(store, to->strands, count, notes, why);

    memcpy(to->letters, notes->letters, count * GRAM_UNIT);
    return st == ST_OK ? place_salients(to, &notes->salients, why) : st;
}

enum status prepared_place(struct store *store, const struct placing *to,
                           const struct solo *solo,
                           const struct prepared_notes *notes,
                           struct fault *why)
{
    enum status st;

    if (notes && notes->letters && !notes->uncoded)
        return place_ready(store, to, solo->note_count, notes, why);
    st = strands_code(store, to->strands, solo, why);
    gram_text(to->letters, solo);
    return st == ST_OK
               ? salience_find(to->salients, solo, to->strands[STRAND_MARK],
                               to->strands[STRAND_FOLLOW], to->start, why)
               : st;
}
