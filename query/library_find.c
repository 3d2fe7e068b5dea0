/* query/library_find.c - see library_find.h. */
#include "query/library_find.h"

#include <errno.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static const char index_folder[] = "/.cellar";

static bool holds_index(const char *folder, char *scratch, size_t size)
{
    struct stat info;

    snprintf(scratch, size, "%s%s", folder, index_folder);
    return stat(scratch, &info) == 0 && S_ISDIR(info.st_mode);
}

/* Cut FOLDER to the nearest folder that holds an index; false where none
 * does.  The root is "" here, and "/" afterwards. */
static bool climb(char *folder, char *scratch, size_t size)
{
    char *slash;

    if (strcmp(folder, "/") == 0)
        folder[0] = '\0';
    while (!holds_index(folder, scratch, size)) {
        slash = strrchr(folder, '/');
        if (!slash)
            return false;
        *slash = '\0';
    }
    if (!*folder)
        strcpy(folder, "/");
    return true;
}

static enum status search_upwards(char **out, struct fault *why)
{
    char *here = getcwd(NULL, 0);
    size_t size = here ? strlen(here) + sizeof index_folder : 0;
    char *scratch = here ? malloc(size) : NULL;
    bool found;

    if (!here && errno != ENOMEM)
        return fault_set(why, ST_LIBRARY,
                         "cannot tell the current folder (%s); name the "
                         "library with --library DIR",
                         strerror(errno));
    found = scratch && climb(here, scratch, size);
    if (found)
        *out = here;
    else
        free(here);
    if (!scratch)
        return fault_nomem(why);
    free(scratch);
    if (found)
        return ST_OK;
    return fault_set(why, ST_LIBRARY,
                     "no library here or in a folder above; run "
                     "'cellar-index DIR' on your folder of solos, then name "
                     "it with --library DIR or CELLAR_LIBRARY, or work "
                     "inside it");
}

enum status library_find(char **out, const char *named, struct fault *why)
{
    const char *variable = getenv("CELLAR_LIBRARY");

    *out = NULL;
    if (!named && variable && *variable)
        named = variable;
    if (!named)
        return search_upwards(out, why);
    *out = strdup(named);
    return *out ? ST_OK : fault_nomem(why);
}

enum status library_check(const char *library, struct fault *why)
{
    size_t size = strlen(library) + sizeof index_folder;
    char *scratch = malloc(size);
    struct stat info;
    bool held = scratch && holds_index(library, scratch, size);

    if (!scratch)
        return fault_nomem(why);
    free(scratch);
    if (held)
        return ST_OK;
    if (stat(library, &info) != 0)
        return fault_set(why, ST_LIBRARY, "there is no folder %s", library);
    return fault_set(why, ST_LIBRARY, "%s is no library yet; run "
                     "'cellar-index %s' first", library, library);
}
