/* schema/field.h - the facts of a solo one may filter by, in one table.
 *
 * The option names, `--where NAME=VALUE`, the index columns and the help all
 * come from this table.
 */
#ifndef SCHEMA_FIELD_H
#define SCHEMA_FIELD_H

#include "schema/store.h"

enum field {
    FIELD_PERFORMER,
    FIELD_TITLE,
    FIELD_COMPOSER,
    FIELD_INSTRUMENT,
    FIELD_KEY,
    FIELD_METRE,
    FIELD_TEMPO,
    FIELD_WORDS,
    FIELD_PATH,
    FIELDS
};

enum field_kind {
    /* Words of a text, one after the other, the last may be begun: "ada lov"
     * finds "Ada Lovel".  Case and accents do not matter. */
    FIELD_IS_WORDS,
    FIELD_IS_EXACT, /* one value, compared after normalising */
    FIELD_IS_RANGE, /* a number or A-B, both included */
    FIELD_IS_PREFIX /* a path, or a folder that it lies below */
};

struct field_info {
    const char *name;    /* "performer": --performer and --where performer= */
    const char *value;   /* how help writes the value: "NAME" */
    const char *meaning; /* one line of help */
    const char *column;  /* its column in schema.sql */
    enum field_kind kind;
};

/* The row of FIELD, NULL where there is none.  Borrowed: a constant. */
const struct field_info *field_info(int field);
/* The field called NAME (LEN bytes, case does not matter), or -1. */
int field_named(const char *name, size_t len);

/* Read VALUE for FIELD into a term.  TEXT of the term borrows from VALUE, or
 * from a constant (keys are normalised: "eb", "Eb major" -> "Eb major", "Cm"
 * -> "C minor"; "common", "C" as metre are not accepted: write 4/4).  A tempo
 * goes into LOW and HIGH times 100, as the index keeps it.  ST_SYNTAX with
 * the reason and the offset into VALUE in WHY. */
enum status field_parse(struct filter_term *out, int field, const char *value,
                        struct fault *why);
/* "NAME=VALUE" into a term; the offset in WHY is one into TEXT. */
enum status field_parse_where(struct filter_term *out, const char *text,
                              struct fault *why);

#endif
