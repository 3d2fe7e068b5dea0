/* query/main.c - cellar: ask a library of transcribed solos.
 *
 * The commands are those of query/commands.c.  All that goes to stderr is
 * printed by query/complain.c.
 */
#include <errno.h>
#include <malloc.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>

#include "query/commands.h"
#include "query/complain.h"
#include "query/session.h"
#include "schema/version.h"

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
        commands_help(stdout);
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
    st = command_find(&session->command, argv[at], why);
    if (st != ST_OK)
        return st;
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

/* Every question needs several hundred kilobytes: the heap grows by as much as
 * that, and not by 128 at a time. */
static void take_memory(void)
{
#ifdef M_TOP_PAD /* of the GNU C library */
    mallopt(M_TOP_PAD, 1 << 20);
#endif
}

int main(int argc, char **argv)
{
    struct session session = { 0 };
    struct fault why = { 0 };
    enum status st;

    /* Die quietly when the reader of a pipe has seen enough, also where the
     * parent had the signal ignored. */
    signal(SIGPIPE, SIG_DFL);
    take_memory();
    st = run(&session, argc - 1, argv + 1, &why);
    st = close_stdout(st, &why);
    if (st != ST_OK)
        complain(stderr, &session, &why);
    session_close(&session);
    return status_exit_code(st);
}
