/* tests/faults/judge.h - was that the right thing to do about a fault? */
#ifndef FAULTS_JUDGE_H
#define FAULTS_JUDGE_H

#include "tests/faults/state.h"
#include "tests/faults/trial.h"

enum verdict {
    AS_USUAL,  /* the same answer, as though nothing had been */
    REFUSED,   /* status 4 and one line that names the trouble */
    LEFT_OUT,  /* done but for something that one line names */
    CUT_SHORT, /* killed, as was meant */
    NOT_OURS,  /* a library crashes on its own (see is_not_ours()) */
    BAD,
    VERDICTS
};

enum {
    STATES_MAX = 6,
    BEFORE = 0, /* what was there, as though nothing had been asked */
    AFTER = 1   /* all of it is done; from 2 on: what is half of it */
};

/* A command whose faults are walked through. */
struct course {
    struct library library;
    char *const *argv;
    const char *title, *fault;
    bool indexes;    /* what is not read this time is read the next time */
    bool answers;    /* to refuse it is wrong: it need not write anything */
    struct outcome usual;
    char *states[STATES_MAX]; /* as state_tell() gives them */
    int state_count;
};

/* Learn what COURSE does without a fault, from the state kept as "before".
 * What it holds afterwards is one of the states that are right. */
void course_learn(struct course *course);

/* The states a fault may leave, beside before and after. */
void course_allow(struct course *course, char *state);

/* What of the outcome O of a run from "before" is to be said.  *STATE is
 * which of the states it left; of a BAD one *WHY says what is wrong. */
enum verdict course_judge(const struct course *course, const struct outcome *o,
                          bool stays, int *state, const char **why);

#endif
