/* query/manual/completion.h - what may follow on a command line, for every
 * shell. */
#ifndef QUERY_MANUAL_COMPLETION_H
#define QUERY_MANUAL_COMPLETION_H

#include "query/manual/manual.h"

/* What may stand as the value of an option or as an argument. */
enum completion_values {
    VALUES_FREE,  /* anything */
    VALUES_WORDS, /* one of some words */
    VALUES_FILES,
    VALUES_DIRS,
    VALUES_SOLOS, /* names that the library holds */
    VALUES_LISTS,
    VALUES_BANKS
};

/* Of an option that takes a value. */
enum completion_values completion_of_option(const struct option_row *row);

/* Of the first argument (PLACE 0) or the second of a command; VALUES_WORDS of
 * `help` are the commands, others manual_words(). */
enum completion_values completion_of_argument(
    const struct manual_command *command, int place);

/* Is WORD of COMMAND followed by a name that is there already?  A name that is
 * new, or none at all, is nothing to offer. */
bool completion_word_names(const struct manual_line *word);

/* The options that may stand before a command. */
bool completion_is_common(const struct manual *manual,
                          const struct option_row *rows);

/* Call TAKE for each option of COMMAND; NULL: those before a command. */
void completion_options(
    const struct manual *manual, const struct manual_command *command,
    void (*take)(void *context, const struct option_row *row), void *context);

/* The first sentence of TEXT, without its full stop: its length. */
size_t completion_sentence(const char *text);

#endif
