/* query/manual/fish.c - the lines of the completion for fish. */
#include <string.h>

#include "query/manual/shell.h"

struct lines {
    FILE *out;
    const char *program;
    const char *condition; /* "" or "__cellar_command find" */
};

static void put_quoted(FILE *out, const char *text, size_t length)
{
    fputc('\'', out);
    for (size_t i = 0; i < length; i++) {
        if (text[i] == '\'' || text[i] == '\\')
            fputc('\\', out);
        fputc(text[i], out);
    }
    fputc('\'', out);
}

static void put_start(const struct lines *lines)
{
    fprintf(lines->out, "complete -c %s", lines->program);
    if (*lines->condition)
        fprintf(lines->out, " -n '%s'", lines->condition);
}

static void put_row(void *context, const struct option_row *row)
{
    const struct lines *lines = context;
    enum completion_values values = completion_of_option(row);
    FILE *out = lines->out;

    put_start(lines);
    fprintf(out, " -l %s", row->name);
    if (values == VALUES_FILES) {
        fputs(" -r -F", out);
    } else if (values == VALUES_DIRS) {
        fputs(" -x -a '(__fish_complete_directories)'", out);
    } else if (values == VALUES_WORDS) {
        fputs(" -x -a '", out);
        shell_choices(out, row);
        fputc('\'', out);
    } else if (row->kind != OPTION_FLAG) {
        fputs(" -x", out);
        if (values != VALUES_FREE)
            fprintf(out, " -a '(__cellar_names %s)'",
                    shell_values_name(values));
    }
    fputs(" -d ", out);
    put_quoted(out, row->help, completion_sentence(row->help));
    fputc('\n', out);
}

/* "add NAME FRAGMENT..." with what it does. */
static void put_word(void *context, const struct manual_line *line)
{
    const struct lines *lines = context;

    put_start(lines);
    fprintf(lines->out, " -a %.*s -d ", (int)strcspn(line->left, " "),
            line->left);
    put_quoted(lines->out, line->right, (size_t)line->right_length);
    fputc('\n', lines->out);
}

static void put_arguments(FILE *out, const struct manual *manual,
                          const struct manual_command *command)
{
    enum completion_values first = completion_of_argument(command, 0);
    enum completion_values second = completion_of_argument(command, 1);
    char condition[64];
    struct lines lines = { out, "cellar", condition };

    snprintf(condition, sizeof condition, "__cellar_place %s 0", command->name);
    if (first == VALUES_WORDS && second != VALUES_FREE) {
        manual_words(command, put_word, &lines);
    } else if (first != VALUES_FREE) {
        put_start(&lines);
        fputs(" -a '", out);
        if (first == VALUES_WORDS)
            shell_commands(out, manual);
        else
            fprintf(out, "(__cellar_names %s)", shell_values_name(first));
        fputs("'\n", out);
    }
    if (second == VALUES_FREE)
        return;
    fprintf(out,
            "complete -c cellar -n '__cellar_place %s 1; and contains -- "
            "(__cellar_words)[2] ",
            command->name);
    shell_words(out, command, " ", true);
    fprintf(out, "' -a '(__cellar_names %s)'\n", shell_values_name(second));
}

static void put_cellar(FILE *out, const struct manual *manual)
{
    static const char none[] = "test (count (__cellar_words)) = 0";
    struct lines lines = { out, "cellar", none };
    char condition[64];

    completion_options(manual, NULL, put_row, &lines);
    for (size_t i = 0; i < manual->count; i++) {
        const struct manual_command *command = &manual->items[i];

        lines.condition = none;
        put_start(&lines);
        fprintf(out, " -a %s -d ", command->name);
        put_quoted(out, command->summary, strlen(command->summary));
        fputc('\n', out);
        snprintf(condition, sizeof condition, "__cellar_command %s",
                 command->name);
        lines.condition = condition;
        completion_options(manual, command, put_row, &lines);
        put_arguments(out, manual, command);
    }
}

/* ARGUMENT is the program. */
void completion_fish(FILE *out, const struct manual *manual,
                     const char *argument)
{
    struct manual_command indexer = manual_indexer();
    struct lines lines = { out, indexer.name, "" };

    if (strcmp(argument, indexer.name) == 0)
        completion_options(manual, &indexer, put_row, &lines);
    else
        put_cellar(out, manual);
}

static void put_valued(void *context, const struct option_row *row)
{
    if (row->kind != OPTION_FLAG)
        fprintf(context, " --%s", row->name);
}

/* The options of all commands that a value follows. */
void completion_fish_valued(FILE *out, const struct manual *manual,
                            const char *argument)
{
    (void)argument;
    fputs("set -g __cellar_valued", out);
    for (size_t i = 0; i < manual->count; i++)
        completion_options(manual, &manual->items[i], put_valued, out);
    fputc('\n', out);
}
