/* tests/faults/judge.c - see judge.h. */
#include "tests/faults/judge.h"

#include <err.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* --- what was left ----------------------------------------------------- */

/* What was found of states that were seen before: a thousand faults leave the
 * same few. */
struct known_state {
    uint64_t hash;
    int state;
    const char *why; /* what is wrong with it, or NULL */
};

static struct known_state known[4096];
static size_t known_count;

static int state_among(const struct course *c, const char *text)
{
    for (int i = c->state_count - 1; i >= 0; i--)
        if (strcmp(c->states[i], text) == 0)
            return i;
    return -1;
}

/* Run the command again without a fault.  What is wrong then, or NULL. */
static const char *run_again(const struct course *c)
{
    struct outcome o =
        trial_run(c->library.bench, c->argv, &(struct blow){ 0 });
    char *text = state_tell(&c->library);
    const char *why = NULL;

    if (o.signal || o.status != c->usual.status)
        why = "the next run fails";
    else if (strcmp(text, c->states[AFTER]) != 0)
        why = "the next run does not complete it";
    else if (!state_is_sound(&c->library))
        why = "integrity_check after the next run";
    if (why)
        printf("# the next run: status %d, %s%s", o.status, o.out, o.err);
    free(text);
    outcome_free(&o);
    return why;
}

/* Look at what lies in the library, and whether the next run completes it. */
static struct known_state look(const struct course *c, uint64_t hash)
{
    struct known_state s = { hash, -1, NULL };
    char *text;

    state_keep(&c->library, "left");
    text = state_tell(&c->library);
    s.state = state_among(c, text);
    if (s.state < 0) {
        s.why = "something is lost, or wrong";
        printf("# what is there then:\n%s\n", text);
    } else if (!state_is_sound(&c->library)) {
        s.why = "integrity_check";
    } else if (s.state != AFTER || c->indexes) {
        state_put_back(&c->library, "left");
        s.why = run_again(c);
    }
    free(text);
    return s;
}

static struct known_state state_left(const struct course *c)
{
    uint64_t hash = state_hash(&c->library);
    struct known_state s;

    for (size_t i = 0; i < known_count; i++)
        if (known[i].hash == hash)
            return known[i];
    s = look(c, hash);
    if (known_count < sizeof known / sizeof *known)
        known[known_count++] = s;
    return s;
}

/* --- what was said ----------------------------------------------------- */

static int lines_of(const char *text)
{
    int count = 0;

    for (; *text; text++)
        count += *text == '\n';
    return count;
}

/* Does the LEN bytes of LINE name the trouble, in words that help? */
static bool is_clear(const struct course *c, const char *line, size_t len)
{
    static const char *const of_memory[] = { "out of memory",
                                             "Cannot allocate memory",
                                             "cannot start a thread", NULL };
    static const char *const of_files[] = {
        "Input/output error", "disk I/O error", "No space left", "no room",
        "Too many open files", "may not be", "Permission denied", "cannot be",
        "cannot write", "out of memory", "Interrupted", "cannot list",
        NULL
    };
    static const char *const of_bugs[] = { "damaged", "bug", "not an error",
                                           "invalid", "()", NULL };
    const char *const *words =
        strcmp(c->fault, "alloc") == 0 ? of_memory : of_files;
    char *text = strndup(line, len);
    bool clear = false;

    for (; !clear && *words; words++)
        clear = strstr(text, *words);
    /* Where no lock is to be had, SQLite takes it for another's. */
    if (strcmp(c->fault, "lock-error") == 0)
        clear = clear || strstr(text, "another program is writing");
    /* The program that draws the staves may be the one that is killed. */
    if (strcmp(c->fault, "kill") == 0)
        clear = clear || strstr(text, "was stopped by signal");
    for (words = of_bugs; clear && *words; words++)
        clear = !strstr(text, *words);
    free(text);
    return clear;
}

static bool every_line_is_clear(const struct course *c, const char *text)
{
    while (*text) {
        size_t len = strcspn(text, "\n");

        if (!is_clear(c, text, len))
            return false;
        text += len + (text[len] == '\n');
    }
    return true;
}

/* --- the whole --------------------------------------------------------- */

static bool is_same(const struct outcome *a, const struct outcome *b)
{
    return a->status == b->status && strcmp(a->out, b->out) == 0 &&
           strcmp(a->err, b->err) == 0;
}

/* A place where a library uses memory that it did not get, fts_open() of glibc,
 * or ends the program, its loader. */
static bool is_not_ours(const struct outcome *o)
{
    return (o->signal == SIGSEGV && o->in_fts_open) || o->in_loader;
}

/* A file that the user named and that cannot be read is bad input. */
static bool is_input_fault(const struct outcome *o)
{
    return o->status == 3 && (strstr(o->err, ": cannot be read: ") ||
                              strstr(o->err, ": cannot be opened: "));
}

static enum verdict judge_words(const struct course *c,
                                const struct outcome *o, bool stays,
                                const char **why)
{
    size_t usual = strlen(c->usual.err);
    /* What is said anyway, and then what is said of the fault. */
    const char *words =
        strncmp(o->err, c->usual.err, usual) == 0 ? o->err + usual : o->err;
    int lines = lines_of(words);

    if (o->signal == SIGKILL && !o->hung)
        return CUT_SHORT;
    if (is_not_ours(o))
        return NOT_OURS;
    if (o->hung || o->signal)
        *why = o->hung ? "it hangs" : "it crashes";
    else if (is_same(o, &c->usual))
        return AS_USUAL;
    else if (lines == 0 && strstr(o->out, "can be written there"))
        return LEFT_OUT; /* `cellar check` says what it could not look at */
    else if (lines == 0)
        *why = "it fails, or answers otherwise, without a word";
    else if (lines > 1 && !(stays && c->indexes))
        *why = "more than one line";
    else if (!every_line_is_clear(c, words))
        *why = "the words do not say what is wrong";
    else if (o->status == 4 || is_input_fault(o))
        return REFUSED;
    else if (o->status == c->usual.status &&
             (c->indexes || strcmp(o->out, c->usual.out) == 0))
        return LEFT_OUT;
    else
        *why = "the exit status";
    return BAD;
}

enum verdict course_judge(const struct course *c, const struct outcome *o,
                          bool stays, int *state, const char **why)
{
    enum verdict verdict;
    struct known_state left;
    /* Who says nothing when done acknowledges by the exit status alone. */
    bool told = (*o->out || *o->err) && strcmp(o->out, c->usual.out) == 0 &&
                strcmp(o->err, c->usual.err) == 0;
    int left_over = state_left_over(&c->library);

    *why = NULL;
    verdict = judge_words(c, o, stays, why);
    left = state_left(c);
    *state = left.state;
    if (left.why) {
        *why = left.why;
        return BAD;
    }
    if ((verdict == AS_USUAL || (verdict == CUT_SHORT && told)) &&
        left.state != AFTER) {
        *why = "what was acknowledged is not there";
        return BAD;
    }
    if (verdict == REFUSED && c->answers) {
        *why = "a question that need not write is refused";
        return BAD;
    }
    if (verdict != CUT_SHORT && verdict != NOT_OURS && left_over) {
        *why = "an unfinished file is left";
        return BAD;
    }
    return verdict;
}

void course_allow(struct course *c, char *state)
{
    if (c->state_count == STATES_MAX)
        errx(1, "too many states");
    c->states[c->state_count++] = state;
}

void course_learn(struct course *c)
{
    struct outcome once;

    state_put_back(&c->library, "before");
    c->states[BEFORE] = state_tell(&c->library);
    state_put_back(&c->library, "before");
    c->usual = trial_run(c->library.bench, c->argv, &(struct blow){ 0 });
    c->states[AFTER] = state_tell(&c->library);
    c->state_count = 2;
    state_put_back(&c->library, "before");
    once = trial_run(c->library.bench, c->argv, &(struct blow){ 0 });
    if (!is_same(&once, &c->usual) || c->usual.signal || c->usual.status > 1)
        errx(1, "%s: not the same twice, or it fails:\n%s%s%s%s", c->title,
             once.out, once.err, c->usual.out, c->usual.err);
    outcome_free(&once);
}
