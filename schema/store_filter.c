/* schema/store_filter.c - a filter as a piece of SQL with its values.
 *
 * The text holds only names from the field table and numbered parameters;
 * what the user wrote is always bound.
 */
#include <stdlib.h>
#include <string.h>

#include "schema/field.h"
#include "schema/store_internal.h"

/* Write the condition for one term; *NEXT is its first parameter. */
static void write_term(struct gather *out, const struct field_info *info, int *next)
{
    const int n = *next;

    switch (info->kind) {
    case FIELD_IS_WORDS:
        gather_format(out,
                "id IN (SELECT rowid FROM words WHERE words MATCH ?%d)", n);
        *next += 1;
        break;
    case FIELD_IS_EXACT:
        gather_format(out, "%s = ?%d", info->column, n);
        *next += 1;
        break;
    case FIELD_IS_RANGE:
        gather_format(out, "%s BETWEEN ?%d AND ?%d", info->column, n, n + 1);
        *next += 2;
        break;
    case FIELD_IS_PREFIX:
        /* A comparison, not LIKE: it is bytewise, uses the index and gives
         * no character of a path a meaning.  '0' follows '/' in ASCII. */
        gather_format(out,
                "id IN (SELECT id FROM file WHERE %s = ?%d"
                " OR (%s > ?%d || '/' AND %s < ?%d || '0'))",
                info->column, n, info->column, n, info->column, n);
        *next += 1;
        break;
    }
}

enum status filter_write(struct gather *out, const char *id_column,
                         const struct filter *filter, int first,
                         struct fault *why)
{
    const size_t most = sizeof filter->terms / sizeof filter->terms[0];

    if (!filter || filter->count == 0)
        return ST_OK;
    if (filter->count > most)
        return fault_set(why, ST_INTERNAL, "too many filters");
    gather_format(out, " AND %s IN (SELECT id FROM solo WHERE ", id_column);
    for (size_t i = 0; i < filter->count; i++) {
        const struct field_info *info = field_info(filter->terms[i].field);

        if (!info)
            return fault_set(why, ST_INTERNAL, "a filter of no field");
        gather_put(out, i > 0 ? " AND " : "");
        write_term(out, info, &first);
    }
    gather_put(out, ")");
    return ST_OK;
}

/* `COLUMN : "TEXT" *`, the words of TEXT one after the other, the last of
 * which may be begun.  Quotes are doubled, so TEXT has no syntax.  The caller
 * owns the result; NULL when memory is out. */
static char *words_question(const char *column, const char *text)
{
    size_t size = strlen(column) + 2 * strlen(text) + sizeof " : \"\" *";
    char *out = malloc(size);
    char *at = out;

    if (!out)
        return NULL;
    at += sprintf(at, "%s : \"", column);
    for (; *text; text++) {
        if (*text == '"')
            *at++ = '"';
        *at++ = *text;
    }
    memcpy(at, "\" *", sizeof "\" *");
    return out;
}

/* A folder may be written with './' before it and '/' after it. */
static char *path_plain(const char *text)
{
    char *path;
    size_t len;

    while (text[0] == '.' && text[1] == '/')
        text += 2;
    len = strlen(text);
    while (len > 1 && text[len - 1] == '/')
        len--;
    path = malloc(len + 1);
    if (!path)
        return NULL;
    memcpy(path, text, len);
    path[len] = '\0';
    return path;
}

void filter_bind(struct binder *b, const struct filter *filter)
{
    for (size_t i = 0; filter && i < filter->count; i++) {
        const struct filter_term *term = &filter->terms[i];
        const struct field_info *info = field_info(term->field);

        switch (info->kind) {
        case FIELD_IS_WORDS:
            bind_owned(b, words_question(info->column, term->text));
            break;
        case FIELD_IS_EXACT:
            bind_text(b, term->text);
            break;
        case FIELD_IS_RANGE:
            bind_int(b, term->low);
            bind_int(b, term->high);
            break;
        case FIELD_IS_PREFIX:
            bind_owned(b, path_plain(term->text));
            break;
        }
    }
}
