/* query/manual/manual.h - the manual pages and completions, written when the
 * programs are built.
 *
 * All that the programs can be asked comes from the tables their help comes
 * from.  This is a program of its own, no part of cellar: it alone looks at
 * the options of both programs.
 */
#ifndef QUERY_MANUAL_MANUAL_H
#define QUERY_MANUAL_MANUAL_H

#include "query/session.h"

enum {
    MANUAL_SETS = 8,
    MANUAL_COMMANDS = 32
};

/* A command, as its help explains it; all of it constants. */
struct manual_command {
    const char *name, *arguments, *summary, *about;
    struct option_set sets[MANUAL_SETS]; /* ended by ROWS NULL */
};

struct manual {
    struct manual_command items[MANUAL_COMMANDS];
    size_t count;
};

/* Every command of cellar, in the order of its help. */
enum status manual_collect(struct manual *out, struct fault *why);

/* cellar-index as the one command that it is. */
struct manual_command manual_indexer(void);

/* How many of the commands have the option set ROWS. */
int manual_users(const struct manual *manual, const struct option_row *rows);

/* --- words in front of columns ------------------------------------------- */

/* A line of an ABOUT such as "  new NAME      make a list". */
struct manual_line {
    const char *left, *right; /* borrowed, not ended by NUL */
    int left_length, right_length;
};

/* Is LINE (LENGTH bytes) indented, with two columns? */
bool manual_columns(struct manual_line *out, const char *line, size_t length);

/* Call TAKE for each word that may follow COMMAND ("add", "show" of `cellar
 * bank`), the lines after "WORD is one of"; a word may come twice. */
void manual_words(const struct manual_command *command,
                  void (*take)(void *context, const struct manual_line *line),
                  void *context);

/* --- writers ------------------------------------------------------------- */

/* Each writes what stands for a directive in a template (see main.c).
 * ARGUMENT is what follows the directive on its line. */
void mdoc_head(FILE *out, const struct manual *manual, const char *argument);
void mdoc_commands(FILE *out, const struct manual *manual,
                   const char *argument);
void mdoc_shared(FILE *out, const struct manual *manual, const char *argument);
void mdoc_indexer(FILE *out, const struct manual *manual, const char *argument);
void mdoc_exit_status(FILE *out, const struct manual *manual,
                      const char *argument);
void mdoc_classes(FILE *out, const struct manual *manual, const char *argument);
void mdoc_relations(FILE *out, const struct manual *manual,
                    const char *argument);
void completion_bash(FILE *out, const struct manual *manual,
                     const char *argument);
void completion_zsh(FILE *out, const struct manual *manual,
                    const char *argument);
void completion_fish(FILE *out, const struct manual *manual,
                     const char *argument);
void completion_fish_valued(FILE *out, const struct manual *manual,
                            const char *argument);

#endif
