/* schema/options.c - see options.h. */
#include "schema/options.h"

#include <errno.h>
#include <limits.h>
#include <stdlib.h>
#include <string.h>

enum {
    HELP_WIDTH = 80,
    HELP_COLUMN = 27, /* where the sentences start */
    WORD_MAX = 40     /* longer words are not compared by letters */
};

/* What the user typed, cut and made harmless for a message. */
struct quoted {
    char text[64];
};

static struct quoted quote(const char *text)
{
    struct quoted q;

    text_make_safe(q.text, sizeof q.text, text);
    return q;
}

const struct option_row *options_find(const struct option_set *sets,
                                      const char *name, size_t len,
                                      const struct option_set **set)
{
    for (const struct option_set *s = sets; s->rows; s++) {
        for (const struct option_row *r = s->rows; r->kind != OPTION_STOP;
             r++) {
            if (r->kind == OPTION_HEADING || strlen(r->name) != len ||
                memcmp(r->name, name, len) != 0)
                continue;
            if (set)
                *set = s;
            return r;
        }
    }
    return NULL;
}

/* --- the nearest word -------------------------------------------------- */

static int min_int(int a, int b)
{
    return a < b ? a : b;
}

/* How many letters must be added, dropped, replaced or swapped with their
 * neighbour to turn A into B (the restricted Damerau-Levenshtein distance).
 * Words longer than WORD_MAX count as far apart. */
static int word_distance(const char *a, const char *b)
{
    int rows[3][WORD_MAX + 1];
    int *before = rows[0], *above = rows[1], *row = rows[2];
    size_t la = strlen(a), lb = strlen(b);

    if (la > WORD_MAX || lb > WORD_MAX)
        return WORD_MAX;
    for (size_t j = 0; j <= lb; j++)
        above[j] = before[j] = (int)j;
    for (size_t i = 1; i <= la; i++) {
        int *oldest = before;

        row[0] = (int)i;
        for (size_t j = 1; j <= lb; j++) {
            int d = above[j - 1] + (a[i - 1] != b[j - 1]);

            d = min_int(d, min_int(above[j], row[j - 1]) + 1);
            if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
                d = min_int(d, before[j - 2] + 1);
            row[j] = d;
        }
        before = above;
        above = row;
        row = oldest;
    }
    return above[lb];
}

/* The distance that counts: a word merely begun is near. */
static int nearness(const char *word, const char *name)
{
    size_t len = strlen(name);
    int distance = word_distance(name, word);

    if (len >= 2 && strncmp(word, name, len) == 0)
        return min_int(distance, 1);
    if (distance > 2 || (size_t)distance * 2 >= strlen(word) ||
        (size_t)distance >= len)
        return WORD_MAX;
    return distance;
}

const char *options_nearest(const char *const *words, const char *name)
{
    const char *best = NULL;
    int best_distance = WORD_MAX;

    for (; *words; words++) {
        int distance = nearness(*words, name);

        if (distance < best_distance) {
            best_distance = distance;
            best = *words;
        }
    }
    return best;
}

static const char *nearest_option(const struct option_set *sets,
                                  const char *name)
{
    const char *best = NULL;
    int best_distance = WORD_MAX;

    for (const struct option_set *s = sets; s->rows; s++) {
        for (const struct option_row *r = s->rows; r->kind != OPTION_STOP;
             r++) {
            int distance =
                r->kind == OPTION_HEADING ? WORD_MAX : nearness(r->name, name);

            if (distance < best_distance) {
                best_distance = distance;
                best = r->name;
            }
        }
    }
    return best;
}

/* --- values ------------------------------------------------------------ */

static bool read_number(const char **text, long *out)
{
    char *end;

    if (**text != '-' && (**text < '0' || **text > '9'))
        return false;
    errno = 0;
    *out = strtol(*text, &end, 10);
    if (end == *text || errno)
        return false;
    *text = end;
    return true;
}

static enum status store_number(const struct option_row *row, const char *value,
                                long *out, struct fault *why)
{
    const char *p = value;
    long number;

    if (read_number(&p, &number) && !*p && number >= row->min &&
        number <= row->max) {
        *out = number;
        return ST_OK;
    }
    if (row->max == LONG_MAX)
        return fault_set(why, ST_USAGE,
                         "'--%s' must be a whole number, at least %ld, "
                         "not '%s'",
                         row->name, row->min, quote(value).text);
    return fault_set(why, ST_USAGE,
                     "'--%s' must be a whole number from %ld to %ld, not '%s'",
                     row->name, row->min, row->max, quote(value).text);
}

static enum status store_range(const struct option_row *row, const char *value,
                               struct option_range *out, struct fault *why)
{
    const char *p = value;
    long low = 0, high = 0;
    bool good = read_number(&p, &low);

    high = low;
    if (good && *p == '-') {
        p++;
        good = read_number(&p, &high);
    }
    if (good && !*p && row->min <= low && low <= high && high <= row->max) {
        *out = (struct option_range){ low, high, true };
        return ST_OK;
    }
    return fault_set(why, ST_USAGE,
                     "'--%s' must be a number or a range such as 5-8, at "
                     "least %ld, not '%s'",
                     row->name, row->min, quote(value).text);
}

/* "auto, always or never" */
static void join_choices(char *out, size_t size, const char *const *choices)
{
    size_t used = 0;

    out[0] = '\0';
    for (size_t i = 0; choices[i] && used < size; i++) {
        const char *before = i == 0 ? "" : choices[i + 1] ? ", " : " or ";
        int n = snprintf(out + used, size - used, "%s%s", before, choices[i]);

        used += n > 0 ? (size_t)n : 0;
    }
}

static enum status store_choice(const struct option_row *row, const char *value,
                                int *out, struct fault *why)
{
    char words[200];

    for (int i = 0; row->choices[i]; i++) {
        if (strcmp(row->choices[i], value) == 0) {
            *out = i;
            return ST_OK;
        }
    }
    join_choices(words, sizeof words, row->choices);
    return fault_set(why, ST_USAGE, "'--%s' must be %s, not '%s'", row->name,
                     words, quote(value).text);
}

static enum status store_list(const struct option_row *row, const char *value,
                              struct option_list *out, struct fault *why)
{
    if (out->count == OPTION_LIST_MAX)
        return fault_set(why, ST_USAGE, "'--%s' may be given at most %d times",
                         row->name, OPTION_LIST_MAX);
    out->items[out->count++] = value;
    return ST_OK;
}

/* Store VALUE where ROW says; TARGET has the type the kind names. */
static enum status store_value(const struct option_row *row, void *target,
                               const char *value, struct fault *why)
{
    switch (row->kind) {
    case OPTION_FLAG:
        *(bool *)target = true;
        return ST_OK;
    case OPTION_TEXT:
        *(const char **)target = value;
        return ST_OK;
    case OPTION_LIST:
        return store_list(row, value, target, why);
    case OPTION_NUMBER:
        return store_number(row, value, target, why);
    case OPTION_RANGE:
        return store_range(row, value, target, why);
    case OPTION_CHOICE:
        return store_choice(row, value, target, why);
    case OPTION_STOP:
    case OPTION_HEADING:
        break;
    }
    return fault_set(why, ST_INTERNAL, "the option table is wrong");
}

/* --- parsing ----------------------------------------------------------- */

static enum status unknown_option(const struct option_set *sets,
                                  const char *argument, struct fault *why)
{
    const char *name = argument + (argument[1] == '-' ? 2 : 1);
    struct quoted typed = quote(argument);
    char bare[64];
    const char *near;

    snprintf(bare, sizeof bare, "%.*s", (int)strcspn(name, "="), name);
    near = nearest_option(sets, bare);
    if (strcmp(argument, "-h") == 0)
        near = "help"; /* a habit; too short to be near to anything */
    typed.text[strcspn(typed.text, "=")] = '\0';
    if (near)
        return fault_set(why, ST_USAGE,
                         "unknown option '%s'; did you mean '--%s'?",
                         typed.text, near);
    return fault_set(why, ST_USAGE,
                     "unknown option '%s'; '--help' lists the options",
                     typed.text);
}

void options_usage(char *out, size_t size, const struct option_row *row)
{
    int n = snprintf(out, size, "--%s", row->name);
    size_t used = n > 0 ? (size_t)n : 0;

    if (row->kind == OPTION_FLAG || used >= size)
        return;
    if (row->value_name) {
        snprintf(out + used, size - used, " %s", row->value_name);
        return;
    }
    for (int i = 0; row->choices && row->choices[i] && used < size; i++) {
        n = snprintf(out + used, size - used, "%s%s", i ? "|" : " ",
                     row->choices[i]);
        used += n > 0 ? (size_t)n : 0;
    }
}

/* One option at ARGV[*I]; *I is left at the last argument used. */
static enum status parse_option(const struct option_set *sets, int count,
                                char **argv, int *i, struct fault *why)
{
    const char *name = argv[*i] + 2;
    const char *equals = strchr(name, '=');
    size_t len = equals ? (size_t)(equals - name) : strlen(name);
    const struct option_set *set = NULL;
    const struct option_row *row = options_find(sets, name, len, &set);
    const char *value = equals ? equals + 1 : NULL;
    char usage[200];

    if (!row)
        return unknown_option(sets, argv[*i], why);
    if (row->kind == OPTION_FLAG && value)
        return fault_set(why, ST_USAGE, "'--%s' takes no value", row->name);
    if (row->kind != OPTION_FLAG && !value) {
        /* A value that begins with two dashes is written --name=VALUE: else
         * a forgotten value would swallow the next option. */
        if (*i + 1 >= count || strncmp(argv[*i + 1], "--", 2) == 0) {
            options_usage(usage, sizeof usage, row);
            return fault_set(why, ST_USAGE, "'--%s' needs a value: %s",
                             row->name, usage);
        }
        value = argv[++*i];
    }
    return store_value(row, (char *)set->values + row->offset, value, why);
}

/* `-x` is an option someone meant; `-4`, `-` and `- 4` are arguments. */
static bool is_short_option(const char *argument)
{
    char c = argument[0] == '-' ? argument[1] : '\0';

    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

enum status options_parse(const struct option_set *sets, int count, char **argv,
                          int *left, struct fault *why)
{
    bool ended = false;
    int kept = 0;

    *left = 0;
    for (int i = 0; i < count; i++) {
        enum status st = ST_OK;

        if (ended ||
            (strncmp(argv[i], "--", 2) != 0 && !is_short_option(argv[i])))
            argv[kept++] = argv[i];
        else if (strcmp(argv[i], "--") == 0)
            ended = true;
        else if (argv[i][1] != '-')
            st = unknown_option(sets, argv[i], why);
        else
            st = parse_option(sets, count, argv, &i, why);
        if (st != ST_OK)
            return st;
    }
    *left = kept;
    return ST_OK;
}

/* --- help -------------------------------------------------------------- */

void options_print_wrapped(FILE *out, const char *text, int indent, int column)
{
    bool fresh = true; /* nothing stands on this line yet */

    for (;;) {
        int len;

        text += strspn(text, " ");
        len = (int)strcspn(text, " ");
        if (!len)
            break;
        if (!fresh && column + 1 + len > HELP_WIDTH) {
            fprintf(out, "\n%*s", indent, "");
            column = indent;
            fresh = true;
        }
        fprintf(out, "%s%.*s", fresh ? "" : " ", len, text);
        column += len + !fresh;
        fresh = false;
        text += len;
    }
    fputc('\n', out);
}

static void help_row(FILE *out, const struct option_row *row)
{
    char usage[200];
    int width;

    if (row->kind == OPTION_HEADING) {
        fprintf(out, "\n%s\n", row->help);
        return;
    }
    options_usage(usage, sizeof usage, row);
    width = fprintf(out, "  %s", usage);
    if (width > HELP_COLUMN - 2) {
        fputc('\n', out);
        width = 0;
    }
    fprintf(out, "%*s", HELP_COLUMN - (width > 0 ? width : 0), "");
    options_print_wrapped(out, row->help, HELP_COLUMN, HELP_COLUMN);
}

void options_help(FILE *out, const struct option_set *sets)
{
    for (const struct option_set *s = sets; s->rows; s++)
        for (const struct option_row *r = s->rows; r->kind != OPTION_STOP; r++)
            help_row(out, r);
}
