/* query/filter.c - see filter.h. */
#include "query/filter.h"

#include <string.h>

const struct option_row *filter_rows(void)
{
    /* A heading, every field, --where, and the end. */
    static struct option_row rows[FIELDS + 3];
    struct option_row *row = rows;

    if (rows[0].help)
        return rows;
    *row++ =
        (struct option_row){ .kind = OPTION_HEADING, .help = "Which solos:" };
    for (int i = 0; i < FIELDS; i++) {
        const struct field_info *field = field_info(i);

        *row++ =
            (struct option_row){ .name = field->name,
                                 .value_name = field->value,
                                 .help = field->meaning,
                                 .kind = OPTION_LIST,
                                 .offset =
                                     offsetof(struct filter_options, fields) +
                                     (size_t)i * sizeof(struct option_list) };
    }
    *row++ = (struct option_row){
        .name = "where",
        .value_name = "NAME=VALUE",
        .help =
            "the same by name, such as key=Eb; all that are given must "
            "hold",
        .kind = OPTION_LIST,
        .offset = offsetof(struct filter_options, where)
    };
    *row = (struct option_row)OPTION_END;
    return rows;
}

/* The next free term of OUT; NULL, with the reason in WHY, where all are
 * taken. */
static struct filter_term *next_term(struct asked_filter *out,
                                     struct fault *why)
{
    struct filter *filter = &out->filter;

    if (filter->count < FILTER_TERMS_MAX)
        return &filter->terms[filter->count];
    fault_set(why, ST_USAGE,
              "too many restrictions: at most %d fit in one question",
              FILTER_TERMS_MAX);
    return NULL;
}

_Static_assert(FILTER_TERMS_MAX == sizeof((struct filter *)0)->terms /
                                       sizeof *((struct filter *)0)->terms,
               "said[] has an entry for every term of a filter");

static enum status read_field(struct asked_filter *out, int field,
                              const char *value, struct fault *why)
{
    const char *name = field_info(field)->name;
    struct filter_term *term = next_term(out, why);
    enum status st;

    if (!term)
        return ST_USAGE;
    st = field_parse(term, field, value, why);
    if (st != ST_OK) {
        fault_prefix(why, "--%s", name);
        return st;
    }
    out->said[out->filter.count].name = name;
    out->said[out->filter.count].value = value;
    out->filter.count++;
    return ST_OK;
}

static enum status read_where(struct asked_filter *out, const char *text,
                              struct fault *why)
{
    const char *equals = strchr(text, '=');
    struct filter_term *term = next_term(out, why);
    enum status st;

    if (!term)
        return ST_USAGE;
    st = field_parse_where(term, text, why);
    if (st != ST_OK) {
        fault_prefix(why, "--where");
        return st;
    }
    out->said[out->filter.count].name = field_info(term->field)->name;
    out->said[out->filter.count].value = equals ? equals + 1 : "";
    out->filter.count++;
    return ST_OK;
}

enum status filter_read(struct asked_filter *out,
                        const struct filter_options *options, struct fault *why)
{
    enum status st = ST_OK;

    memset(out, 0, sizeof *out);
    for (int f = 0; f < FIELDS && st == ST_OK; f++) {
        const struct option_list *list = &options->fields[f];

        for (size_t i = 0; i < list->count && st == ST_OK; i++)
            st = read_field(out, f, list->items[i], why);
    }
    for (size_t i = 0; i < options->where.count && st == ST_OK; i++)
        st = read_where(out, options->where.items[i], why);
    return st;
}

char *filter_describe(char *out, size_t size, const struct asked_filter *asked)
{
    size_t used = 0;

    out[0] = '\0';
    for (size_t i = 0; i < asked->filter.count && used < size; i++) {
        int n = snprintf(out + used, size - used, "%s%s %s", i ? ", " : "",
                         asked->said[i].name, asked->said[i].value);

        used += n > 0 ? (size_t)n : 0;
    }
    return out;
}

enum status filter_no_solos(const struct asked_filter *asked,
                            struct fault *why)
{
    char filter[400];

    if (asked->filter.count == 0)
        return fault_set(why, ST_NOTHING,
                         "the library holds no solos; put MusicXML files "
                         "into its folder and run cellar-index on it");
    return fault_set(why, ST_NOTHING,
                     "no solo with %s; loosen or drop a restriction, or see "
                     "all with 'cellar solos'",
                     filter_describe(filter, sizeof filter, asked));
}
