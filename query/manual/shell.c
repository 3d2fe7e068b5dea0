/* query/manual/shell.c - see shell.h. */
#include "query/manual/shell.h"

#include <string.h>

const char *shell_values_name(enum completion_values values)
{
    static const char *const names[] = {
        [VALUES_FREE] = "",       [VALUES_WORDS] = "",
        [VALUES_FILES] = "files", [VALUES_DIRS] = "dirs",
        [VALUES_SOLOS] = "solos", [VALUES_LISTS] = "lists",
        [VALUES_BANKS] = "banks",
    };

    return names[values];
}

struct words {
    FILE *out;
    const char *separator;
    bool named;
    const char *last; /* the word before; borrowed, NULL at first */
    int last_length;
};

static void put_word(void *context, const struct manual_line *line)
{
    struct words *words = context;
    int length = (int)strcspn(line->left, " ");

    if (words->named && !completion_word_names(line))
        return;
    if (words->last && length == words->last_length &&
        memcmp(line->left, words->last, (size_t)length) == 0)
        return;
    fprintf(words->out, "%s%.*s", words->last ? words->separator : "", length,
            line->left);
    words->last = line->left;
    words->last_length = length;
}

void shell_words(FILE *out, const struct manual_command *command,
                 const char *separator, bool named)
{
    struct words words = { out, separator, named, NULL, 0 };

    manual_words(command, put_word, &words);
}

void shell_commands(FILE *out, const struct manual *manual)
{
    for (size_t i = 0; i < manual->count; i++)
        fprintf(out, "%s%s", i ? " " : "", manual->items[i].name);
}

void shell_choices(FILE *out, const struct option_row *row)
{
    for (int i = 0; row->choices[i]; i++)
        fprintf(out, "%s%s", i ? " " : "", row->choices[i]);
}

static void put_arguments(FILE *out, const struct manual *manual,
                          const struct manual_command *command)
{
    enum completion_values first = completion_of_argument(command, 0);
    enum completion_values second = completion_of_argument(command, 1);

    if (first != VALUES_FREE)
        fprintf(out, "    %s:0) echo '", command->name);
    if (first != VALUES_FREE && first != VALUES_WORDS)
        fprintf(out, "@%s", shell_values_name(first));
    if (first == VALUES_WORDS && second == VALUES_FREE)
        shell_commands(out, manual);
    else if (first == VALUES_WORDS)
        shell_words(out, command, " ", false);
    if (first != VALUES_FREE)
        fputs("' ;;\n", out);
    if (second == VALUES_FREE)
        return;
    fprintf(out, "    %s:1)\n        case $3 in\n        ", command->name);
    shell_words(out, command, " | ", true);
    fprintf(out, ") echo @%s ;;\n        esac\n        ;;\n",
            shell_values_name(second));
}

void shell_arguments(FILE *out, const struct manual *manual)
{
    fputs(
        "_cellar_arguments() { # COMMAND PLACE WORD\n"
        "    case $1:$2 in\n"
        "    cellar-index:*) echo @dirs ;;\n",
        out);
    for (size_t i = 0; i < manual->count; i++)
        put_arguments(out, manual, &manual->items[i]);
    fputs("    esac\n}\n", out);
}
