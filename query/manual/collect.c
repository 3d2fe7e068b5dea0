/* query/manual/collect.c - asks every command for its help. */
#include <string.h>

#include "indexer/settings.h"
#include "query/commands.h"
#include "query/manual/manual.h"

static void take_help(void *context, const struct option_set *sets,
                      const char *about)
{
    struct manual_command *out = context;

    out->about = about;
    for (int i = 0; i < MANUAL_SETS - 1 && sets[i].rows; i++)
        out->sets[i].rows = sets[i].rows;
}

enum status manual_collect(struct manual *out, struct fault *why)
{
    memset(out, 0, sizeof *out);
    for (const struct command *c = commands; c->name; c++) {
        struct manual_command *item = &out->items[out->count];
        struct help_taker taker = { take_help, item };
        struct session session = { .command = c, .help = &taker };
        char ask[] = "--help";
        char *asked[] = { ask, NULL };
        enum status st;

        if (out->count++ == MANUAL_COMMANDS)
            return fault_set(why, ST_INTERNAL, "too many commands");
        item->name = c->name;
        item->arguments = c->arguments;
        item->summary = c->summary;
        st = c->run(&session, 1, asked, why);
        if (st != ST_OK)
            return st;
        if (!item->about)
            return fault_set(why, ST_INTERNAL, "%s does not explain itself",
                             c->name);
    }
    return ST_OK;
}

struct manual_command manual_indexer(void)
{
    return (struct manual_command){ .name = "cellar-index",
                                    .arguments = "DIR...",
                                    .about = settings_about,
                                    .sets = { { settings_rows, NULL } } };
}

int manual_users(const struct manual *manual, const struct option_row *rows)
{
    int users = 0;

    for (size_t i = 0; i < manual->count; i++)
        for (int j = 0; manual->items[i].sets[j].rows; j++)
            users += manual->items[i].sets[j].rows == rows;
    return users;
}

bool manual_columns(struct manual_line *out, const char *line, size_t length)
{
    const char *end = line + length;
    const char *left = line + strspn(line, " ");
    const char *gap = left < end ? strstr(left, "  ") : NULL;

    if (left == line || !gap || gap >= end)
        return false;
    out->left = left;
    out->left_length = (int)(gap - left);
    out->right = gap + strspn(gap, " ");
    out->right_length = (int)(end - out->right);
    return out->right_length > 0;
}

void manual_words(const struct manual_command *command,
                  void (*take)(void *context, const struct manual_line *line),
                  void *context)
{
    static const char intro[] = "WORD is one of\n\n";
    const char *line = strstr(command->about, intro);
    struct manual_line columns;

    if (!line)
        return;
    line += sizeof intro - 1;
    for (; manual_columns(&columns, line, strcspn(line, "\n"));
         line += strcspn(line, "\n") + 1)
        take(context, &columns);
}
