/* query/manual/bash.c - the tables of the completion for bash. */
#include "query/manual/shell.h"

/* '--color=auto always never', '--limit=', '--output=@files', '--count' */
static void put_row(void *context, const struct option_row *row)
{
    FILE *out = context;
    enum completion_values values = completion_of_option(row);

    fprintf(out, " \\\n            '--%s", row->name);
    if (row->kind != OPTION_FLAG)
        fputc('=', out);
    if (values == VALUES_WORDS)
        shell_choices(out, row);
    else if (row->kind != OPTION_FLAG && values != VALUES_FREE)
        fprintf(out, "@%s", shell_values_name(values));
    fputc('\'', out);
}

static void put_options(FILE *out, const struct manual *manual,
                        const char *name, const struct manual_command *command)
{
    fprintf(out, "    %s)\n        printf '%%s\\n'", name);
    completion_options(manual, command, put_row, out);
    fputs("\n        ;;\n", out);
}

void completion_bash(FILE *out, const struct manual *manual,
                     const char *argument)
{
    struct manual_command indexer = manual_indexer();

    (void)argument;
    fputs("_cellar_commands='", out);
    shell_commands(out, manual);
    fputs("'\n\n_cellar_options() { # COMMAND\n    case $1 in\n", out);
    put_options(out, manual, "''", NULL);
    put_options(out, manual, indexer.name, &indexer);
    for (size_t i = 0; i < manual->count; i++)
        put_options(out, manual, manual->items[i].name, &manual->items[i]);
    fputs("    esac\n}\n\n", out);
    shell_arguments(out, manual);
}
