/* indexer/main.c - cellar-index: the command line of the indexer. */
#include <errno.h>
#include <signal.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include "indexer/library.h"
#include "indexer/settings.h"
#include "schema/options.h"
#include "schema/status.h"
#include "schema/version.h"

/* What the run's messages need. */
struct report {
    const struct settings *settings;
    bool color, progress;
    bool line_open; /* a progress line stands on the terminal */
    int64_t progress_time; /* milliseconds, when it was last written */
};

static atomic_bool stop_asked;

static void ask_to_stop(int number)
{
    (void)number;
    atomic_store(&stop_asked, true);
}

/* The first Ctrl-C ends the run in good order; the second one at once, which
 * the index survives as well. */
static void catch_signals(void)
{
    struct sigaction action = { .sa_handler = ask_to_stop,
                                .sa_flags = (int)SA_RESETHAND };

    sigemptyset(&action.sa_mask);
    sigaction(SIGINT, &action, NULL);
    sigaction(SIGTERM, &action, NULL);
    /* A closed pipe shows when stdout is checked at the end. */
    signal(SIGPIPE, SIG_IGN);
}

/* --- messages ---------------------------------------------------------- */

static int64_t milliseconds_now(void)
{
    struct timespec now;

    clock_gettime(CLOCK_MONOTONIC, &now);
    return (int64_t)now.tv_sec * 1000 + now.tv_nsec / 1000000;
}

static void end_progress(struct report *r)
{
    if (r->line_open)
        fputs("\r\033[K", stderr);
    r->line_open = false;
}

/* "SUBJECT: TEXT" on stderr, the subject in colour. */
static void say(struct report *r, const char *subject, const char *text)
{
    char safe_subject[4096], safe_text[1024];

    end_progress(r);
    text_make_safe(safe_subject, sizeof safe_subject, subject);
    text_make_safe(safe_text, sizeof safe_text, text);
    fprintf(stderr, "%s%s%s: %s\n", r->color ? "\033[1;31m" : "",
            safe_subject, r->color ? "\033[0m" : "", safe_text);
}

static void say_fault(struct report *r, const struct fault *why)
{
    say(r, "cellar-index", why->message);
}

static void on_unreadable(void *context, const char *path, const char *reason,
                          bool known)
{
    struct report *r = context;

    if (!known || r->settings->warnings)
        say(r, path, reason);
}

static void on_warning(void *context, const char *path,
                       const struct warning *w)
{
    struct report *r = context;
    char text[4096 + 1024], safe[4096 + 1024];

    if (!r->settings->warnings)
        return;
    end_progress(r);
    if (w->bar[0])
        snprintf(text, sizeof text, "%s, bar %s: <%s>: %s", path, w->bar,
                 w->element, w->message);
    else
        snprintf(text, sizeof text, "%s: <%s>: %s", path, w->element,
                 w->message);
    fprintf(stderr, "%s\n", text_make_safe(safe, sizeof safe, text));
}

static void on_note(void *context, const char *text)
{
    struct report *r = context;

    if (!r->settings->quiet)
        say(r, "cellar-index", text);
}

static void on_progress(void *context, size_t done, size_t total,
                        const char *path)
{
    struct report *r = context;
    int64_t now = milliseconds_now();
    char name[50];

    if (!r->progress || (done < total && now - r->progress_time < 100))
        return;
    r->progress_time = now;
    text_make_safe(name, sizeof name, path);
    fprintf(stderr, "\r\033[K%zu of %zu files  %s", done, total, name);
    fflush(stderr);
    r->line_open = true;
}

static bool is_on(int when)
{
    const char *terminal = getenv("TERM");

    if (when == AUTO)
        return isatty(STDERR_FILENO) && terminal
               && strcmp(terminal, "dumb") != 0;
    return when == ALWAYS;
}

static struct report report_for(const struct settings *settings)
{
    const char *no_color = getenv("NO_COLOR");
    bool plain = settings->color == AUTO && no_color && no_color[0];

    return (struct report){
        .settings = settings,
        .color = !plain && is_on(settings->color),
        .progress = !settings->quiet && is_on(settings->progress),
    };
}

/* --- the run ----------------------------------------------------------- */

static void add_counts(struct library_counts *sum,
                       const struct library_counts *counts)
{
    sum->read += counts->read;
    sum->unchanged += counts->unchanged;
    sum->removed += counts->removed;
    sum->unreadable += counts->unreadable;
    sum->notes += counts->notes;
    sum->chords += counts->chords;
    sum->warnings += counts->warnings;
}

/* The wording is fixed: scripts read it. */
static void print_summary(const struct library_counts *c, int64_t milliseconds)
{
    long long tenths = (milliseconds + 50) / 100;

    printf("%lld files read, %lld unchanged, %lld removed, %lld unreadable; "
           "%lld notes, %lld chords, %lld warnings; %lld.%lld seconds\n",
           (long long)c->read, (long long)c->unchanged, (long long)c->removed,
           (long long)c->unreadable, (long long)c->notes,
           (long long)c->chords, (long long)c->warnings, tenths / 10,
           tenths % 10);
}

/* Bring the library, or each folder as a library, up to date.  A folder that
 * cannot be indexed does not keep the others from it; returned is
 * ST_INTERRUPTED, else the first status that was not ST_OK.  *DONE says
 * whether any succeeded. */
static enum status update_all(const struct settings *settings,
                              const char *const *folders, size_t count,
                              struct report *report,
                              struct library_counts *sum, bool *done)
{
    struct library_options options = {
        .part = settings->part,
        .jobs = (int)settings->jobs,
        .full = settings->full,
        .stop = &stop_asked,
        .events = { report, on_unreadable, on_warning, on_note, on_progress },
    };
    size_t step = settings->library ? count : 1;
    enum status first = ST_OK;

    for (size_t i = 0; i < count && first != ST_INTERRUPTED; i += step) {
        const char *library
            = settings->library ? settings->library : folders[i];
        struct library_counts counts;
        struct fault why;
        enum status st = library_update(library, folders + i, step, &options,
                                        &counts, &why);

        end_progress(report);
        if (st != ST_OK)
            say_fault(report, &why);
        if (st != ST_OK && (first == ST_OK || st == ST_INTERRUPTED))
            first = st;
        *done = *done || st == ST_OK;
        add_counts(sum, &counts);
    }
    return first;
}

static enum status run(const struct settings *settings,
                       const char *const *folders, size_t count)
{
    struct report report = report_for(settings);
    struct library_counts sum = { 0 };
    int64_t start = milliseconds_now();
    bool done = false;
    enum status st;

    catch_signals();
    st = update_all(settings, folders, count, &report, &sum, &done);
    if (done && !settings->quiet && st != ST_INTERRUPTED)
        print_summary(&sum, milliseconds_now() - start);
    if (st == ST_OK && settings->strict && sum.unreadable)
        return ST_INPUT;
    return st;
}

static enum status print_help(const struct option_set *sets)
{
    printf("usage: %s\n\n", settings_usage);
    options_print_wrapped(stdout, settings_about, 0, 0);
    options_help(stdout, sets);
    fputs("\nExit status: ", stdout);
    options_print_wrapped(stdout, settings_exit_status, 0, 13);
    return ST_OK;
}

/* A full disk or a closed pipe must not look like success. */
static enum status check_stdout(struct report *report, enum status st)
{
    struct fault why;
    bool failed = ferror(stdout) != 0;

    errno = 0;
    if (fclose(stdout) == 0 && !failed)
        return st;
    fault_set(&why, ST_IO, "cannot write the output: %s",
              errno ? strerror(errno) : "it was cut short");
    say_fault(report, &why);
    return st == ST_OK ? ST_IO : st;
}

int main(int argc, char **argv)
{
    struct settings settings = { .jobs = 0 };
    const struct option_set sets[] = { { settings_rows, &settings },
                                       { NULL, NULL } };
    struct fault why;
    struct report report;
    int count = 0;
    enum status st = options_parse(sets, argc - 1, argv + 1, &count, &why);

    report = report_for(&settings);
    if (st == ST_OK && settings.help)
        st = print_help(sets);
    else if (st == ST_OK && settings.version)
        puts("cellar-index " CELLAR_VERSION);
    else if (st == ST_OK && count == 0)
        st = fault_set(&why, ST_USAGE,
                       "no folder given; usage: %s", settings_usage);
    else if (st == ST_OK)
        return status_exit_code(check_stdout(
            &report, run(&settings, (const char *const *)argv + 1,
                         (size_t)count)));
    if (st != ST_OK)
        say_fault(&report, &why);
    return status_exit_code(check_stdout(&report, st));
}
