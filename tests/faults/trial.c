/* tests/faults/trial.c - see trial.h. */
#include "tests/faults/trial.h"

#include <ctype.h>
#include <err.h>
#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include "tests/faults/shim.h"

enum {
    HANG_SECONDS = 60 /* a busy machine is no failure */
};

static int64_t now(void)
{
    struct timespec t;

    clock_gettime(CLOCK_MONOTONIC, &t);
    return (int64_t)t.tv_sec * 1000000000 + t.tv_nsec;
}

/* --- what a program printed -------------------------------------------- */

/* Blank out the number or day after each LABEL of TEXT, or before it. */
static void forget_numbers(char *text, const char *label, bool before)
{
    char *at = text;

    while ((at = strstr(at, label)) != NULL) {
        char *digit = before ? at - 1 : at + strlen(label);

        while (digit >= text && *digit &&
               (isdigit((unsigned char)*digit) || strchr(".-", *digit))) {
            *digit = '#';
            digit += before ? -1 : 1;
        }
        at += strlen(label);
    }
}

/* "0.1 seconds" and "10.1 seconds" are told apart by their length alone. */
static void join_marks(char *text)
{
    char *to = text;

    for (const char *from = text; *from; from++)
        if (*from != '#' || to == text || to[-1] != '#')
            *to++ = *from;
    *to = '\0';
}

static char *text_of(int fd)
{
    off_t size = lseek(fd, 0, SEEK_END);
    char *text = calloc(1, (size_t)size + 1);

    if (!text || pread(fd, text, (size_t)size, 0) != size)
        err(1, "cannot read what was printed");
    close(fd);
    forget_numbers(text, "\"milliseconds\":", false);
    forget_numbers(text, "\"added\":", false);
    forget_numbers(text, "added ", false);
    forget_numbers(text, " seconds", true);
    forget_numbers(text, " ms", true);
    join_marks(text);
    return text;
}

/* --- running ----------------------------------------------------------- */

static void set_fault(const struct bench *bench, const struct blow *blow)
{
    char number[24];

    snprintf(number, sizeof number, "%lld", (long long)blow->at);
    setenv("CELLAR_FAULT", blow->fault, 1);
    setenv("CELLAR_FAULT_AT", number, 1);
    setenv("CELLAR_FAULT_REPORT", bench->report, 1);
    if (blow->stays)
        setenv("CELLAR_FAULT_STAYS", "1", 1);
    setenv("LD_PRELOAD", bench->shim, 1);
}

static void child(const struct bench *bench, char *const *argv,
                  const struct blow *blow, int out, int faults)
{
    sigset_t none;

    sigemptyset(&none);
    sigprocmask(SIG_SETMASK, &none, NULL);
    if (dup2(open("/dev/null", O_RDONLY), STDIN_FILENO) < 0 ||
        dup2(out, STDOUT_FILENO) < 0 || dup2(faults, STDERR_FILENO) < 0)
        _exit(126);
    if (blow->fault)
        set_fault(bench, blow);
    execv(argv[0], argv);
    _exit(127);
}

/* Wait for PID until UNTIL, then end it.  True when it had to be ended. */
static bool wait_until(pid_t pid, int64_t until, int *status)
{
    sigset_t ended;

    sigemptyset(&ended);
    sigaddset(&ended, SIGCHLD);
    for (;;) {
        int64_t left = until - now();
        struct timespec t = { left / 1000000000, left % 1000000000 };

        if (waitpid(pid, status, WNOHANG) == pid)
            return false;
        if (left <= 0)
            break;
        sigtimedwait(&ended, NULL, &t);
    }
    kill(pid, SIGKILL);
    waitpid(pid, status, 0);
    return true;
}

static void read_report(const struct bench *bench, struct outcome *o)
{
    struct shim_report report = { 0 };
    int fd = open(bench->report, O_RDONLY | O_CLOEXEC);

    if (fd < 0 || read(fd, &report, sizeof report) != sizeof report)
        err(1, "%s", bench->report);
    close(fd);
    o->met = report.met;
    o->in_fts_open = report.in_fts_open > 0;
}

static void clear_report(const struct bench *bench)
{
    const struct shim_report none = { 0 };
    int fd = open(bench->report, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC,
                  0666);

    if (fd < 0 || write(fd, &none, sizeof none) != sizeof none)
        err(1, "%s", bench->report);
    close(fd);
}

struct outcome trial_run(const struct bench *bench, char *const *argv,
                         const struct blow *blow)
{
    struct outcome o = { .status = -1 };
    int out = memfd_create("out", MFD_CLOEXEC);
    int faults = memfd_create("err", MFD_CLOEXEC);
    int64_t start, most = (int64_t)HANG_SECONDS * 1000000000;
    bool ended;
    int status = 0;
    pid_t pid;

    if (blow->fault)
        clear_report(bench);
    start = now();
    pid = fork();
    if (out < 0 || faults < 0 || pid < 0)
        err(1, "cannot start a program");
    if (pid == 0)
        child(bench, argv, blow, out, faults);
    ended = wait_until(pid,
                       start + (blow->kill_after ? blow->kill_after : most),
                       &status);
    o.hung = ended && !blow->kill_after;
    o.length = now() - start;
    if (WIFEXITED(status))
        o.status = WEXITSTATUS(status);
    else
        o.signal = WTERMSIG(status);
    o.out = text_of(out);
    o.err = text_of(faults);
    /* glibc 2.36, elf/dl-lookup.c, do_lookup_unique(), from memory: there is no
     * room for a symbol that is to be there once, as libstdc++ has them. */
    o.in_loader = o.status == 127 && strcmp(o.err, "out of memory\n") == 0;
    if (o.status >= 126 && !o.in_loader)
        errx(1, "cannot run %s", argv[0]);
    if (blow->fault)
        read_report(bench, &o);
    return o;
}

void outcome_free(struct outcome *outcome)
{
    free(outcome->out);
    free(outcome->err);
    *outcome = (struct outcome){ 0 };
}
