/* query/manual/shell.h - what the completions of several shells share. */
#ifndef QUERY_MANUAL_SHELL_H
#define QUERY_MANUAL_SHELL_H

#include "query/manual/completion.h"

/* The words of COMMAND, divided by SEPARATOR; with NAMED only those that a
 * name follows. */
void shell_words(FILE *out, const struct manual_command *command,
                 const char *separator, bool named);

/* The names of the commands, divided by blanks. */
void shell_commands(FILE *out, const struct manual *manual);

/* The choices of ROW, divided by blanks. */
void shell_choices(FILE *out, const struct option_row *row);

/* A function for bash and zsh: `_cellar_arguments COMMAND PLACE WORD` prints
 * what may stand there, words or @solos and the like. */
void shell_arguments(FILE *out, const struct manual *manual);

/* "solos", "lists", "files" ...; "" for VALUES_FREE and VALUES_WORDS. */
const char *shell_values_name(enum completion_values values);

#endif
