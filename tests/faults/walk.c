/* tests/faults/walk.c - one command, one kind of fault, at every moment.
 *
 * usage: walk [OPTION...] PROGRAM ARGUMENT...
 *   --library DIR   the library; DIR.before* is what it starts from
 *   --cellar FILE, --shim FILE
 *   --title TEXT    the command as the table names it
 *   --fault NAME    of shim.c; "killed": SIGKILL at random moments
 *   --stays         every call from the n-th on fails
 *   --indexes       the command is cellar-index
 *   --answers       to refuse is wrong, since nothing need be written
 *   --allow DIR     a library whose state a fault may leave (repeatable)
 *   --stride N      only every N-th moment; of "killed": N moments
 *   --only N        one moment, and all that was printed
 *   --messages      the different lines that were said
 * Prints one row of the table; the exit status is 1 where a row has a bad
 * outcome.
 */
#include <err.h>
#include <getopt.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "tests/faults/judge.h"

enum {
    BAD_SHOWN = 5,
    ALLOWED_MAX = 4,
    MESSAGES_MAX = 40
};

struct settings {
    struct bench bench;
    struct course course;
    bool stays, messages;
    long stride, only;
    const char *allowed[ALLOWED_MAX];
    int allowed_count;
};

struct counts {
    long moments, of[VERDICTS];
    long late; /* it was done, though the program said it failed */
};

/* --- the options ------------------------------------------------------- */

static const struct option options[] = {
    { "library", required_argument, NULL, 'l' },
    { "cellar", required_argument, NULL, 'c' },
    { "shim", required_argument, NULL, 's' },
    { "title", required_argument, NULL, 't' },
    { "fault", required_argument, NULL, 'f' },
    { "stays", no_argument, NULL, 'y' },
    { "indexes", no_argument, NULL, 'i' },
    { "answers", no_argument, NULL, 'q' },
    { "allow", required_argument, NULL, 'a' },
    { "stride", required_argument, NULL, 'n' },
    { "only", required_argument, NULL, 'o' },
    { "messages", no_argument, NULL, 'm' },
    { NULL, 0, NULL, 0 }
};

static void take_option(struct settings *s, int letter)
{
    switch (letter) {
    case 'l': s->course.library.folder = optarg; break;
    case 'c': s->course.library.cellar = optarg; break;
    case 's': s->bench.shim = optarg; break;
    case 't': s->course.title = optarg; break;
    case 'f': s->course.fault = optarg; break;
    case 'y': s->stays = true; break;
    case 'i': s->course.indexes = true; break;
    case 'q': s->course.answers = true; break;
    case 'n': s->stride = atol(optarg); break;
    case 'o': s->only = atol(optarg); break;
    case 'm': s->messages = true; break;
    case 'a':
        if (s->allowed_count < ALLOWED_MAX)
            s->allowed[s->allowed_count++] = optarg;
        break;
    default: exit(2);
    }
}

static void read_options(struct settings *s, int argc, char **argv)
{
    static char report[4096];
    int letter;

    while ((letter = getopt_long(argc, argv, "+", options, NULL)) != -1)
        take_option(s, letter);
    if (!s->course.library.folder || !s->course.library.cellar ||
        !s->bench.shim || !s->course.title || !s->course.fault ||
        optind == argc)
        errx(2, "see the head of walk.c");
    snprintf(report, sizeof report, "%s.report", s->course.library.folder);
    s->bench.report = report;
    s->course.argv = argv + optind;
    s->course.library.bench = &s->bench;
}

static void allow_states(struct settings *s)
{
    for (int i = 0; i < s->allowed_count; i++) {
        struct library other = s->course.library;

        other.folder = s->allowed[i];
        course_allow(&s->course, state_tell(&other));
    }
}

/* --- what was said ----------------------------------------------------- */

static void show_message(const struct outcome *o)
{
    static char *seen[MESSAGES_MAX];
    static int count;

    for (int i = 0; i < count; i++)
        if (strcmp(seen[i], o->err) == 0)
            return;
    if (count < MESSAGES_MAX) {
        seen[count++] = strdup(o->err);
        printf("# status %d: %s%s", o->status, o->err, *o->err ? "" : "\n");
    }
}

/* --- the walk ---------------------------------------------------------- */

/* Try one moment.  False where the program ended before it came. */
static bool try_moment(struct settings *s, const struct blow *blow,
                       struct counts *counts)
{
    struct course *c = &s->course;
    struct outcome o;
    enum verdict verdict;
    const char *why;
    int state;

    state_put_back(&c->library, "before");
    o = trial_run(&s->bench, c->argv, blow);
    if (blow->fault && !o.met) {
        outcome_free(&o);
        return false;
    }
    verdict = course_judge(c, &o, s->stays, &state, &why);
    counts->moments++;
    counts->of[verdict]++;
    counts->late += verdict == REFUSED && state == AFTER &&
                    strcmp(c->states[BEFORE], c->states[AFTER]) != 0;
    if (s->messages && verdict != AS_USUAL)
        show_message(&o);
    if ((verdict == BAD && counts->of[BAD] <= BAD_SHOWN) || s->only)
        printf("# %s, %s, moment %lld: %s; status %d, signal %d\n# %s%s%s",
               c->fault, c->title, (long long)blow->at, why ? why : "good",
               o.status, o.signal, s->only ? o.out : "", o.err,
               *o.err ? "" : "\n");
    outcome_free(&o);
    return true;
}

static void walk(struct settings *s, struct counts *counts)
{
    struct blow blow = { s->course.fault, s->only ? s->only : 1, s->stays, 0 };
    long step = s->stride ? s->stride : 1;

    while (try_moment(s, &blow, counts) && !s->only)
        blow.at += step;
}

/* Kill at moments that are spread over the time that the command takes. */
static void kill_at_random(struct settings *s, struct counts *counts)
{
    long moments = s->stride ? s->stride : 500;
    int64_t length = s->course.usual.length;

    srandom(20);
    for (long i = 0; i < moments; i++) {
        struct blow blow = { NULL, i, false, 0 };

        blow.kill_after = 1 + (int64_t)((double)length * 1.1 *
                                        (double)random() / RAND_MAX);
        try_moment(s, &blow, counts);
    }
}

int main(int argc, char **argv)
{
    struct settings s = { .stride = 0 };
    struct counts counts = { 0 };
    sigset_t ended;

    sigemptyset(&ended);
    sigaddset(&ended, SIGCHLD);
    sigprocmask(SIG_BLOCK, &ended, NULL);
    read_options(&s, argc, argv);
    course_learn(&s.course);
    allow_states(&s);
    if (strcmp(s.course.fault, "killed") == 0)
        kill_at_random(&s, &counts);
    else
        walk(&s, &counts);
    printf("| %s%s | %s | %ld | %ld | %ld | %ld | %ld | %ld | %ld | %ld |\n",
           s.course.fault, s.stays ? " from there on" : "", s.course.title,
           counts.moments, counts.of[AS_USUAL], counts.of[REFUSED],
           counts.late, counts.of[LEFT_OUT], counts.of[CUT_SHORT],
           counts.of[NOT_OURS], counts.of[BAD]);
    return counts.of[BAD] ? 1 : 0;
}
