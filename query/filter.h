/* query/filter.h - options that restrict a question to some solos.
 *
 * Every row of the field table (schema/field.h) is an option of its name, and
 * `--where NAME=VALUE` says the same.  All that are given must hold.
 */
#ifndef QUERY_FILTER_H
#define QUERY_FILTER_H

#include "schema/field.h"
#include "schema/options.h"

enum {
    FILTER_TERMS_MAX = 16
};

/* What the options store; all zero is no restriction. */
struct filter_options {
    struct option_list fields[FIELDS]; /* by enum field */
    struct option_list where;
};

/* The option rows for a struct filter_options.  Borrowed: a constant made on
 * the first call. */
const struct option_row *filter_rows(void);

/* A filter and, for messages and output, how it was asked for. */
struct asked_filter {
    struct filter filter;
    /* Of each term: the name of the field and its value as the user wrote it.
     * Borrowed from the arguments. */
    struct {
        const char *name, *value;
    } said[FILTER_TERMS_MAX];
};

/* ST_SYNTAX where a value does not read, ST_USAGE where there are too many;
 * WHY names the option. */
enum status filter_read(struct asked_filter *out,
                        const struct filter_options *options,
                        struct fault *why);

/* "performer Ada, tempo 120-140" into OUT, "" without terms.  Returns OUT. */
char *filter_describe(char *out, size_t size, const struct asked_filter *asked);

/* ST_NOTHING: no solo passes ASKED; WHY says what to do about it. */
enum status filter_no_solos(const struct asked_filter *asked,
                            struct fault *why);

#endif
