/* schema/notebook_listing.c - the cells that were listed last. */
#include <stdio.h>
#include <time.h>

#include "schema/notebook_cell.h"

static enum status put_about(const struct notebook *n, const char *question,
                             struct fault *why)
{
    char safe[LISTING_QUESTION_SIZE];
    struct asked a = ask(n, "INSERT INTO listing (question, listed)"
                            " VALUES (?1, ?2)");

    with_text(&a, text_make_safe(safe, sizeof safe, question));
    with_int(&a, (int64_t)time(NULL));
    return done(n, &a, why);
}

static enum status put_cell(const struct notebook *n, int64_t number,
                            const struct listed_cell *listed,
                            struct fault *why)
{
    struct cell_key key;
    struct asked a = ask(n, "INSERT INTO listing_cell (" CELL_COLUMNS
                            ", number, uses)"
                            " VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)");

    with_cell(&a, &key, &listed->cell);
    with_int(&a, number);
    with_int(&a, listed->uses);
    return done(n, &a, why);
}

enum status notebook_put_listing(struct notebook *notebook,
                                 const char *question,
                                 const struct listed_cell *cells, size_t count,
                                 struct fault *why)
{
    enum status st = begin(notebook, why);

    if (st != ST_OK)
        return st;
    st = run_plain(notebook, "DELETE FROM listing", why);
    if (st == ST_OK)
        st = run_plain(notebook, "DELETE FROM listing_cell", why);
    if (st == ST_OK)
        st = put_about(notebook, question, why);
    for (size_t i = 0; st == ST_OK && i < count; i++)
        st = put_cell(notebook, (int64_t)i + 1, &cells[i], why);
    return finish(notebook, st, why);
}

static enum status read_about(const struct notebook *n, struct listing *about,
                              struct fault *why)
{
    struct asked a = ask(n, "SELECT question, listed,"
                            " (SELECT count(*) FROM listing_cell)"
                            " FROM listing");
    bool found = next_row(&a);
    enum status st;

    if (found) {
        snprintf(about->question, sizeof about->question, "%s",
                 text_at(a.stmt, 0));
        about->listed = sqlite3_column_int64(a.stmt, 1);
        about->count = sqlite3_column_int64(a.stmt, 2);
    }
    st = answered(n, &a, why);
    if (st == ST_OK && !found)
        return fault_set(why, ST_NOTHING, "no cells were listed yet");
    return st;
}

static enum status read_cell(const struct notebook *n,
                             const struct listing *about, int32_t number,
                             struct listed_cell *out, struct fault *why)
{
    struct asked a = ask(n, "SELECT " CELL_COLUMNS ", uses FROM listing_cell"
                            " WHERE number = ?1");
    enum status st = ST_OK, end;

    with_int(&a, number);
    if (next_row(&a)) {
        st = cell_at(n, a.stmt, 0, &out->cell, why);
        out->uses = sqlite3_column_int64(a.stmt, CELL_COLUMN_COUNT);
    } else if (a.rc == SQLITE_DONE) {
        st = fault_set(why, ST_USAGE, "there is no cell %d in the last "
                       "listing, which has %lld: %.200s", (int)number,
                       (long long)about->count, about->question);
    }
    end = answered(n, &a, st == ST_OK ? why : NULL);
    return st == ST_OK ? end : st;
}

enum status notebook_listed(struct notebook *notebook, struct listing *about,
                            const int32_t *numbers, size_t count,
                            struct listed_cell *cells, struct fault *why)
{
    enum status st;

    if (notebook->version < 2)
        return fault_set(why, ST_NOTHING, "no cells were listed yet");
    st = begin(notebook, why);
    if (st != ST_OK)
        return st;
    st = read_about(notebook, about, why);
    for (size_t i = 0; st == ST_OK && i < count; i++)
        st = read_cell(notebook, about, numbers[i], &cells[i], why);
    return finish(notebook, st, why);
}
