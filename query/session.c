/* query/session.c - see session.h. */
#include "query/session.h"

#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include "query/columns.h"
#include "query/library_find.h"
#include "schema/version.h"

enum {
    SETS_MAX = 8,
    WIDTH_DEFAULT = 100, /* where stdout is no terminal */
    WIDTH_MIN = 40,
    WIDTH_MAX = 240,
    HELP_WIDTH = 80
};

static const char *const color_words[] = { "auto", "always", "never", NULL };

static const struct option_row library_rows[] = {
    { .kind = OPTION_HEADING, .help = "The library:" },
    { .name = "library",
      .value_name = "DIR",
      .help = "The folder of solos. Without it $CELLAR_LIBRARY, else the "
              "nearest folder from here upwards that holds .cellar/.",
      .kind = OPTION_TEXT,
      .offset = offsetof(struct common_options, library) },
    OPTION_END
};

static const struct option_row general_rows[] = {
    { .kind = OPTION_HEADING, .help = "Always:" },
    { .name = "color",
      .help = "Colour in the terminal; NO_COLOR is honoured.",
      .kind = OPTION_CHOICE,
      .choices = color_words,
      .offset = offsetof(struct common_options, color) },
    { .name = "help",
      .help = "Print this help.",
      .kind = OPTION_FLAG,
      .offset = offsetof(struct common_options, help) },
    { .name = "version",
      .help = "Print the version.",
      .kind = OPTION_FLAG,
      .offset = offsetof(struct common_options, version) },
    OPTION_END
};

/* Join the sets OWN (NULL: none) and the common ones into SETS. */
static void join_sets(struct option_set sets[SETS_MAX], struct session *session,
                      const struct option_set *own)
{
    int n = 0;

    for (; own && own->rows && n < SETS_MAX - 3; own++)
        sets[n++] = *own;
    if (!session->command || session->command->needs_library)
        sets[n++] = (struct option_set){ library_rows, &session->common };
    sets[n++] = (struct option_set){ general_rows, &session->common };
    sets[n] = (struct option_set){ NULL, NULL };
}

static void print_command_help(const struct session *session,
                               const struct option_set *sets, const char *about)
{
    const struct command *command = session->command;

    printf("usage: cellar %s%s%s [OPTION...]\n\n", command->name,
           *command->arguments ? " " : "", command->arguments);
    while (*about) {
        size_t len = strcspn(about, "\n");

        /* Lines that start with blanks are examples and stay as they are. */
        if (*about == ' ' || len == 0) {
            printf("%.*s\n", (int)len, about);
        } else {
            char *line = strndup(about, len);

            if (line)
                columns_wrap(stdout, line, HELP_WIDTH, 0);
            free(line);
        }
        about += len + (about[len] == '\n');
    }
    options_help(stdout, sets);
}

enum status session_first_options(struct session *session, int *argc,
                                  char **argv, struct fault *why)
{
    struct option_set sets[SETS_MAX];

    join_sets(sets, session, NULL);
    return options_parse(sets, *argc, argv, argc, why);
}

enum status session_options(struct session *session,
                            const struct option_set *own, const char *about,
                            int *argc, char **argv, struct fault *why)
{
    struct option_set sets[SETS_MAX];
    enum status st;

    join_sets(sets, session, own);
    st = options_parse(sets, *argc, argv, argc, why);
    if (st != ST_OK)
        return st;
    session->answered = session->common.help || session->common.version;
    if (session->common.help && session->help)
        session->help->take(session->help->context, sets, about);
    else if (session->common.help)
        print_command_help(session, sets, about);
    else if (session->common.version)
        puts("cellar " CELLAR_VERSION);
    return ST_OK;
}

enum status session_find(struct session *session, struct fault *why)
{
    return session->library ? ST_OK
                            : library_find(&session->library,
                                           session->common.library, why);
}

enum status session_open(struct session *session, struct fault *why)
{
    enum status st = session_find(session, why);

    if (st == ST_OK)
        st = store_open(&session->store, session->library, STORE_READ, NULL,
                        why);
    if (st == ST_OK)
        st = corrections_open(&session->corrections, session->store, why);
    return st;
}

enum status session_notebook(struct notebook **out, struct session *session,
                             enum notebook_mode mode, struct fault *why)
{
    enum status st = session_find(session, why);

    *out = NULL;
    if (st == ST_OK)
        st = library_check(session->library, why);
    if (st == ST_OK)
        st = notebook_open(out, session->library, mode, why);
    return st;
}

static bool wants_color(const struct session *session)
{
    const char *no_color = getenv("NO_COLOR");
    const char *terminal = getenv("TERM");

    if (session->common.color != COLOR_AUTO)
        return session->common.color == COLOR_ALWAYS;
    return isatty(STDOUT_FILENO) && !(no_color && *no_color) && terminal &&
           strcmp(terminal, "dumb") != 0;
}

static int stdout_width(void)
{
    struct winsize size;

    if (!isatty(STDOUT_FILENO) ||
        ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) != 0 || size.ws_col == 0)
        return WIDTH_DEFAULT;
    if (size.ws_col < WIDTH_MIN)
        return WIDTH_MIN;
    return size.ws_col > WIDTH_MAX ? WIDTH_MAX : size.ws_col;
}

struct output session_output(const struct session *session)
{
    return (struct output){ stdout, stdout_width(), wants_color(session) };
}

char *join_arguments(int argc, char **argv)
{
    size_t size = 1;
    char *out, *end;

    for (int i = 0; i < argc; i++)
        size += strlen(argv[i]) + 1;
    out = end = calloc(1, size);
    for (int i = 0; out && i < argc; i++) {
        if (i > 0)
            *end++ = ' ';
        end = stpcpy(end, argv[i]);
    }
    return out;
}

void session_close(struct session *session)
{
    if (session->store) {
        store_read_end(session->store);
        store_close(session->store);
    }
    corrections_free(session->corrections);
    free(session->library);
    free(session->faulty_text);
    solo_list_free(&session->candidates);
    memset(session, 0, sizeof *session);
}

const struct option_row *session_common_row(const char *name, size_t len)
{
    struct session none = { 0 };
    struct option_set sets[SETS_MAX];

    join_sets(sets, &none, NULL);
    return options_find(sets, name, len, NULL);
}

void session_common_help(FILE *out)
{
    struct session none = { 0 };
    struct option_set sets[SETS_MAX];

    join_sets(sets, &none, NULL);
    options_help(out, sets);
}
