/* query/named.c - names that users give: of banks and of study lists. */
#include "query/named.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "schema/grow.h"
#include "schema/options.h"
#include "schema/text_plain.h"
#include "schema/utf8.h"

/* --- names and remarks ------------------------------------------------ */

/* Refuse TEXT, of the SUBJECT of a KIND, if it holds more than UTF-8 that
 * prints on one line. */
static enum status check_prints(const char *text, const char *subject,
                                const char *kind, struct fault *why)
{
    size_t size = strlen(text) + 1;
    char *safe = malloc(size);
    bool same = safe && strcmp(text_make_safe(safe, size, text), text) == 0;

    free(safe);
    if (!safe)
        return fault_nomem(why);
    if (same)
        return ST_OK;
    return fault_set(why, ST_USAGE,
                     "%s%s is one line of UTF-8 text without control "
                     "characters",
                     subject, kind);
}

static size_t characters(const char *text)
{
    size_t len = strlen(text), read, count = 0;
    uint32_t code;

    for (; (read = utf8_next(&code, text, len)) > 0; len -= read) {
        text += read;
        count++;
    }
    return count;
}

/* As in "mine:1,3-5", which name_split() reads. */
static bool ends_in_numbers(const char *name)
{
    const char *colon = strrchr(name, ':');

    return colon && numbers_look(colon + 1);
}

/* Take the blanks off both ends of TEXT. */
static void trim(char *text)
{
    static const char blanks[] = " \t\n\r\v\f";
    size_t before = strspn(text, blanks);
    size_t len = strlen(text + before);

    memmove(text, text + before, len + 1);
    while (len > 0 && strchr(blanks, text[len - 1]))
        text[--len] = '\0';
}

static enum status check_name(const struct named_kind *kind, const char *name,
                              struct fault *why)
{
    enum status st;

    if (!*name)
        return fault_set(why, ST_USAGE, "the name of the %s is empty",
                         kind->what);
    st = check_prints(name, "the name of a ", kind->what, why);
    if (st != ST_OK)
        return st;
    if (characters(name) > NAME_MAX_CHARACTERS)
        return fault_set(why, ST_USAGE,
                         "the name of a %s has at most %d "
                         "characters; this one has %zu",
                         kind->what, NAME_MAX_CHARACTERS, characters(name));
    if (ends_in_numbers(name))
        return fault_set(why, ST_USAGE,
                         "the name of a %s does not end in a "
                         "colon and numbers: they would be taken for the "
                         "numbers of %s",
                         kind->what, kind->parts);
    return ST_OK;
}

enum status name_read(char out[NAME_SIZE], const struct named_kind *kind,
                      const char *text, struct fault *why)
{
    char *name = strdup(text);
    enum status st;

    if (!name)
        return fault_nomem(why);
    trim(name);
    st = check_name(kind, name, why);
    if (st == ST_OK)
        snprintf(out, NAME_SIZE, "%s", name);
    free(name);
    return st;
}

enum status remark_read(char *text, struct fault *why)
{
    enum status st;

    trim(text);
    st = check_prints(text, "a remark", "", why);
    if (st != ST_OK)
        return st;
    if (characters(text) > REMARK_MAX_CHARACTERS)
        return fault_set(why, ST_USAGE,
                         "a remark has at most %d characters; "
                         "this one has %zu",
                         REMARK_MAX_CHARACTERS, characters(text));
    return ST_OK;
}

/* --- which one is meant ------------------------------------------------- */

/* All names, as they are kept and as they are compared. */
struct names {
    char **kept;
    const char **plain; /* ended by NULL; owned too */
    size_t count, room, plain_room;
    bool nomem;
};

static bool take_name(void *context, const char *name, int64_t cells)
{
    struct names *names = context;
    char **kept =
        grow_room(names->kept, names->count, &names->room, sizeof *kept);
    const char **plain = grow_room(names->plain, names->count + 1,
                                   &names->plain_room, sizeof *plain);

    (void)cells;
    names->kept = kept ? kept : names->kept;
    names->plain = plain ? plain : names->plain;
    names->nomem = !kept || !plain;
    if (names->nomem)
        return false;
    kept[names->count] = strdup(name);
    plain[names->count] = text_plain(name);
    names->nomem = !kept[names->count] || !plain[names->count];
    plain[++names->count] = NULL;
    return !names->nomem;
}

static void names_free(struct names *names)
{
    for (size_t i = 0; i < names->count; i++) {
        free(names->kept[i]);
        free((void *)names->plain[i]);
    }
    free(names->kept);
    free(names->plain);
}

/* The name as kept that is nearest to NAME, NULL where none is near. */
static const char *nearest_name(const struct names *names, const char *name)
{
    char *plain = text_plain(name);
    const char *near =
        plain && names->plain ? options_nearest(names->plain, plain) : NULL;

    free(plain);
    for (size_t i = 0; near && i < names->count; i++)
        if (names->plain[i] == near)
            return names->kept[i];
    return NULL;
}

enum status name_suggest(struct notebook *notebook,
                         const struct named_kind *kind, const char *name,
                         enum status st, struct fault *why)
{
    struct names names = { 0 };
    const char *near;

    if (st != ST_NOTHING)
        return st;
    if (notebook && (kind->all(notebook, take_name, &names, NULL) != ST_OK ||
                     names.nomem)) {
        names_free(&names);
        return st;
    }
    near = nearest_name(&names, name);
    if (names.count == 0)
        fault_set(why, st, "there are no %ss yet; '%s mine' makes one",
                  kind->what, kind->command);
    else if (near)
        fault_set(why, st, "there is no %s '%.160s'; did you mean '%.160s'?",
                  kind->what, name, near);
    else
        fault_set(why, st,
                  "there is no %s '%.300s'; '%s' shows them, '%s' "
                  "makes one",
                  kind->what, name, kind->listing, kind->command);
    names_free(&names);
    return st;
}

enum status name_split(char name[NAME_SIZE], struct number_list *numbers,
                       const struct named_kind *kind, const char *text,
                       struct fault *why)
{
    const char *colon = strrchr(text, ':');
    char *before;
    enum status st = ST_OK;

    numbers->count = 0;
    if (!ends_in_numbers(text))
        return name_read(name, kind, text, why);
    before = strndup(text, (size_t)(colon - text));
    if (!before)
        return fault_nomem(why);
    st = name_read(name, kind, before, why);
    free(before);
    return st == ST_OK ? numbers_read(numbers, colon + 1, why) : st;
}
