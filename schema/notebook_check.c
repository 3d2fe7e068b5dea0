/* schema/notebook_check.c - see notebook_check.h. */
#include "schema/notebook_check.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "schema/notebook_cell.h"
#include "schema/notebook_list.h"
#include "schema/sqlite_code.h"

struct checking {
    const struct notebook *n;
    notebook_problem problem;
    void *context;
    struct notebook_checked *out;
    struct fault *why;
};

__attribute__((format(printf, 3, 4))) static void
tell(const struct checking *c, enum notebook_part part, const char *format, ...)
{
    char what[512];
    va_list args;

    va_start(args, format);
    vsnprintf(what, sizeof what, format, args);
    va_end(args);
    if (c->problem)
        c->problem(c->context, part, what);
}

/* A step whose rows could not be read to the end is a problem of PART. */
static enum status survive(const struct checking *c, enum notebook_part part,
                           enum status st)
{
    if (st != ST_LIBRARY)
        return st;
    tell(c, part, "what is there cannot be read to its end");
    return ST_OK;
}

/* --- the file ----------------------------------------------------------- */

static enum status check_pages(const struct checking *c)
{
    struct asked a = ask(c->n, "PRAGMA integrity_check(20)");
    enum status st, unread = ST_OK;

    while (unread == ST_OK && next_row(&a)) {
        int rc = sqlite_code_of_page(text_at(a.stmt, 0));

        if (rc != SQLITE_OK)
            unread = notebook_fault(c->n, rc, c->why);
        else if (strcmp(text_at(a.stmt, 0), "ok") != 0)
            tell(c, NOTEBOOK_DATABASE, "%s", text_at(a.stmt, 0));
    }
    st = answered(c->n, &a, unread == ST_OK ? c->why : NULL);
    return unread == ST_OK ? survive(c, NOTEBOOK_DATABASE, st) : unread;
}

/* What a notebook from VERSION on has (notebook.sql). */
static const struct {
    int64_t version;
    const char *sql;
} tables[] = {
    { 1, "SELECT id, sha256, path, title, harmony, length, first_bar"
         " FROM form_correction LIMIT 0" },
    { 2, "SELECT id, name FROM bank LIMIT 0" },
    { 2, "SELECT id, bank, intervals, class, start, degrees, over_chord, given,"
         " note, origin, added FROM bank_cell LIMIT 0" },
    { 2, "SELECT question, listed FROM listing LIMIT 0" },
    { 2, "SELECT number, intervals, class, start, degrees, over_chord, uses"
         " FROM listing_cell LIMIT 0" },
    { 3, "SELECT id, name, made FROM study_list LIMIT 0" },
    { 3, "SELECT id, list, place, sha256, path, title, performer, harmony,"
         " first_note, bar, bar_index, midi, notes, degrees, chord, home,"
         " relation, question, remark, added FROM list_entry LIMIT 0" },
};

_Static_assert(NOTEBOOK_VERSION == 3, "the tables of the newest version");

/* All tables with their columns are there, or there is no use in going on. */
static enum status check_schema(const struct checking *c, bool *whole)
{
    enum status st = ST_OK;

    *whole = true;
    for (size_t i = 0; i < sizeof tables / sizeof *tables && st == ST_OK &&
                       tables[i].version <= c->n->version;
         i++) {
        struct asked a = ask(c->n, tables[i].sql);
        bool strange = (a.rc & 0xff) == SQLITE_ERROR;

        st = answered(c->n, &a, c->why);
        if (strange)
            st = ST_OK;
        *whole = *whole && !strange;
    }
    if (st == ST_OK && !*whole)
        tell(c, NOTEBOOK_DATABASE, "a table is missing, or one of its columns");
    return survive(c, NOTEBOOK_DATABASE, st);
}

/* Cells of no bank, entries of no list. */
static enum status check_parents(const struct checking *c)
{
    struct asked a = ask(c->n, "SELECT \"table\", rowid, parent"
                               " FROM pragma_foreign_key_check");

    while (next_row(&a)) {
        bool cell = strcmp(text_at(a.stmt, 0), "bank_cell") == 0;

        tell(c, cell ? NOTEBOOK_BANKS : NOTEBOOK_LISTS,
             cell ? "there is a cell of no bank"
                  : "there is an entry of no study list");
    }
    return survive(c, NOTEBOOK_DATABASE, answered(c->n, &a, c->why));
}

/* --- what is in it ------------------------------------------------------ */

static bool is_digest(const char *text)
{
    return strlen(text) == 64 && strspn(text, "0123456789abcdef") == 64;
}

static enum status check_forms(const struct checking *c)
{
    struct asked a = ask(c->n, "SELECT sha256, path, length, first_bar"
                               " FROM form_correction ORDER BY id");

    while (next_row(&a)) {
        int64_t length = sqlite3_column_int64(a.stmt, 2);

        c->out->forms++;
        if (!is_digest(text_at(a.stmt, 0)) || length < 0 ||
            length > INT32_MAX || (length > 0 && !*text_at(a.stmt, 3)))
            tell(c, NOTEBOOK_FORMS,
                 "the correction of the form of '%.300s' makes no sense",
                 text_at(a.stmt, 1));
    }
    return survive(c, NOTEBOOK_FORMS, answered(c->n, &a, c->why));
}

static enum status check_cells(const struct checking *c)
{
    struct asked a = ask(
        c->n, "SELECT c.intervals, c.class, c.start, c.degrees, c.over_chord,"
              " b.name, row_number() OVER (PARTITION BY b.id ORDER BY c.id)"
              " FROM bank_cell AS c JOIN bank AS b ON b.id = c.bank"
              " ORDER BY b.name, c.id");

    while (next_row(&a)) {
        struct placed_cell cell;

        c->out->cells++;
        if (cell_at(c->n, a.stmt, 0, &cell, NULL) != ST_OK)
            tell(c, NOTEBOOK_BANKS, "cell %lld of bank '%.300s' does not read",
                 (long long)sqlite3_column_int64(a.stmt, 6),
                 text_at(a.stmt, 5));
    }
    return survive(c, NOTEBOOK_BANKS, answered(c->n, &a, c->why));
}

/* What was listed last is numbered from 1 on. */
static enum status check_listed(const struct checking *c)
{
    struct asked a = ask(c->n, "SELECT intervals, class, start, degrees,"
                               " over_chord, number FROM listing_cell"
                               " ORDER BY number");

    while (next_row(&a)) {
        struct placed_cell cell;

        c->out->listed++;
        if (cell_at(c->n, a.stmt, 0, &cell, NULL) != ST_OK ||
            sqlite3_column_int64(a.stmt, 5) != c->out->listed)
            tell(c, NOTEBOOK_BANKS,
                 "cell %lld of those that were listed last does not read",
                 (long long)c->out->listed);
    }
    return survive(c, NOTEBOOK_BANKS, answered(c->n, &a, c->why));
}

static enum status check_entries(const struct checking *c)
{
    struct asked a = ask(
        c->n, "SELECT l.name, e.midi, e.sha256, e.first_note, e.bar_index,"
              " e.place, row_number() OVER (PARTITION BY l.id"
              " ORDER BY e.place, e.id)"
              " FROM list_entry AS e JOIN study_list AS l ON l.id = e.list"
              " ORDER BY l.name, e.place, e.id");

    while (next_row(&a)) {
        const char *name = text_at(a.stmt, 0);
        long long number = sqlite3_column_int64(a.stmt, 6);
        struct list_entry entry;

        c->out->entries++;
        if (!list_entry_midi(&entry, text_at(a.stmt, 1)))
            tell(c, NOTEBOOK_LISTS, "entry %lld of '%.300s' has no notes",
                 number, name);
        else if (!is_digest(text_at(a.stmt, 2)) ||
                 sqlite3_column_int64(a.stmt, 3) < 0 ||
                 sqlite3_column_int64(a.stmt, 4) < 0)
            tell(c, NOTEBOOK_LISTS,
                 "entry %lld of '%.300s' does not say where it stands", number,
                 name);
        if (sqlite3_column_int64(a.stmt, 5) != number)
            tell(c, NOTEBOOK_LISTS,
                 "the entries of '%.300s' are not numbered in a row", name);
    }
    return survive(c, NOTEBOOK_LISTS, answered(c->n, &a, c->why));
}

/* --- the whole ---------------------------------------------------------- */

static enum status count(const struct checking *c, const char *sql,
                         int64_t *out, enum notebook_part part)
{
    return survive(c, part, ask_number(c->n, sql, out, c->why));
}

/* A notebook of an older version has fewer tables. */
static enum status check_tables(const struct checking *c)
{
    enum status st = check_forms(c);

    if (st == ST_OK && c->n->version >= 2)
        st = count(c, "SELECT count(*) FROM bank", &c->out->banks,
                   NOTEBOOK_BANKS);
    if (st == ST_OK && c->n->version >= 2)
        st = check_cells(c);
    if (st == ST_OK && c->n->version >= 2)
        st = check_listed(c);
    if (st == ST_OK && c->n->version >= 3)
        st = count(c, "SELECT count(*) FROM study_list", &c->out->lists,
                   NOTEBOOK_LISTS);
    if (st == ST_OK && c->n->version >= 3)
        st = check_entries(c);
    return st;
}

enum status notebook_check(struct notebook *notebook, notebook_problem problem,
                           void *context, struct notebook_checked *out,
                           struct fault *why)
{
    struct checking c = { notebook, problem, context, out, why };
    bool whole = false;
    enum status st;

    *out = (struct notebook_checked){ .version = notebook->version };
    st = begin(notebook, why);
    if (st != ST_OK)
        return survive(&c, NOTEBOOK_DATABASE, st);
    st = check_pages(&c);
    if (st == ST_OK)
        st = check_schema(&c, &whole);
    if (st == ST_OK && whole)
        st = check_parents(&c);
    if (st == ST_OK && whole)
        st = check_tables(&c);
    /* Nothing was written; in a damaged file even a commit can fail. */
    run_plain(notebook, "ROLLBACK", NULL);
    return st;
}
