/* query/main.c - cellar: ask a library of transcribed solos.
 *
 * The table below is the one list of commands: dispatch, help and suggestions
 * read it.  All that goes to stderr is printed by query/complain.c.
 */
#include <errno.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>

#include "query/columns.h"
#include "query/complain.h"
#include "query/session.h"
#include "schema/version.h"

static enum status cmd_help(struct session *session, int argc, char **argv,
                            struct fault *why);

static const struct command commands[] = {
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
};

enum {
    COMMANDS = sizeof commands / sizeof *commands
};

static const struct command *command_named(const char *name)
{
    for (int i = 0; i < COMMANDS; i++)
        if (strcmp(commands[i].name, name) == 0)
            return &commands[i];
    return NULL;
}

static enum status unknown_command(const char *name, struct fault *why)
{
    const char *words[COMMANDS + 1] = { NULL };
    const char *near;

    for (int i = 0; i < COMMANDS; i++)
        words[i] = commands[i].name;
    near = options_nearest(words, name);
    if (near)
        return fault_set(why, ST_USAGE,
                         "unknown command '%.40s'; did you mean '%s'?", name,
                         near);
    return fault_set(why, ST_USAGE,
                     "unknown command '%.40s'; 'cellar help' lists them", name);
}

static void print_help(void)
{
    puts(
        "usage: cellar COMMAND [ARGUMENT...] [OPTION...]\n\n"
        "Ask a library of transcribed solos that cellar-index has read.\n\n"
        "Commands:");
    for (int i = 0; i < COMMANDS; i++)
        printf("  %-8s %-12s %s\n", commands[i].name, commands[i].arguments,
               commands[i].summary);
    puts("\n'cellar help COMMAND' explains one of them.");
    session_common_help(stdout);
    puts(
        "\nExit status: 0 found, 1 nothing found, 2 wrong use, 3 a bad "
        "library or file,\n4 something else failed.");
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
        print_help();
        return ST_OK;
    }
    session->command = command_named(argv[0]);
    if (!session->command)
        return unknown_command(argv[0], why);
    return session->command->run(session, 1, asked, why);
}

/* The index of the command's name among the arguments: the first that is
 * neither a common option nor its value.  ARGC where there is none. */
static int command_at(int argc, char **argv)
{
    int i = 0;

    while (i < argc && argv[i][0] == '-') {
        const char *name = argv[i] + (argv[i][1] == '-' ? 2 : 1);
        const struct option_row *row =
            session_common_row(name, strcspn(name, "="));

        if (row && row->kind != OPTION_FLAG && !strchr(argv[i], '='))
            i++;
        i++;
    }
    return i < argc ? i : argc;
}

static enum status run_without_command(struct session *session, int argc,
                                       char **argv, struct fault *why)
{
    enum status st = session_first_options(session, &argc, argv, why);

    if (st != ST_OK)
        return st;
    if (session->common.version)
        puts("cellar " CELLAR_VERSION);
    else if (session->common.help)
        print_help();
    else
        return fault_set(why, ST_USAGE,
                         "what shall be asked? 'cellar help' lists the "
                         "commands");
    return ST_OK;
}

static enum status run(struct session *session, int argc, char **argv,
                       struct fault *why)
{
    int at = command_at(argc, argv);
    int before = at;
    enum status st;

    if (at == argc)
        return run_without_command(session, argc, argv, why);
    /* Only to refuse what is no common option: the command reads them all. */
    st = session_first_options(session, &before, argv, why);
    if (st != ST_OK) {
        fault_prefix(why, "before the command '%.40s'", argv[at]);
        return st;
    }
    session->command = command_named(argv[at]);
    if (!session->command)
        return unknown_command(argv[at], why);
    memmove(argv + at, argv + at + 1, (size_t)(argc - at - 1) * sizeof *argv);
    return session->command->run(session, argc - 1, argv, why);
}

/* A full disk must not look like an empty answer. */
static enum status close_stdout(enum status st, struct fault *why)
{
    bool failed = ferror(stdout) != 0;

    errno = 0;
    if ((fclose(stdout) != 0 || failed) && status_exit_code(st) < 2)
        return fault_set(why, ST_IO, "cannot write the whole answer: %s",
                         errno ? strerror(errno) : "the output failed");
    return st;
}

int main(int argc, char **argv)
{
    struct session session = { 0 };
    struct fault why = { 0 };
    enum status st;

    /* Die quietly when the reader of a pipe has seen enough, also where the
     * parent had the signal ignored. */
    signal(SIGPIPE, SIG_DFL);
    columns_start();
    st = run(&session, argc - 1, argv + 1, &why);
    st = close_stdout(st, &why);
    if (st != ST_OK)
        complain(stderr, &session, &why);
    session_close(&session);
    return status_exit_code(st);
}
