/* schema/notebook_form.c - corrections of the form. */
#include <string.h>

#include "schema/notebook_internal.h"

bool solo_identity_matches(const struct solo_identity *a,
                           const struct solo_identity *b)
{
    if (strcmp(a->sha256, b->sha256) == 0)
        return true;
    return a->harmony == b->harmony &&
           (strcmp(a->path, b->path) == 0 ||
            (*a->title && strcmp(a->title, b->title) == 0));
}

static void correction_at(sqlite3_stmt *stmt, struct form_correction *out)
{
    out->solo.sha256 = text_at(stmt, 1);
    out->solo.path = text_at(stmt, 2);
    out->solo.title = text_at(stmt, 3);
    out->solo.harmony = sqlite3_column_int64(stmt, 4);
    out->length = sqlite3_column_int(stmt, 5);
    out->first_bar = text_at(stmt, 6);
}

static const char forms_sql[] =
    "SELECT id, sha256, path, title, harmony, length, first_bar"
    " FROM form_correction ORDER BY id DESC";

enum status notebook_forms(struct notebook *notebook, notebook_form_each each,
                           void *context, struct fault *why)
{
    struct asked a = ask(notebook, forms_sql);
    bool more = true;

    while (more && next_row(&a)) {
        struct form_correction correction;

        correction_at(a.stmt, &correction);
        more = each(context, &correction);
    }
    return answered(notebook, &a, why);
}

/* Remove the corrections that hold for SOLO; *REMOVED counts them. */
static enum status remove_matching(struct notebook *n,
                                   const struct solo_identity *solo,
                                   int *removed, struct fault *why)
{
    struct asked a = ask(n, forms_sql);
    enum status st = ST_OK;

    *removed = 0;
    while (st == ST_OK && next_row(&a)) {
        struct form_correction correction;
        struct asked drop;

        correction_at(a.stmt, &correction);
        if (!solo_identity_matches(&correction.solo, solo))
            continue;
        drop = ask(n, "DELETE FROM form_correction WHERE id = ?1");
        with_int(&drop, sqlite3_column_int64(a.stmt, 0));
        st = done(n, &drop, why);
        ++*removed;
    }
    if (st != ST_OK) {
        sqlite3_finalize(a.stmt);
        return st;
    }
    return answered(n, &a, why);
}

enum status notebook_put_form(struct notebook *notebook,
                              const struct form_correction *correction,
                              struct fault *why)
{
    struct asked a;
    int removed;
    enum status st = begin(notebook, why);

    if (st != ST_OK)
        return st;
    st = remove_matching(notebook, &correction->solo, &removed, why);
    if (st == ST_OK) {
        a = ask(notebook, "INSERT INTO form_correction (sha256, path, title,"
                          " harmony, length, first_bar)"
                          " VALUES (?1, ?2, ?3, ?4, ?5, ?6)");
        with_text(&a, correction->solo.sha256);
        with_text(&a, correction->solo.path);
        with_text(&a, correction->solo.title);
        with_int(&a, correction->solo.harmony);
        with_int(&a, correction->length);
        with_text(&a, correction->first_bar);
        st = done(notebook, &a, why);
    }
    return finish(notebook, st, why);
}

enum status notebook_drop_form(struct notebook *notebook,
                               const struct solo_identity *solo,
                               struct fault *why)
{
    int removed = 0;
    enum status st = begin(notebook, why);

    if (st != ST_OK)
        return st;
    st = remove_matching(notebook, solo, &removed, why);
    st = finish(notebook, st, why);
    return st == ST_OK && removed == 0 ? ST_NOTHING : st;
}
