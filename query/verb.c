/* query/verb.c - the words of a command that does several things. */
#include "query/verb.h"

#include <stdio.h>
#include <string.h>

#include "schema/options.h"

enum {
    LIST_SIZE = 256
};

/* "new, add or drop" */
static void list_words(char *out, size_t size, const char *const *words)
{
    size_t used = 0;

    for (size_t i = 0; words[i] && used < size; i++)
        used += (size_t)snprintf(out + used, size - used, "%s%s",
                                 i == 0         ? ""
                                 : words[i + 1] ? ", "
                                                : " or ",
                                 words[i]);
}

enum status verb_find(int *index, const char *command, const char *const *words,
                      int argc, char **argv, struct fault *why)
{
    char list[LIST_SIZE] = "";
    const char *near;

    for (int i = 0; argc > 0 && words[i]; i++)
        if (strcmp(argv[0], words[i]) == 0) {
            *index = i;
            return ST_OK;
        }
    list_words(list, sizeof list, words);
    if (argc == 0)
        return fault_set(why, ST_USAGE,
                         "what shall be done? %s; 'cellar help %s' explains "
                         "them",
                         list, command);
    near = options_nearest(words, argv[0]);
    if (near)
        return fault_set(why, ST_USAGE,
                         "%s: unknown word '%.40s'; did you mean '%s'?",
                         command, argv[0], near);
    return fault_set(why, ST_USAGE, "%s: unknown word '%.40s'; write %s",
                     command, argv[0], list);
}

enum status verb_check(const struct verb *verb, const char *command, int argc,
                       struct fault *why)
{
    if (argc < verb->least)
        return fault_set(why, ST_USAGE, "something is missing: cellar %s %s %s",
                         command, verb->word, verb->usage);
    if (verb->most >= 0 && argc > verb->most)
        return fault_set(why, ST_USAGE,
                         "too many words: cellar %s %s%s%s; a name with "
                         "blanks goes in quotes",
                         command, verb->word, *verb->usage ? " " : "",
                         verb->usage);
    return ST_OK;
}
