/* query/session.h - one run of cellar: its command, options and library.
 *
 * A command is a function in a file of its own, cmd_NAME.c, and a row of the
 * table in main.c.  It reads its options (session_options()), looks at what
 * it was asked, opens the library (session_open()), and hands its answer to
 * a printer.  It prints nothing on stderr itself: what went wrong, or that
 * nothing was found, goes into the fault, and main.c says it.
 */
#ifndef QUERY_SESSION_H
#define QUERY_SESSION_H

#include "query/corrections.h"
#include "query/printer.h"
#include "schema/options.h"
#include "schema/store.h"

struct session;

struct command {
    const char *name;
    /* ARGC arguments ARGV without program and command name.  ST_NOTHING
     * where nothing was found, with a hint in WHY. */
    enum status (*run)(struct session *session, int argc, char **argv,
                       struct fault *why);
    const char *arguments; /* for help: "FRAGMENT" */
    const char *summary;   /* what it answers, one line */
    bool needs_library;
};

enum color_choice {
    COLOR_AUTO,
    COLOR_ALWAYS,
    COLOR_NEVER
};

/* The options every command has. */
struct common_options {
    bool help, version;
    int color;           /* enum color_choice */
    const char *library; /* NULL: look for it */
};

/* Takes the help of a command instead of having it printed: SETS hold its
 * options and the common ones, ABOUT is what session_options() was given.
 * The rows and ABOUT are constants, the array of sets is not. */
struct help_taker {
    void (*take)(void *context, const struct option_set *sets,
                 const char *about);
    void *context;
};

struct session {
    const struct command *command;
    struct common_options common;
    bool answered; /* --help or --version was asked for and printed */
    const struct help_taker *help; /* borrowed; NULL: help is printed */
    char *library; /* owned */
    struct store *store;
    struct corrections *corrections; /* of forms, by the user; may be NULL */
    /* The text the fault's offset counts in, so that a caret can be put under
     * the wrong token; NULL where there is none.  Owned. */
    char *faulty_text;
    /* What the user may have meant: printed below the fault.  Owned. */
    struct solo_list candidates;
};

/* Read the options of the command into the sets OWN (at most 5, ended by
 * ROWS NULL) and the common options; ARGV keeps the *ARGC other arguments.
 * With --help the help of the command is printed, ABOUT (paragraphs divided
 * by newlines) before its options, and session->answered set: the command
 * then returns. */
enum status session_options(struct session *session,
                            const struct option_set *own, const char *about,
                            int *argc, char **argv, struct fault *why);

/* Find the library: session->library. */
enum status session_find(struct session *session, struct fault *why);
/* Find and open the library: session->store. */
enum status session_open(struct session *session, struct fault *why);
/* The notebook of the library, without its index; *OUT is NULL where a reader
 * finds none.  The caller closes it (notebook_close()). */
enum status session_notebook(struct notebook **out, struct session *session,
                             enum notebook_mode mode, struct fault *why);

/* Where and how a printer writes: stdout, its width, colour. */
struct output session_output(const struct session *session);

/* The arguments joined by blanks, for what may be written without quotes.
 * NULL when memory is out; the caller owns it (free()). */
char *join_arguments(int argc, char **argv);

/* Release everything; the session may be all zero. */
void session_close(struct session *session);

/* Read the options before the command: the common ones alone. */
enum status session_first_options(struct session *session, int *argc,
                                  char **argv, struct fault *why);
/* The row of a common option called NAME (LEN bytes), or NULL. */
const struct option_row *session_common_row(const char *name, size_t len);
/* Print the help of the common options. */
void session_common_help(FILE *out);

/* The commands.  Each is described in the file of its name. */
enum status cmd_bank(struct session *session, int argc, char **argv,
                     struct fault *why);
enum status cmd_cells(struct session *session, int argc, char **argv,
                      struct fault *why);
enum status cmd_check(struct session *session, int argc, char **argv,
                      struct fault *why);
enum status cmd_coverage(struct session *session, int argc, char **argv,
                         struct fault *why);
enum status cmd_find(struct session *session, int argc, char **argv,
                     struct fault *why);
enum status cmd_form(struct session *session, int argc, char **argv,
                     struct fault *why);
enum status cmd_list(struct session *session, int argc, char **argv,
                     struct fault *why);
enum status cmd_openings(struct session *session, int argc, char **argv,
                         struct fault *why);
enum status cmd_solo(struct session *session, int argc, char **argv,
                     struct fault *why);
enum status cmd_solos(struct session *session, int argc, char **argv,
                      struct fault *why);
enum status cmd_tension(struct session *session, int argc, char **argv,
                        struct fault *why);

#endif
