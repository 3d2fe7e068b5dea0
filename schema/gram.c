/* schema/gram.c - grams, their FTS5 tokenizer and position function.
 *
 * A token of intervals is a digit, how many, and a letter an interval.  A token
 * of a place is a digit, which says of how many intervals or that it is of any
 * number, the letter of the first interval, one for where the second goes, one
 * for the chord class and one for the degree.  Letters are
 * printable ASCII without the blank and the double quote, so that tokens stand
 * inside a quoted FTS5 phrase as they are.
 *
 * The text given to the tokenizer is one unit a note: the letter of the
 * interval to the next note, and for each length of gram that has a place its
 * two letters.  NO_LETTER stands where there is none.
 */
#include "schema/gram.h"

#include <limits.h>
#include <sqlite3.h>
#include <string.h>

#include "schema/follow.h"

enum {
    NO_LETTER = '!',
    INTERVAL_LOWEST = '#', /* the letter of everything below the range */
    PLACE_LETTER = 'a', /* class 0, degree 0 */
    PLACE_LETTERS = 2,
    PLACES = GRAM_MAX - GRAM_MIN + 1, /* of a note */
    PLACE_DIGIT = '5' - GRAM_MIN, /* '5' for GRAM_MIN intervals, and so on */
    ANY_PLACE = PLACE_DIGIT + GRAM_MAX + 1,
    AFTER_MAX = 1000 /* more than any question has */
};

/* --- tokens --------------------------------------------------------- */

static char interval_letter(int interval)
{
    const int limit = GRAM_INTERVAL_MAX + 1;

    if (interval < -limit)
        interval = -limit;
    if (interval > limit)
        interval = limit;
    return (char)(INTERVAL_LOWEST + limit + interval);
}

static char place_letter(int value)
{
    return (char)(PLACE_LETTER + value);
}

/* Returns the end. */
static char *write_place_letters(char *out, const struct gram_place *place)
{
    *out++ = place_letter(place->class);
    *out++ = place_letter(pitch_modulo(place->start, 12));
    return out;
}

static void write_intervals(struct gram *out, const int *intervals, size_t n)
{
    char *at = out->token;

    *at++ = (char)('0' + n);
    for (size_t i = 0; i < n; i++)
        *at++ = interval_letter(intervals[i]);
    *at = '\0';
    out->instead = false;
}

/* Where an interval goes, by its letter. */
static char direction_letter(char letter)
{
    const char repeated = interval_letter(0);

    return letter > repeated ? 'u' : letter < repeated ? 'd' : 's';
}

static void write_place_gram(struct gram *out, int digit, const int *intervals,
                             const struct gram_place *place)
{
    out->token[0] = (char)digit;
    out->token[1] = interval_letter(intervals[0]);
    out->token[2] = direction_letter(interval_letter(intervals[1]));
    *write_place_letters(out->token + 3, place) = '\0';
    out->after = 0;
    out->instead = digit == ANY_PLACE;
}

size_t gram_question(struct gram out[GRAM_QUESTION_MAX], const int *intervals,
                     size_t n, const struct gram_place *place)
{
    size_t size = n < GRAM_MAX ? n : GRAM_MAX, count = 0;

    for (size_t at = 0; at < n && count < GRAM_QUESTION_MAX; at += size) {
        /* The last ones overlap. */
        size_t after = at + size > n ? n - size : at;

        write_intervals(&out[count], intervals + after, size);
        out[count++].after = (uint32_t)after;
    }
    if (place && count + 2 <= GRAM_QUESTION_MAX) {
        write_place_gram(&out[count++], PLACE_DIGIT + (int)n, intervals, place);
        write_place_gram(&out[count++], ANY_PLACE, intervals, place);
    }
    return count;
}

/* --- texts ---------------------------------------------------------- */

/* The letters of the place of the window of N + 1 notes from FIRST, of which
 * SAME notes are heard under one symbol. */
static void write_place(char *out, const struct solo *solo, size_t first,
                        size_t n, size_t same)
{
    int32_t index = first + n < solo->note_count
                        ? solo_window_chord_after(solo, first, n + 1, same)
                        : SOLO_NO_CHORD;
    const struct chord *chord = follow_sounding(solo, index);

    memset(out, NO_LETTER, PLACE_LETTERS);
    if (!chord || !chord->has_root)
        return;
    write_place_letters(
        out, &(struct gram_place){ chord->class,
                                   solo->notes[first].midi - chord->root_pc });
}

void gram_text(char *out, const struct solo *solo)
{
    size_t same = 0;

    for (size_t i = 0; i < solo->note_count; i++) {
        const struct note *note = &solo->notes[i];

        same = same > 1 ? same - 1 : solo_same_symbol(solo, i);
        *out++ = i + 1 < solo->note_count
                     ? interval_letter(note[1].midi - note->midi)
                     : NO_LETTER;
        for (size_t n = GRAM_MIN; n <= GRAM_MAX; n++) {
            write_place(out, solo, i, n, same);
            out += PLACE_LETTERS;
        }
    }
}

/* --- the tokenizer -------------------------------------------------- */

typedef int (*token_sink)(void *context, int flags, const char *token,
                          int len, int start, int end);

/* A text being cut into tokens. */
struct reading {
    const char *text;
    int units;
    void *context;
    token_sink sink;
    int flags; /* of the next token */
};

/* Is C a letter of a token?  FTS5 cannot index a token with a zero byte, so
 * nothing but the printable letters is let through. */
static bool is_letter(char c)
{
    return c > NO_LETTER && c < 0x7f;
}

static int give(struct reading *r, int i, const char *token, int len)
{
    int start = i * GRAM_UNIT;
    int rc = r->sink(r->context, r->flags, token, len, start,
                     start + GRAM_UNIT);

    r->flags = FTS5_TOKEN_COLOCATED;
    return rc;
}

/* Hand out the places of the windows of up to N intervals at unit I, which
 * begin as TOKEN does. */
static int give_places(struct reading *r, int i, const char *token, int n)
{
    const char *place = r->text + i * GRAM_UNIT + 1;
    char out[] = { ANY_PLACE, token[1], direction_letter(token[2]), 0, 0 };
    bool any = n == GRAM_MAX;
    int rc = SQLITE_OK;

    for (int k = 1; k < PLACES; k++)
        any = any && memcmp(place, place + k * PLACE_LETTERS,
                            PLACE_LETTERS) == 0;
    for (int k = GRAM_MIN; k <= n && rc == SQLITE_OK; k++) {
        if (!any)
            out[0] = (char)(PLACE_DIGIT + k);
        memcpy(out + 3, place, PLACE_LETTERS);
        if (is_letter(place[0]) && is_letter(place[1]))
            rc = give(r, i, out, sizeof out);
        place += PLACE_LETTERS;
        if (any)
            break;
    }
    return rc;
}

/* Hand out the grams that start at unit I.  One token must advance the
 * position even where there is no gram: positions are notes. */
static int read_unit(struct reading *r, int i)
{
    char token[GRAM_TOKEN_SIZE];
    int rc = SQLITE_OK, n = 0;

    r->flags = 0;
    while (rc == SQLITE_OK && n < GRAM_MAX && i + n < r->units) {
        char letter = r->text[(i + n) * GRAM_UNIT];

        if (!is_letter(letter))
            break;
        token[++n] = letter;
        token[0] = (char)('0' + n);
        if (n >= GRAM_MIN)
            rc = give(r, i, token, 1 + n);
    }
    if (rc == SQLITE_OK && n >= GRAM_MIN)
        rc = give_places(r, i, token, n);
    return r->flags ? rc : give(r, i, "0", 1);
}

/* A text that gram_text() did not make gives tokens without meaning, or
 * none; it is read safely all the same. */
static int read_document(void *context, const char *text, int len,
                         token_sink sink)
{
    struct reading r = { text, len / GRAM_UNIT, context, sink, 0 };
    int rc = SQLITE_OK;

    for (int i = 0; rc == SQLITE_OK && i < r.units; i++)
        rc = read_unit(&r, i);
    return rc;
}

/* A token that is looked for among those of one note. */
struct sought {
    const char *token;
    int len, count, slot;
};

static int see_token(void *context, int flags, const char *token, int len,
                     int start, int end)
{
    struct sought *s = context;

    (void)flags, (void)start, (void)end;
    if (s->token && len == s->len && memcmp(token, s->token, (size_t)len) == 0)
        s->slot = s->count;
    s->count++;
    return SQLITE_OK;
}

static struct sought see_note(const char *text, int units, int note,
                              const char *token, int len)
{
    struct sought s = { token, len, 0, -1 };
    struct reading r = { text, units, &s, see_token, 0 };

    read_unit(&r, note);
    return s;
}

int gram_slots(const char *text, int units, int note)
{
    return see_note(text, units, note, NULL, 0).count;
}

int gram_slot(const char *text, int units, int note, const char *token,
              int len)
{
    return see_note(text, units, note, token, len).slot;
}

/* A question: tokens separated by blanks, taken as they are. */
static int read_question(void *context, const char *text, int len,
                         token_sink sink)
{
    int rc = SQLITE_OK;

    for (int end, at = 0; rc == SQLITE_OK && at < len; at = end) {
        while (at < len && text[at] == ' ')
            at++;
        for (end = at; end < len && text[end] != ' ';)
            end++;
        if (end > at)
            rc = sink(context, 0, text + at, end - at, at, end);
    }
    return rc;
}

static int tokenizer_create(void *context, const char **words, int count,
                            Fts5Tokenizer **out)
{
    /* The tokenizer has no state; FTS5 only hands the pointer back. */
    static char no_state;

    (void)context;
    (void)words;
    (void)count;
    *out = (Fts5Tokenizer *)&no_state;
    return SQLITE_OK;
}

static void tokenizer_delete(Fts5Tokenizer *tokenizer)
{
    (void)tokenizer;
}

static int tokenizer_run(Fts5Tokenizer *tokenizer, void *context, int flags,
                         const char *text, int len, token_sink sink)
{
    (void)tokenizer;
    if (!text)
        return SQLITE_OK;
    if (flags & FTS5_TOKENIZE_QUERY)
        return read_question(context, text, len, sink);
    return read_document(context, text, len, sink);
}

/* --- gram_positions() ----------------------------------------------- */

struct positions {
    uint32_t *items;
    size_t count, room;
};

static bool positions_grow(struct positions *p)
{
    size_t room = p->room ? 2 * p->room : 64;
    uint32_t *items = sqlite3_realloc64(p->items, room * sizeof *items);

    if (!items)
        return false;
    p->items = items;
    p->room = room;
    return true;
}

/* POSITION is behind all that are there. */
static inline bool positions_add(struct positions *p, uint32_t position)
{
    if (p->count == p->room && !positions_grow(p))
        return false;
    p->items[p->count++] = position;
    return true;
}

/* Going through the positions of a phrase, which FTS5 gives ascending; it
 * counts each from the one before. */
struct walk {
    Fts5PhraseIter iter;
    int column; /* below 0: there are no more */
    int offset;
    int after;
    bool instead; /* of the one before */
};

static int walk_start(struct walk *w, int phrase, uint32_t after,
                      const Fts5ExtensionApi *api, Fts5Context *fts)
{
    *w = (struct walk){ .column = -1,
                        .after = (int)(after & ~GRAM_INSTEAD),
                        .instead = after & GRAM_INSTEAD };
    return api->xPhraseFirst(fts, phrase, &w->iter, &w->column, &w->offset);
}

/* Go on to PLACE, or behind it where the phrase is not there. */
static bool walk_to(struct walk *w, int place, const Fts5ExtensionApi *api,
                    Fts5Context *fts)
{
    while (w->column >= 0 && w->offset - w->after < place)
        api->xPhraseNext(fts, &w->iter, &w->column, &w->offset);
    return w->column >= 0;
}

/* Collect where a phrase stands by itself. */
static int walk_alone(struct walk *w, struct positions *p,
                      const Fts5ExtensionApi *api, Fts5Context *fts)
{
    int before = -1;

    while (w->column >= 0) {
        int place = w->offset - w->after;

        if (place > before) {
            if (!positions_add(p, (uint32_t)place))
                return SQLITE_NOMEM;
            before = place;
        }
        api->xPhraseNext(fts, &w->iter, &w->column, &w->offset);
    }
    return SQLITE_OK;
}

/* Have the phrase FIRST, and those that will do instead, go on to PLACE or
 * behind it; *PLACE is where the first of them stands.  *NEXT is the phrase
 * behind them. */
static bool walk_any_to(struct walk *walks, int count, int first, int *place,
                        int *next, const Fts5ExtensionApi *api,
                        Fts5Context *fts)
{
    int least = INT_MAX, i = first;

    do {
        struct walk *w = &walks[i];

        if (walk_to(w, *place, api, fts) && w->offset - w->after < least)
            least = w->offset - w->after;
    } while (++i < count && walks[i].instead);
    *next = i < count ? i : 0;
    *place = least;
    return least < INT_MAX;
}

/* Collect where all of the phrases stand, which are as many as can be told
 * APART. */
static int walk_together(struct walk *walks, int count, int apart,
                         struct positions *p, const Fts5ExtensionApi *api,
                         Fts5Context *fts)
{
    int place = 0, there = 0, agree = 0;

    for (int i = 0; walk_any_to(walks, count, i, &there, &i, api, fts);) {
        agree = there == place ? agree + 1 : 1;
        place = there;
        if (agree < apart)
            continue;
        if (!positions_add(p, (uint32_t)place))
            return SQLITE_NOMEM;
        there = ++place;
        agree = 0;
    }
    return SQLITE_OK;
}

/* The number INDEX of a blob, 0 where it has none. */
static uint32_t number_of(sqlite3_value *blob, int index)
{
    const unsigned char *bytes = sqlite3_value_blob(blob);
    uint32_t number = 0;

    if (sqlite3_value_bytes(blob) / (int)sizeof number > index)
        memcpy(&number, bytes + (size_t)index * sizeof number, sizeof number);
    return (number & ~GRAM_INSTEAD) < AFTER_MAX ? number : AFTER_MAX;
}

static int positions_collect(struct positions *p, sqlite3_value *after,
                             const Fts5ExtensionApi *api, Fts5Context *fts)
{
    int count = api->xPhraseCount(fts), apart = 0, rc = SQLITE_OK;
    struct walk *walks;

    if (count < 1)
        return SQLITE_OK;
    walks = sqlite3_malloc64((size_t)count * sizeof *walks);
    if (!walks)
        return SQLITE_NOMEM;
    for (int i = 0; rc == SQLITE_OK && i < count; i++) {
        rc = walk_start(&walks[i], i, number_of(after, i), api, fts);
        apart += i == 0 || !walks[i].instead;
    }
    if (rc == SQLITE_OK)
        rc = count == 1 ? walk_alone(walks, p, api, fts)
                        : walk_together(walks, count, apart, p, api, fts);
    sqlite3_free(walks);
    return rc;
}

static void positions_function(const Fts5ExtensionApi *api, Fts5Context *fts,
                               sqlite3_context *context, int count,
                               sqlite3_value **values)
{
    struct positions p = { NULL, 0, 0 };
    int rc =
        count == 1 ? positions_collect(&p, values[0], api, fts) : SQLITE_MISUSE;

    if (rc == SQLITE_OK && p.count > 0) {
        sqlite3_result_blob64(context, p.items, p.count * sizeof *p.items,
                              sqlite3_free);
        return;
    }
    sqlite3_free(p.items);
    if (rc == SQLITE_OK)
        sqlite3_result_zeroblob(context, 0);
    else
        sqlite3_result_error_code(context, rc);
}

/* --- registration --------------------------------------------------- */

/* FTS5's own functions, by the way its manual gives; NULL where this SQLite
 * was built without FTS5. */
static fts5_api *fts5_of(sqlite3 *db)
{
    fts5_api *api = NULL;
    sqlite3_stmt *stmt = NULL;

    if (sqlite3_prepare_v2(db, "SELECT fts5(?1)", -1, &stmt, NULL) ==
        SQLITE_OK) {
        sqlite3_bind_pointer(stmt, 1, &api, "fts5_api_ptr", NULL);
        sqlite3_step(stmt);
    }
    sqlite3_finalize(stmt);
    return api;
}

enum status gram_register(struct sqlite3 *db, struct fault *why)
{
    fts5_tokenizer tokenizer = { tokenizer_create, tokenizer_delete,
                                 tokenizer_run };
    fts5_api *api = fts5_of(db);
    int rc;

    if (!api && sqlite3_errcode(db) == SQLITE_NOMEM)
        return fault_nomem(why);
    if (!api)
        return fault_set(why, ST_INTERNAL,
                         "this SQLite has no full-text search (FTS5)");
    rc = api->xCreateTokenizer(api, "gram", NULL, &tokenizer, NULL);
    if (rc == SQLITE_OK)
        rc = api->xCreateFunction(api, "gram_positions", NULL,
                                  positions_function, NULL);
    return rc == SQLITE_OK ? ST_OK : fault_nomem(why);
}
