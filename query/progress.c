/* query/progress.c - see progress.h. */
#include "query/progress.h"

#include <inttypes.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

enum { AUTO, ALWAYS, NEVER };

enum {
    BETWEEN = 100 /* milliseconds */
};

const char *const progress_words[] = { "auto", "always", "never", NULL };

struct progress progress_start(int when)
{
    const char *terminal = getenv("TERM");
    bool on = when == AUTO ? isatty(STDERR_FILENO) && terminal &&
                                 strcmp(terminal, "dumb") != 0
                           : when == ALWAYS;

    return (struct progress){ .out = on ? stderr : NULL };
}

static int64_t milliseconds_now(void)
{
    struct timespec now;

    clock_gettime(CLOCK_MONOTONIC, &now);
    return (int64_t)now.tv_sec * 1000 + now.tv_nsec / 1000000;
}

void progress_step(void *context, const char *what, int64_t done,
                   int64_t total)
{
    struct progress *p = context;
    int64_t now;

    if (!p->out)
        return;
    now = milliseconds_now();
    if (p->line_open && done < total && now - p->shown < BETWEEN)
        return;
    p->shown = now;
    p->line_open = true;
    fprintf(p->out, "\r\033[K%" PRId64 " of %" PRId64 " %s", done, total, what);
    fflush(p->out);
}

void progress_end(struct progress *p)
{
    if (p->out && p->line_open)
        fputs("\r\033[K", p->out);
    p->line_open = false;
}
