/* tests/faults/trial.h - run a program once, with a fault or killed. */
#ifndef FAULTS_TRIAL_H
#define FAULTS_TRIAL_H

#include <stdbool.h>
#include <stdint.h>

/* What is done to the program. */
struct blow {
    const char *fault;    /* a name of shim.c, or NULL */
    int64_t at;           /* the n-th call */
    bool stays;           /* and all after it */
    int64_t kill_after;   /* SIGKILL after so many nanoseconds; 0: none */
};

/* What came of it.  The texts are owned (release with outcome_free()). */
struct outcome {
    int status;      /* exit status, or -1 */
    int signal;      /* that ended it, or 0 */
    bool hung;       /* it was ended after HANG_SECONDS */
    int64_t met;     /* calls that were made to fail */
    bool in_fts_open; /* one of them there (see shim.h) */
    bool in_loader;   /* the loader of programs gave up, for want of memory */
    int64_t length;  /* nanoseconds it ran */
    char *out, *err; /* without times, which differ from run to run */
};

/* The shim, and a file the report is kept in. */
struct bench {
    const char *shim, *report;
};

/* Run ARGV.  Ends the whole program where a process cannot be started. */
struct outcome trial_run(const struct bench *bench, char *const *argv,
                         const struct blow *blow);
void outcome_free(struct outcome *outcome);

#endif
