/* query/manual/main.c - writes a manual page or a completion from a template.
 *
 *     manual TEMPLATE >FILE
 *
 * A line of the template that starts with @ is a directive and is replaced by
 * what the tables of the programs hold; all others are copied.
 */
#include <stdlib.h>
#include <string.h>

#include "query/manual/manual.h"

static const struct directive {
    const char *name;
    void (*write)(FILE *out, const struct manual *manual, const char *argument);
} directives[] = {
    { "head", mdoc_head },
    { "commands", mdoc_commands },
    { "shared", mdoc_shared },
    { "indexer", mdoc_indexer },
    { "exit-status", mdoc_exit_status },
    { "classes", mdoc_classes },
    { "relations", mdoc_relations },
    { "bash", completion_bash },
    { "zsh", completion_zsh },
    { "fish", completion_fish },
    { "fish-valued", completion_fish_valued },
};

/* LINE is "NAME" or "NAME ARGUMENT", after the @. */
static bool put_directive(const struct manual *manual, char *line)
{
    char *argument = line + strcspn(line, " \n");

    argument[strcspn(argument, "\n")] = '\0';
    if (*argument)
        *argument++ = '\0';
    for (size_t i = 0; i < sizeof directives / sizeof *directives; i++) {
        if (strcmp(directives[i].name, line) == 0) {
            directives[i].write(stdout, manual, argument);
            return true;
        }
    }
    fprintf(stderr, "manual: no directive '@%s'\n", line);
    return false;
}

static bool put_file(const struct manual *manual, const char *path)
{
    FILE *in = fopen(path, "r");
    char line[4096];
    bool good = in != NULL;

    while (good && fgets(line, sizeof line, in)) {
        if (line[0] == '@')
            good = put_directive(manual, line + 1);
        else
            fputs(line, stdout);
    }
    if (!in || ferror(in))
        perror(path);
    good = good && !ferror(in);
    if (in)
        fclose(in);
    return good;
}

int main(int argc, char **argv)
{
    struct manual manual;
    struct fault why;

    if (argc != 2) {
        fputs("usage: manual TEMPLATE\n", stderr);
        return EXIT_FAILURE;
    }
    if (manual_collect(&manual, &why) != ST_OK) {
        fprintf(stderr, "manual: %s\n", why.message);
        return EXIT_FAILURE;
    }
    if (!put_file(&manual, argv[1]) || fflush(stdout) != 0 || ferror(stdout))
        return EXIT_FAILURE;
    return EXIT_SUCCESS;
}
