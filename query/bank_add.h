/* query/bank_add.h - what `cellar bank add` is given: fragments, or numbers of
 * cells that were listed. */
#ifndef QUERY_BANK_ADD_H
#define QUERY_BANK_ADD_H

#include "query/bank.h"

struct bank_adding {
    const char *name, *over; /* OVER may be NULL */
    int argc;                /* fragments or numbers, at least one */
    char **argv;
    struct number_list numbers; /* by bank_add_read(): where not empty, these
                                   are what is added */
};

/* Read what was given: the fragments go into OUT (empty before), numbers into
 * ADDING.  An argument of digits, commas and dashes without a blank is
 * numbers, everything else a fragment; what could mean either, or is a
 * fragment whose quotes were forgotten, is ST_USAGE with how to write it.
 * ST_SYNTAX: WHY points into *FAULTY, which the caller owns. */
enum status bank_add_read(struct bank_adding *adding, char **faulty,
                          struct bank *out, struct fault *why);

/* Add it.  OUT receives the cells of numbers; NEW has room for
 * ADDING->ARGC + NUMBERS_MAX. */
enum status bank_add_run(const struct bank_adding *adding,
                         struct notebook *notebook, struct bank *out,
                         bool *new, struct fault *why);

#endif
