/* gram.c - any bytes where the full-text index keeps intervals, and any tokens
 * asked of it.  The first byte says how long the list of tokens is, the text
 * follows.  A plain scan must give the positions that gram_positions() gives
 * for these tokens, each a note after the one before, or with a slash before it
 * instead of that. */
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "schema/gram.h"
#include "tests/fuzz/fuzz.h"

static sqlite3 *db;
static sqlite3_stmt *put, *ask, *drop;

static sqlite3_stmt *prepared(const char *sql)
{
    sqlite3_stmt *stmt = NULL;

    fuzz_holds(sqlite3_prepare_v2(db, sql, -1, &stmt, NULL) == SQLITE_OK,
               "SQLite understands");
    return stmt;
}

static void close_all(void)
{
    sqlite3_finalize(put);
    sqlite3_finalize(ask);
    sqlite3_finalize(drop);
    sqlite3_close(db);
}

static void open_once(void)
{
    struct fault why = { 0 };

    if (db)
        return;
    fuzz_holds(sqlite3_open(":memory:", &db) == SQLITE_OK, "SQLite opens");
    atexit(close_all);
    fuzz_holds(gram_register(db, &why) == ST_OK, "there is FTS5");
    /* As in schema.sql. */
    fuzz_holds(sqlite3_exec(db,
                            "CREATE VIRTUAL TABLE gram USING fts5 (notes,"
                            " content = '', columnsize = 0, detail = full,"
                            " tokenize = 'gram')",
                            NULL, NULL, NULL) == SQLITE_OK,
               "the table is made");
    put = prepared("INSERT INTO gram (rowid, notes) VALUES (1, ?1)");
    ask = prepared(
        "SELECT gram_positions(gram, ?2) FROM gram WHERE gram MATCH ?1");
    drop = prepared(
        "INSERT INTO gram (gram, rowid, notes)"
        " VALUES ('delete', 1, ?1)");
}

static void run(sqlite3_stmt *stmt, const char *text, size_t size)
{
    sqlite3_bind_text(stmt, 1, text, (int)size, SQLITE_STATIC);
    fuzz_holds(sqlite3_step(stmt) == SQLITE_DONE, "the row is written");
    sqlite3_reset(stmt);
}

/* --- the scan ------------------------------------------------------------- */

static bool is_letter(char c)
{
    return c > '!' && c < 0x7f;
}

/* Do N intervals stand at UNIT, with letters each? */
static bool has_gram(const char *text, size_t units, size_t unit, size_t n)
{
    if (unit + n > units)
        return false;
    for (size_t i = 0; i < n; i++)
        if (!is_letter(text[(unit + i) * GRAM_UNIT]))
            return false;
    return true;
}

/* Is PLACE that of the window of N intervals at UNIT? */
static bool has_place(const char *text, size_t unit, size_t n,
                      const char *place)
{
    const char *there = text + unit * GRAM_UNIT + 1 + 2 * (n - GRAM_MIN);

    return is_letter(there[0]) && is_letter(there[1]) &&
           memcmp(place, there, 2) == 0;
}

/* Do the N intervals of TOKEN stand at UNIT? */
static bool has_intervals(const char *text, size_t units, size_t unit,
                          const char *token, size_t n)
{
    if (!has_gram(text, units, unit, n))
        return false;
    for (size_t i = 0; i < n; i++)
        if (token[1 + i] != text[(unit + i) * GRAM_UNIT])
            return false;
    return true;
}

/* Does the interval of LETTER go up, down or stay, as WHERE says? */
static bool goes(char letter, char where)
{
    const char repeated = '#' + GRAM_INTERVAL_MAX + 1;

    return where == (letter > repeated ? 'u' : letter < repeated ? 'd' : 's');
}

/* Do the intervals at UNIT begin as a place TOKEN says? */
static bool begins_so(const char *text, size_t unit, const char *token)
{
    return token[1] == text[unit * GRAM_UNIT] &&
           goes(text[(unit + 1) * GRAM_UNIT], token[2]);
}

/* Do the windows of all lengths at UNIT have the same place, or none? */
static bool has_one_place(const char *text, size_t units, size_t unit)
{
    const char *there = text + unit * GRAM_UNIT + 1;

    return has_gram(text, units, unit, GRAM_MAX) &&
           memcmp(there, there + 2, 2) == 0 && memcmp(there, there + 4, 2) == 0;
}

static bool stands_at(const char *text, size_t units, size_t unit,
                      const char *token, size_t length)
{
    size_t n = (size_t)(token[0] - '0');

    if (unit >= units)
        return false;
    if (n == 0)
        return length == 1 && !has_gram(text, units, unit, GRAM_MIN);
    if (n >= 5 && n <= 7) /* a place, of two to four intervals */
        return length == 5 && has_gram(text, units, unit, n - 3) &&
               !has_one_place(text, units, unit) &&
               begins_so(text, unit, token) &&
               has_place(text, unit, n - 3, token + 3);
    if (n == 8) /* of all of them */
        return length == 5 && has_one_place(text, units, unit) &&
               begins_so(text, unit, token) &&
               has_place(text, unit, GRAM_MIN, token + 3);
    return n >= 2 && n <= 4 && length == 1 + n &&
           has_intervals(text, units, unit, token, n);
}

/* The next token of PHRASE, *LENGTH bytes, 0 where there is none. */
static const char *next_token(const char *phrase, size_t *length, bool *instead)
{
    phrase += strspn(phrase, " ");
    *instead = phrase[0] == '/' && phrase[1] && phrase[1] != ' ';
    phrase += *instead;
    *length = strcspn(phrase, " ");
    return phrase;
}

static bool phrase_at(const char *text, size_t units, size_t unit,
                      const char *phrase)
{
    bool any = false, there = true, instead;
    size_t length;

    for (;;) {
        phrase = next_token(phrase, &length, &instead);
        if (length == 0)
            return any && there;
        if (!instead || !any) {
            if (!there)
                return false;
            unit += any;
            there = false;
        }
        there = there || stands_at(text, units, unit, phrase, length);
        phrase += length;
        any = true;
    }
}

/* --- the question --------------------------------------------------------- */

/* A question being written: phrases, each so many notes after the first. */
struct question {
    char *text;
    uint32_t *after;
    size_t count;
};

static void free_question(struct question *q)
{
    free(q->text);
    free(q->after);
}

/* Each token of PHRASE in quotes, as FTS5 wants them; alternatives bind
 * closer than what must stand together only in brackets. */
static struct question make_question(const char *phrase)
{
    size_t size = strlen(phrase) + 1, length;
    struct question q = { malloc(size * sizeof " AND (\"\")"),
                          malloc(size * sizeof *q.after), 0 };
    uint32_t after = 0;
    char *at = q.text;
    bool instead;

    fuzz_holds(q.text && q.after, "there is memory");
    for (;; phrase += length) {
        phrase = next_token(phrase, &length, &instead);
        if (length == 0)
            break;
        instead = instead && q.count > 0;
        after += q.count > 0 && !instead;
        at += sprintf(at, "%s\"", q.count == 0 ? "("
                                  : instead    ? " OR "
                                               : ") AND (");
        for (size_t i = 0; i < length; *at++ = phrase[i++])
            if (phrase[i] == '"')
                *at++ = '"';
        *at++ = '"';
        q.after[q.count++] = after | (instead ? GRAM_INSTEAD : 0);
    }
    strcpy(at, q.count > 0 ? ")" : "");
    return q;
}

/* FTS5 takes no more than so many phrases at once (its expressions nest no
 * deeper than 256, "SQLite FTS5 Extension"; from memory). */
enum {
    PHRASES_MAX = 100
};

static void compare(const char *text, size_t units, const char *phrase)
{
    struct question q = make_question(phrase);
    const uint32_t *found = NULL;
    size_t count = 0, next = 0;

    sqlite3_bind_text(ask, 1, q.text, -1, SQLITE_STATIC);
    sqlite3_bind_blob(ask, 2, q.after, (int)(q.count * sizeof *q.after),
                      SQLITE_STATIC);
    if (q.count <= PHRASES_MAX && sqlite3_step(ask) == SQLITE_ROW) {
        found = sqlite3_column_blob(ask, 0);
        count = (size_t)sqlite3_column_bytes(ask, 0) / sizeof *found;
    }
    for (size_t unit = 0; unit < units && q.count <= PHRASES_MAX; unit++) {
        bool there = next < count && found[next] == unit;

        fuzz_holds(there == phrase_at(text, units, unit, phrase),
                   "the positions are those of the scan");
        next += there;
    }
    fuzz_holds(next == count, "no position is beyond the text");
    sqlite3_reset(ask);
    free_question(&q);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    size_t length = size ? data[0] : 0;
    char *phrase, *text;

    if (size == 0 || length > size - 1)
        return 0;
    open_once();
    phrase = calloc(length + 1, 1);
    size -= 1 + length;
    text = malloc(size + 1);
    fuzz_holds(phrase && text, "there is memory");
    memcpy(phrase, data + 1, length);
    memcpy(text, data + 1 + length, size);
    run(put, text, size);
    compare(text, size / GRAM_UNIT, phrase);
    run(drop, text, size);
    free(phrase);
    free(text);
    return 0;
}
