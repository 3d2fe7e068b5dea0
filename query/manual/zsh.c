/* query/manual/zsh.c - the tables of the completion for zsh. */
#include <string.h>

#include "query/manual/shell.h"

/* TEXT inside of '...', where a colon or a bracket would end it early. */
static void put_quoted(FILE *out, const char *text, size_t length)
{
    for (size_t i = 0; i < length; i++) {
        if (text[i] == '\'')
            fputs("'\\''", out);
        else if (strchr(":[]\\", text[i]))
            fprintf(out, "\\%c", text[i]);
        else
            fputc(text[i], out);
    }
}

static void put_value(FILE *out, const struct option_row *row)
{
    enum completion_values values = completion_of_option(row);
    const char *title = row->value_name ? row->value_name : row->name;

    fputc(':', out);
    put_quoted(out, title, strlen(title));
    fputc(':', out);
    switch (values) {
    case VALUES_FREE:
        fputc(' ', out);
        break;
    case VALUES_WORDS:
        fputc('(', out);
        shell_choices(out, row);
        fputc(')', out);
        break;
    case VALUES_FILES:
        fputs("_files", out);
        break;
    case VALUES_DIRS:
        fputs("_files -/", out);
        break;
    case VALUES_SOLOS:
    case VALUES_LISTS:
    case VALUES_BANKS:
        fprintf(out, " _cellar_names %s", shell_values_name(values));
        break;
    }
}

/* '--limit=[Show at most N]:N: '; a blank before an action keeps _arguments
 * from adding words of its own to it. */
static void put_row(void *context, const struct option_row *row)
{
    FILE *out = context;

    fprintf(out, "            '%s--%s%s[", row->kind == OPTION_LIST ? "*" : "",
            row->name, row->kind == OPTION_FLAG ? "" : "=");
    put_quoted(out, row->help, completion_sentence(row->help));
    fputc(']', out);
    if (row->kind != OPTION_FLAG)
        put_value(out, row);
    fputs("'\n", out);
}

static void put_options(FILE *out, const struct manual *manual,
                        const char *name, const struct manual_command *command)
{
    fprintf(out, "    %s)\n        options=(\n", name);
    completion_options(manual, command, put_row, out);
    fputs("        )\n        ;;\n", out);
}

void completion_zsh(FILE *out, const struct manual *manual,
                    const char *argument)
{
    struct manual_command indexer = manual_indexer();

    (void)argument;
    fputs("_cellar_commands=(\n", out);
    for (size_t i = 0; i < manual->count; i++) {
        fprintf(out, "    '%s:", manual->items[i].name);
        put_quoted(out, manual->items[i].summary,
                   strlen(manual->items[i].summary));
        fputs("'\n", out);
    }
    fputs(")\n\n_cellar_options() { # COMMAND\n    case $1 in\n", out);
    put_options(out, manual, "''", NULL);
    put_options(out, manual, indexer.name, &indexer);
    for (size_t i = 0; i < manual->count; i++)
        put_options(out, manual, manual->items[i].name, &manual->items[i]);
    fputs("    esac\n}\n\n", out);
    shell_arguments(out, manual);
}
