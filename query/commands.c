/* query/commands.c - the table of commands, and the command that explains it.
 */
#include "query/commands.h"

#include <string.h>

static enum status cmd_help(struct session *session, int argc, char **argv,
                            struct fault *why);

const struct command commands[] = {
    { "solos", cmd_solos, "", "what is in the library", true },
    { "solo", cmd_solo, "SOLO", "one solo: its facts, chord grid and notes",
      true },
    { "form", cmd_form, "SOLO", "its choruses and sections", true },
    { "find", cmd_find, "FRAGMENT",
      "every place where a fragment occurs, best first", true },
    { "openings", cmd_openings, "[SOLO]",
      "how each chorus opens, and which openings recur", true },
    { "list", cmd_list, "WORD ...",
      "study lists: places that you keep, and handouts of them", true },
    { "bank", cmd_bank, "WORD ...", "cells that you keep, in banks with names",
      true },
    { "tension", cmd_tension, "DEGREE",
      "every note on a degree of a chord, and a table of all", true },
    { "cells", cmd_cells, "", "cells that recur, most used first", true },
    { "coverage", cmd_coverage, "SOLO",
      "what of a solo is made of cells, and what joins them", true },
    { "check", cmd_check, "", "whether index and notebook are sound", true },
    { "help", cmd_help, "[COMMAND]", "how a command is used", false },
    { .name = NULL },
};

enum {
    COMMANDS = sizeof commands / sizeof *commands - 1
};

const char commands_exit_status[] =
    "0 found, 1 nothing found, 2 wrong use, 3 a bad library or file, 4 "
    "something else failed.";

enum status command_find(const struct command **out, const char *name,
                         struct fault *why)
{
    const char *words[COMMANDS + 1] = { NULL };
    const char *near;

    for (int i = 0; i < COMMANDS; i++) {
        if (strcmp(commands[i].name, name) == 0) {
            *out = &commands[i];
            return ST_OK;
        }
        words[i] = commands[i].name;
    }
    near = options_nearest(words, name);
    if (near)
        return fault_set(why, ST_USAGE,
                         "unknown command '%.40s'; did you mean '%s'?", name,
                         near);
    return fault_set(why, ST_USAGE,
                     "unknown command '%.40s'; 'cellar help' lists them", name);
}

void commands_help(FILE *out)
{
    fputs("usage: cellar COMMAND [ARGUMENT...] [OPTION...]\n\n"
          "Ask a library of transcribed solos that cellar-index has read.\n\n"
          "Commands:\n",
          out);
    for (int i = 0; i < COMMANDS; i++)
        fprintf(out, "  %-8s %-12s %s\n", commands[i].name,
                commands[i].arguments, commands[i].summary);
    fputs("\n'cellar help COMMAND' explains one of them.\n", out);
    session_common_help(out);
    fputs("\nExit status: ", out);
    options_print_wrapped(out, commands_exit_status, 0, 13);
}

static enum status cmd_help(struct session *session, int argc, char **argv,
                            struct fault *why)
{
    const struct option_set none[] = { { NULL, NULL } };
    enum status st = session_options(
        session, none, "How a command is used, and what its options are.",
        &argc, argv, why);
    char ask[] = "--help";
    char *asked[] = { ask, NULL };

    if (st != ST_OK || session->answered)
        return st;
    if (argc == 0) {
        commands_help(stdout);
        return ST_OK;
    }
    st = command_find(&session->command, argv[0], why);
    return st == ST_OK ? session->command->run(session, 1, asked, why) : st;
}
