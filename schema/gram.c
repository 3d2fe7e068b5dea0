/* schema/gram.c - grams, their FTS5 tokenizer and position function.
 *
 * A token is, of a salient note, the letter of its level, a digit (how many
 * intervals), a letter an interval, and where it has a place one for the chord
 * class and one for the degree.  Letters are printable ASCII without the blank
 * and the double quote, so that tokens stand inside a quoted FTS5 phrase as
 * they are.
 *
 * The text given to the tokenizer is one unit a note: the letter of the
 * interval to the next note, for each length of gram that has a place its two
 * letters, and that of its level.  NO_LETTER stands where there is none.
 */
#include "schema/gram.h"

#include <sqlite3.h>
#include <stdlib.h>
#include <string.h>

#include "schema/salience.h"
#include "schema/strand.h"

enum {
    NO_LETTER = '!',
    INTERVAL_LOWEST = '#', /* the letter of everything below the range */
    PLACE_LETTER = 'a', /* class 0, degree 0 */
    PLACE_LETTERS = GRAM_PLACE_SIZE - 1,
    LEVEL_LETTER = 'A', /* level 1 */
    LEVEL_AT = GRAM_UNIT - 1
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

char *gram_place_class(char out[GRAM_PLACE_SIZE], int class, int start)
{
    out[0] = place_letter(class);
    out[1] = place_letter(pitch_modulo(start, 12));
    out[2] = '\0';
    return out;
}

static char level_letter(int level)
{
    return (char)(LEVEL_LETTER + level - 1);
}

void gram_token(char out[GRAM_TOKEN_SIZE], int level, const int *intervals,
                size_t n, const char *place)
{
    if (n > GRAM_MAX)
        n = GRAM_MAX;
    if (level > 0)
        *out++ = level_letter(level);
    *out++ = (char)('0' + n);
    for (size_t i = 0; i < n; i++)
        *out++ = interval_letter(intervals[i]);
    strcpy(out, place);
}

/* --- texts ---------------------------------------------------------- */

/* The letters of the place of the window of N + 1 notes from FIRST. */
static void write_place(char *out, const struct solo *solo, size_t first,
                        size_t n)
{
    int32_t index = first + n < solo->note_count
                        ? solo_window_chord(solo, first, n + 1)
                        : SOLO_NO_CHORD;
    const struct chord *chord;

    memset(out, NO_LETTER, PLACE_LETTERS);
    if (index == SOLO_NO_CHORD)
        return;
    chord = &solo->chords[index].chord;
    if (chord->class == CHORD_NONE || !chord->has_root)
        return;
    out[0] = place_letter(chord->class);
    out[1] = place_letter(
        pitch_modulo(solo->notes[first].midi - chord->root_pc, 12));
}

void gram_text(char *out, const struct solo *solo, const uint8_t *mark,
               const uint8_t *follow)
{
    struct salience salience;

    salience_start(&salience, solo, mark, follow);
    for (size_t i = 0; i < solo->note_count; i++) {
        const struct note *note = &solo->notes[i];
        int level = salience_level(&salience, i);

        *out++ = i + 1 < solo->note_count
                     ? interval_letter(note[1].midi - note->midi)
                     : NO_LETTER;
        for (size_t n = GRAM_MIN; n <= GRAM_MAX; n++) {
            write_place(out, solo, i, n);
            out += PLACE_LETTERS;
        }
        *out++ = level > 0 ? level_letter(level) : NO_LETTER;
    }
}

enum status gram_text_of(char *out, const struct solo *solo, struct fault *why)
{
    uint8_t *bytes = malloc(2 * solo->note_count + 1);

    if (!bytes)
        return fault_nomem(why);
    strands_mark(bytes, bytes + solo->note_count, solo);
    gram_text(out, solo, bytes, bytes + solo->note_count);
    free(bytes);
    return ST_OK;
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

/* The level a letter stands for; 0 for none. */
static int level_of(char letter)
{
    int level = letter - LEVEL_LETTER + 1;

    return level >= 1 && level <= SALIENCE_LEVELS ? level : 0;
}

/* The same token wherever it stands, and where LISTED after the letter before
 * it at notes of its level.  TOKEN has room for that letter. */
static int give_both(struct reading *r, int i, char *token, int len,
                     bool listed)
{
    int rc = give(r, i, token, len);

    return rc == SQLITE_OK && listed ? give(r, i, token - 1, len + 1) : rc;
}

/* Hand out the grams that start at unit I.  One token must advance the
 * position even where there is no gram: positions are notes. */
static int read_unit(struct reading *r, int i)
{
    const char *unit = r->text + i * GRAM_UNIT;
    const char *place = unit + 1;
    char room[GRAM_TOKEN_SIZE], *token = room + 1;
    int rc = SQLITE_OK, level = level_of(unit[LEVEL_AT]);
    bool full = level >= 1 && level <= SALIENCE_FULL;

    r->flags = 0;
    room[0] = unit[LEVEL_AT];
    for (int n = 1; n <= GRAM_MAX && i + n <= r->units; n++) {
        char letter = unit[(n - 1) * GRAM_UNIT];

        if (!is_letter(letter))
            break;
        token[0] = (char)('0' + n);
        token[n] = letter;
        if (n < GRAM_MIN)
            continue;
        rc =
            give_both(r, i, token, n + 1, full || (level > 0 && n == GRAM_MAX));
        if (rc == SQLITE_OK && is_letter(place[0]) && is_letter(place[1])) {
            memcpy(token + n + 1, place, PLACE_LETTERS);
            rc = give_both(r, i, token, n + 1 + PLACE_LETTERS, full);
        }
        if (rc != SQLITE_OK)
            return rc;
        place += PLACE_LETTERS;
    }
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

static bool positions_add(struct positions *p, uint32_t position)
{
    if (p->count && p->items[p->count - 1] == position)
        return true;
    if (p->count == p->room) {
        size_t room = p->room ? 2 * p->room : 16;
        uint32_t *items =
            sqlite3_realloc64(p->items, room * sizeof *items);

        if (!items)
            return false;
        p->items = items;
        p->room = room;
    }
    p->items[p->count++] = position;
    return true;
}

/* FTS5 gives the positions of a phrase ascending. */
static int positions_collect(struct positions *p,
                             const Fts5ExtensionApi *api, Fts5Context *fts)
{
    Fts5PhraseIter iter;
    int column = -1, offset;
    int rc = SQLITE_OK;

    if (api->xPhraseCount(fts) > 0)
        rc = api->xPhraseFirst(fts, 0, &iter, &column, &offset);
    while (rc == SQLITE_OK && column >= 0) {
        if (!positions_add(p, (uint32_t)offset))
            rc = SQLITE_NOMEM;
        api->xPhraseNext(fts, &iter, &column, &offset);
    }
    return rc;
}

static void positions_function(const Fts5ExtensionApi *api, Fts5Context *fts,
                               sqlite3_context *context, int count,
                               sqlite3_value **values)
{
    struct positions p = { NULL, 0, 0 };
    int rc = positions_collect(&p, api, fts);

    (void)count;
    (void)values;
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
