/* query/manual/mdoc.c - options and commands in the language of manual pages.
 *
 * The macros are those of mdoc(7).
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "indexer/settings.h"
#include "query/commands.h"
#include "query/manual/manual.h"
#include "query/relation.h"
#include "schema/version.h"

enum {
    TEXT_WIDTH = 76,
    HEADING_SIZE = 100
};

/* --- text ---------------------------------------------------------------- */

/* LENGTH bytes of TEXT so that they are printed as they are: a quote stays
 * straight, a minus can be copied to a shell. */
static void put_escaped(FILE *out, const char *text, size_t length)
{
    static const char *const escapes[] = {
        ['\\'] = "\\e",  ['-'] = "\\-",   ['\''] = "\\(aq", ['`'] = "\\(ga",
        ['^'] = "\\(ha", ['~'] = "\\(ti", ['"'] = "\\(dq"
    };

    for (size_t i = 0; i < length; i++) {
        unsigned char c = (unsigned char)text[i];

        if (c < sizeof escapes / sizeof *escapes && escapes[c])
            fputs(escapes[c], out);
        else
            fputc(c, out);
    }
}

/* "4." may as well be a dotted quarter, "..." stands for something. */
static bool ends_sentence(const char *word, size_t length)
{
    return length > 1 && strchr(".?!", word[length - 1]) &&
           !strchr(".0123456789", word[length - 2]);
}

/* Lines of text, a new one after each sentence. */
static void put_text(FILE *out, const char *text, size_t length)
{
    const char *end = text + length;
    size_t column = 0;

    while (text += strspn(text, " "), text < end) {
        size_t size = strcspn(text, " ");

        if (size > (size_t)(end - text))
            size = (size_t)(end - text);
        if (column && column + size >= TEXT_WIDTH) {
            fputc('\n', out);
            column = 0;
        }
        if (column)
            fputc(' ', out);
        else if (*text == '.')
            fputs("\\&", out); /* else it would be a macro */
        put_escaped(out, text, size);
        column += size + 1;
        text += size;
        if (ends_sentence(text - size, size) && text < end) {
            fputc('\n', out);
            column = 0;
        }
    }
    fputc('\n', out);
}

/* The words after a macro: what is in capitals is to be replaced (.Ar), the
 * rest is typed as it stands (.Cm).  No word is taken for a macro. */
static void put_arguments(FILE *out, const char *text, size_t length)
{
    const char *end = text + length;
    int before = -1;

    while (text += strspn(text, " "), text < end) {
        size_t size = strcspn(text, " ");
        int replaced;

        if (size > (size_t)(end - text))
            size = (size_t)(end - text);
        replaced = strspn(text, "ABCDEFGHIJKLMNOPQRSTUVWXYZ[].") == size;
        if (replaced != before)
            fputs(replaced ? " Ar" : " Cm", out);
        fputs(" \\&", out);
        put_escaped(out, text, size);
        before = replaced;
        text += size;
    }
}

/* --- options ------------------------------------------------------------- */

/* The heading without its colon. */
static const char *heading_text(char out[HEADING_SIZE],
                                const struct option_row *row)
{
    snprintf(out, HEADING_SIZE, "%.*s", (int)strcspn(row->help, ":"),
             row->help);
    return out;
}

static void put_option(FILE *out, const struct option_row *row)
{
    char usage[200];
    const char *value;

    options_usage(usage, sizeof usage, row);
    value = strchr(usage, ' ');
    fputs(".It Fl ", out);
    put_escaped(out, usage + 1, strcspn(usage, " ") - 1);
    if (value) {
        fputs(" Ar \\&", out);
        put_escaped(out, value + 1, strlen(value + 1));
    }
    fputc('\n', out);
    put_text(out, row->help, strlen(row->help));
}

/* The rows of a set, each heading by the macro HEADING. */
static void put_options(FILE *out, const struct option_row *rows,
                        const char *heading)
{
    bool open = false;
    char text[HEADING_SIZE];

    for (const struct option_row *r = rows; r->kind != OPTION_STOP; r++) {
        if (r->kind != OPTION_HEADING) {
            put_option(out, r);
            continue;
        }
        if (open)
            fputs(".El\n", out);
        fprintf(out, "%s %s\n.Bl -tag -width Ds\n", heading,
                heading_text(text, r));
        open = true;
    }
    if (open)
        fputs(".El\n", out);
}

/* The names of the options of ROWS, beside the heading they stand under. */
static void put_option_names(FILE *out, const struct option_row *rows)
{
    char text[HEADING_SIZE];

    for (const struct option_row *r = rows; r->kind != OPTION_STOP; r++) {
        bool last = r[1].kind == OPTION_STOP || r[1].kind == OPTION_HEADING;

        if (r->kind == OPTION_HEADING) {
            fprintf(out, ".It Sx %s\n", heading_text(text, r));
        } else {
            fputs(".Fl ", out);
            put_escaped(out, "-", 1);
            put_escaped(out, r->name, strlen(r->name));
            fputs(last ? "\n" : " ,\n", out);
        }
    }
}

/* --- what a command does ---------------------------------------------------
 */

/* The widest left column of the lines from TEXT on; -1 where a line has no
 * two columns. */
static int columns_width_of(const char *text)
{
    struct manual_line line;
    int width = 0;

    for (; *text == ' '; text += strcspn(text, "\n") + 1) {
        if (!manual_columns(&line, text, strcspn(text, "\n")))
            return -1;
        if (line.left_length > width)
            width = line.left_length;
    }
    return width;
}

/* Indented lines: two columns become a list, anything else stays as it is.
 * Returns what follows. */
static const char *put_indented(FILE *out, const char *text)
{
    int width = columns_width_of(text);

    if (width >= 0)
        fprintf(out, ".Pp\n.Bl -tag -width %dn -compact\n", width + 2);
    else
        fputs(".Bd -literal -offset indent\n", out);
    for (; *text == ' '; text += strcspn(text, "\n") + 1) {
        size_t length = strcspn(text, "\n");
        struct manual_line line;

        if (width >= 0 && manual_columns(&line, text, length)) {
            fputs(".It", out);
            put_arguments(out, line.left, (size_t)line.left_length);
            fputc('\n', out);
            put_text(out, line.right, (size_t)line.right_length);
        } else {
            put_escaped(out, text + strspn(text, " "),
                        length - strspn(text, " "));
            fputc('\n', out);
        }
    }
    fputs(width >= 0 ? ".El\n" : ".Ed\n", out);
    return text;
}

static void put_about(FILE *out, const char *about)
{
    bool first = true;

    while (*about) {
        size_t length = strcspn(about, "\n");

        if (*about == ' ') {
            about = put_indented(out, about);
            first = false;
            continue;
        }
        if (length > 0 && !first)
            fputs(".Pp\n", out);
        if (length > 0) {
            put_text(out, about, length);
            first = false;
        }
        about += length + (about[length] == '\n');
    }
}

static void put_command(FILE *out, const struct manual *manual,
                        const struct manual_command *command)
{
    fprintf(out, ".Ss cellar %s%s%s\n", command->name,
            *command->arguments ? " " : "", command->arguments);
    put_about(out, command->about);
    for (const struct option_set *s = command->sets; s->rows; s++)
        if (manual_users(manual, s->rows) == 1)
            put_options(out, s->rows, ".Pp\n.Sy");
    fputs(
        ".Pp\nAlso, explained under\n"
        ".Sx OPTIONS OF SEVERAL COMMANDS :\n"
        ".Pp\n.Bl -tag -width \"Excerpts in notation\" -compact\n",
        out);
    for (const struct option_set *s = command->sets; s->rows; s++)
        if (manual_users(manual, s->rows) > 1)
            put_option_names(out, s->rows);
    fputs(".El\n", out);
}

/* --- directives ------------------------------------------------------------
 */

/* ARGUMENT is title and section: "CELLAR 1". */
void mdoc_head(FILE *out, const struct manual *manual, const char *argument)
{
    static const char *const months[] = { "January", "February", "March",
                                          "April",   "May",      "June",
                                          "July",    "August",   "September",
                                          "October", "November", "December" };
    char *rest;
    long year = strtol(CELLAR_RELEASED, &rest, 10);
    long month = strtol(rest + 1, &rest, 10);
    long day = strtol(rest + 1, &rest, 10);

    (void)manual;
    fprintf(out, ".Dd %s %ld, %ld\n.Dt %s\n.Os Cellar %s\n",
            months[month >= 1 && month <= 12 ? month - 1 : 0], day, year,
            argument, CELLAR_VERSION);
}

void mdoc_commands(FILE *out, const struct manual *manual, const char *argument)
{
    (void)argument;
    for (size_t i = 0; i < manual->count; i++)
        put_command(out, manual, &manual->items[i]);
}

/* Each shared set once, where it is first met. */
void mdoc_shared(FILE *out, const struct manual *manual, const char *argument)
{
    const struct option_row *done[MANUAL_COMMANDS * MANUAL_SETS];
    size_t count = 0;

    (void)argument;
    for (size_t i = 0; i < manual->count; i++) {
        for (const struct option_set *s = manual->items[i].sets; s->rows; s++) {
            size_t j = 0;

            while (j < count && done[j] != s->rows)
                j++;
            if (j < count || manual_users(manual, s->rows) < 2)
                continue;
            done[count++] = s->rows;
            put_options(out, s->rows, ".Ss");
        }
    }
}

void mdoc_indexer(FILE *out, const struct manual *manual, const char *argument)
{
    struct manual_command indexer = manual_indexer();

    (void)manual;
    if (strcmp(argument, "about") == 0)
        put_about(out, indexer.about);
    else
        put_options(out, indexer.sets[0].rows, ".Ss");
}

void mdoc_exit_status(FILE *out, const struct manual *manual,
                      const char *argument)
{
    const char *text = strcmp(argument, "cellar-index") == 0
                           ? settings_exit_status
                           : commands_exit_status;

    (void)manual;
    fputs(".Bl -tag -width Ds\n", out);
    /* "0 found, 1 nothing found." */
    while (*text) {
        size_t length = strcspn(text, ",.");

        fprintf(out, ".It %c\n", *text);
        put_text(out, text + 2, length - 2);
        text += length;
        text += strspn(text, ",. ");
    }
    fputs(".El\n", out);
}

void mdoc_classes(FILE *out, const struct manual *manual, const char *argument)
{
    (void)manual;
    (void)argument;
    for (int i = 0; i < CHORD_CLASSES; i++) {
        const char *name = chord_class_name(i);

        fputs(".Cm ", out);
        put_escaped(out, name, strlen(name));
        fputs(i + 1 < CHORD_CLASSES ? " ,\n" : " .\n", out);
    }
}

void mdoc_relations(FILE *out, const struct manual *manual,
                    const char *argument)
{
    (void)manual;
    (void)argument;
    fputs(".Bl -tag -width Ds -compact\n", out);
    for (int i = 0; i < RELATION_COUNT; i++) {
        const char *name = relation_name((enum relation)i);
        const char *phrase = relation_phrase((enum relation)i);

        fputs(".It Cm \\&", out);
        put_escaped(out, name, strlen(name));
        fputc('\n', out);
        if (i == RELATION_OTHER)
            phrase = "any other; each is named by its chords";
        if (strcmp(name, phrase) != 0)
            put_text(out, phrase, strlen(phrase));
    }
    fputs(".El\n", out);
}
