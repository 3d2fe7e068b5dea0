/* query/manual/completion.c - see completion.h. */
#include "query/manual/completion.h"

#include <string.h>

static bool begins(const char *text, const char *start)
{
    return text && strncmp(text, start, strlen(start)) == 0;
}

enum completion_values completion_of_option(const struct option_row *row)
{
    static const struct {
        const char *value_name;
        enum completion_values values;
    } known[] = { { "DIR", VALUES_DIRS },
                  { "FILE", VALUES_FILES },
                  { "PATH", VALUES_SOLOS },
                  { "LIST", VALUES_LISTS },
                  { "BANK", VALUES_BANKS } };

    if (row->kind == OPTION_CHOICE)
        return VALUES_WORDS;
    if (strcmp(row->name, "bank") == 0)
        return VALUES_BANKS;
    for (size_t i = 0; i < sizeof known / sizeof *known; i++)
        if (begins(row->value_name, known[i].value_name))
            return known[i].values;
    return VALUES_FREE;
}

enum completion_values completion_of_argument(
    const struct manual_command *command, int place)
{
    if (place == 1 && begins(command->arguments, "WORD"))
        return strcmp(command->name, "bank") == 0 ? VALUES_BANKS : VALUES_LISTS;
    if (place > 0)
        return VALUES_FREE;
    if (strstr(command->arguments, "SOLO"))
        return VALUES_SOLOS;
    return strstr(command->arguments, "WORD") ||
                   strstr(command->arguments, "COMMAND")
               ? VALUES_WORDS
               : VALUES_FREE;
}

bool completion_word_names(const struct manual_line *word)
{
    return memchr(word->left, ' ', (size_t)word->left_length) &&
           !begins(word->left, "new ");
}

bool completion_is_common(const struct manual *manual,
                          const struct option_row *rows)
{
    /* `help` alone does without a library. */
    return manual_users(manual, rows) + 1 >= (int)manual->count;
}

void completion_options(
    const struct manual *manual, const struct manual_command *command,
    void (*take)(void *context, const struct option_row *row), void *context)
{
    const struct option_set *sets =
        command ? command->sets : manual->items[0].sets;

    for (const struct option_set *s = sets; s->rows; s++) {
        if (!command && !completion_is_common(manual, s->rows))
            continue;
        for (const struct option_row *r = s->rows; r->kind != OPTION_STOP; r++)
            if (r->kind != OPTION_HEADING)
                take(context, r);
    }
}

size_t completion_sentence(const char *text)
{
    const char *end = strstr(text, ". ");
    size_t length = end ? (size_t)(end - text) : strlen(text);

    return length > 0 && text[length - 1] == '.' ? length - 1 : length;
}
