/* schema/options.h - command-line options from one table.
 *
 * A table of rows drives parsing, --help and whatever else lists the options
 * of a program.  Options are long ones only: `--name`, `--name VALUE` and
 * `--name=VALUE`; `--` ends them.  They may stand before, between and after
 * the other arguments.  An argument such as `-4` or `-4 -1` is no option.
 * Given twice, the last one counts, except for lists.
 *
 * Values are stored in a struct of the program's own, at the offset a row
 * names; whoever parses puts the defaults there first.
 *
 *     struct list_options { bool quiet; long limit; };
 *     static const struct option_row rows[] = {
 *         { .name = "quiet", .help = "Print nothing.", .kind = OPTION_FLAG,
 *           .offset = offsetof(struct list_options, quiet) },
 *         { .name = "limit", .value_name = "N", .kind = OPTION_NUMBER,
 *           .help = "Show at most N (0: all; default 20).",
 *           .min = 0, .max = LONG_MAX,
 *           .offset = offsetof(struct list_options, limit) },
 *         OPTION_END
 *     };
 */
#ifndef SCHEMA_OPTIONS_H
#define SCHEMA_OPTIONS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

#include "schema/status.h"

enum option_kind {
    OPTION_STOP,    /* ends a table */
    OPTION_HEADING, /* not an option: HELP is a heading in the help */
    OPTION_FLAG,    /* takes no value; stores true in a bool */
    OPTION_TEXT,    /* a const char *, borrowed from the arguments */
    OPTION_LIST,    /* the same, may be repeated: struct option_list */
    OPTION_NUMBER,  /* a long, MIN..MAX */
    OPTION_RANGE,   /* "A" or "A-B", MIN <= A <= B <= MAX: option_range */
    OPTION_CHOICE   /* an int, the index of the word in CHOICES */
};

enum {
    OPTION_LIST_MAX = 16
};

struct option_list {
    const char *items[OPTION_LIST_MAX]; /* borrowed from the arguments */
    size_t count;
};

struct option_range {
    long low, high; /* both included */
    bool given;
};

struct option_row {
    const char *name;       /* without the dashes */
    const char *value_name; /* for help: "N"; a choice may leave it NULL */
    const char *help;       /* a sentence; wrapped when printed */
    enum option_kind kind;
    size_t offset;              /* where the value is stored */
    long min, max;              /* of OPTION_NUMBER and OPTION_RANGE */
    const char *const *choices; /* of OPTION_CHOICE, ended by NULL */
};

#define OPTION_END                                                             \
    {                                                                          \
        .kind = OPTION_STOP                                                    \
    }

/* One table and the struct its values go to.  A program may join several: its
 * own and those every command has.  An array of sets ends with ROWS NULL. */
struct option_set {
    const struct option_row *rows; /* ended by OPTION_END */
    void *values;
};

/* Read the COUNT arguments ARGV (without the program's name).  The arguments
 * that are no options are moved to the front of ARGV, in their order, and
 * counted in *LEFT.  ST_OK, or ST_USAGE with the reason in WHY (the nearest
 * name where an option is unknown); the values stored up to there stay. */
enum status options_parse(const struct option_set *sets, int count, char **argv,
                          int *left, struct fault *why);

/* The row called NAME (LEN bytes) and, unless NULL, its set; NULL where there
 * is none.  Borrowed: as long as the tables. */
const struct option_row *options_find(const struct option_set *sets,
                                      const char *name, size_t len,
                                      const struct option_set **set);

/* The word of WORDS (ended by NULL) that NAME may have been meant for: a few
 * letters off, or begun with NAME.  NULL where none is near.  Borrowed. */
const char *options_nearest(const char *const *words, const char *name);

/* The option as help shows it: "--limit N", or for a choice without a name
 * "--color auto|always|never".  Cut to SIZE. */
void options_usage(char *out, size_t size, const struct option_row *row);

/* Print the rows as help, at most 80 columns wide.  A failed write is left
 * for ferror(OUT). */
void options_help(FILE *out, const struct option_set *sets);

/* Print TEXT wrapped to 80 columns, every line but the first indented by
 * INDENT; the first starts in column COLUMN.  Ends with a newline. */
void options_print_wrapped(FILE *out, const char *text, int indent, int column);

#endif
