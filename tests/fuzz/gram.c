/* gram.c - any bytes where the full-text index keeps intervals, and any phrase
 * asked of it.  The first byte says how long the phrase is, the text follows.
 * A plain scan must give the positions that gram_positions() gives. */
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "schema/gram.h"
#include "schema/salience.h"
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
    ask = prepared("SELECT gram_positions(gram) FROM gram WHERE gram MATCH ?1");
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

static bool stands_at(const char *text, size_t units, size_t unit,
                      const char *token, size_t length)
{
    size_t n;
    const char *place;

    if (unit >= units)
        return false;
    if (length > 1 && token[0] >= 'A' && token[0] < 'A' + SALIENCE_LEVELS) {
        if (token[0] != text[(unit + 1) * GRAM_UNIT - 1] || token[1] == '0' ||
            (token[0] >= 'A' + SALIENCE_FULL &&
             (token[1] != '0' + GRAM_MAX || length != 2 + GRAM_MAX)))
            return false;
        token++;
        length--;
    }
    n = length ? (size_t)(token[0] - '0') : 0;
    if (length == 1 && token[0] == '0')
        return !has_gram(text, units, unit, GRAM_MIN);
    if (length == 0 || n < GRAM_MIN || n > GRAM_MAX ||
        !has_gram(text, units, unit, n))
        return false;
    for (size_t i = 0; i < n && i + 1 < length; i++)
        if (token[1 + i] != text[(unit + i) * GRAM_UNIT])
            return false;
    if (length == 1 + n)
        return true;
    place = text + unit * GRAM_UNIT + 1 + 2 * (n - GRAM_MIN);
    return length == 1 + n + 2 && is_letter(place[0]) && is_letter(place[1]) &&
           memcmp(token + 1 + n, place, 2) == 0;
}

static bool phrase_at(const char *text, size_t units, size_t unit,
                      const char *phrase)
{
    bool any = false;

    for (size_t length; *phrase; phrase += length, unit++) {
        phrase += strspn(phrase, " ");
        length = strcspn(phrase, " ");
        if (length == 0)
            break;
        any = true;
        if (!stands_at(text, units, unit, phrase, length))
            return false;
    }
    return any;
}

/* --- the question --------------------------------------------------------- */

/* PHRASE in quotes, as FTS5 wants it. */
static char *quoted(const char *phrase)
{
    char *out = malloc(2 * strlen(phrase) + 3), *at = out;

    fuzz_holds(out != NULL, "there is memory");
    *at++ = '"';
    for (; *phrase; *at++ = *phrase++)
        if (*phrase == '"')
            *at++ = '"';
    *at++ = '"';
    *at = '\0';
    return out;
}

static void compare(const char *text, size_t units, const char *phrase)
{
    char *question = quoted(phrase);
    const uint32_t *found = NULL;
    size_t count = 0, next = 0;

    sqlite3_bind_text(ask, 1, question, -1, SQLITE_STATIC);
    if (sqlite3_step(ask) == SQLITE_ROW) {
        found = sqlite3_column_blob(ask, 0);
        count = (size_t)sqlite3_column_bytes(ask, 0) / sizeof *found;
        fuzz_holds(count > 0, "a row that is found has positions");
    }
    for (size_t unit = 0; unit < units; unit++) {
        bool there = next < count && found[next] == unit;

        fuzz_holds(there == phrase_at(text, units, unit, phrase),
                   "the positions are those of the scan");
        next += there;
    }
    fuzz_holds(next == count, "no position is beyond the text");
    sqlite3_reset(ask);
    free(question);
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
