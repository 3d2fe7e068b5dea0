/* query/commands.h - the commands of cellar.
 *
 * One table drives dispatch, help, suggestions, manual page and completion.
 */
#ifndef QUERY_COMMANDS_H
#define QUERY_COMMANDS_H

#include "query/session.h"

/* Ended by a row whose NAME is NULL. */
extern const struct command commands[];

/* What each exit status means, one line without a newline. */
extern const char commands_exit_status[];

/* The command called NAME into *OUT; ST_USAGE where there is none, and WHY
 * names the one that may have been meant. */
enum status command_find(const struct command **out, const char *name,
                         struct fault *why);

/* Print what `cellar --help` prints. */
void commands_help(FILE *out);

#endif
