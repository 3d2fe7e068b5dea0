/* query/bank.c - see bank.h. */
#include "query/bank.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "schema/grow.h"
#include "schema/options.h"
#include "schema/text_plain.h"
#include "schema/utf8.h"

/* --- names and remarks ------------------------------------------------ */

/* Does TEXT hold nothing but UTF-8 that prints on one line? */
static bool prints(const char *text)
{
    size_t size = strlen(text) + 1;
    char *safe = malloc(size);
    bool same = safe && strcmp(text_make_safe(safe, size, text), text) == 0;

    free(safe);
    return same;
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

/* As in "mine:1,3-5", which bank_split_keep() reads. */
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

static enum status check_name(const char *name, struct fault *why)
{
    if (!*name)
        return fault_set(why, ST_USAGE, "the name of the bank is empty");
    if (!prints(name))
        return fault_set(why, ST_USAGE, "the name of a bank is one line of "
                         "UTF-8 text without control characters");
    if (characters(name) > BANK_NAME_MAX)
        return fault_set(why, ST_USAGE, "the name of a bank has at most %d "
                         "characters; this one has %zu", BANK_NAME_MAX,
                         characters(name));
    if (ends_in_numbers(name))
        return fault_set(why, ST_USAGE, "the name of a bank does not end in a "
                         "colon and numbers: they would be taken for the "
                         "numbers of cells");
    return ST_OK;
}

enum status bank_name_read(char out[BANK_NAME_SIZE], const char *text,
                           struct fault *why)
{
    char *name = strdup(text);
    enum status st;

    if (!name)
        return fault_nomem(why);
    trim(name);
    st = check_name(name, why);
    if (st == ST_OK)
        snprintf(out, BANK_NAME_SIZE, "%s", name);
    free(name);
    return st;
}

enum status bank_note_read(char *text, struct fault *why)
{
    trim(text);
    if (!prints(text))
        return fault_set(why, ST_USAGE, "a remark is one line of UTF-8 text "
                         "without control characters");
    if (characters(text) > BANK_NOTE_MAX)
        return fault_set(why, ST_USAGE, "a remark has at most %d characters; "
                         "this one has %zu", BANK_NOTE_MAX, characters(text));
    return ST_OK;
}

/* --- which bank is meant ---------------------------------------------- */

/* The names of all banks, as they are kept and as they are compared. */
struct names {
    char **kept;
    const char **plain; /* ended by NULL; owned too */
    size_t count, room, plain_room;
    bool nomem;
};

static bool take_name(void *context, const char *name, int64_t cells)
{
    struct names *names = context;
    char **kept = grow_room(names->kept, names->count, &names->room,
                            sizeof *kept);
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
        free((void *)(uintptr_t)names->plain[i]);
    }
    free(names->kept);
    free(names->plain);
}

/* The name as kept that is nearest to NAME, NULL where none is near. */
static const char *nearest_name(const struct names *names, const char *name)
{
    char *plain = text_plain(name);
    const char *near = plain && names->plain
                           ? options_nearest(names->plain, plain)
                           : NULL;

    free(plain);
    for (size_t i = 0; near && i < names->count; i++)
        if (names->plain[i] == near)
            return names->kept[i];
    return NULL;
}

enum status bank_suggest(struct notebook *notebook, const char *name,
                         enum status st, struct fault *why)
{
    struct names names = { 0 };
    const char *near;

    if (st != ST_NOTHING)
        return st;
    if (notebook &&
        (notebook_banks(notebook, take_name, &names, NULL) != ST_OK ||
         names.nomem)) {
        names_free(&names);
        return st;
    }
    near = nearest_name(&names, name);
    if (names.count == 0)
        fault_set(why, st, "there are no banks yet; 'cellar bank new mine' "
                  "makes one");
    else if (near)
        fault_set(why, st, "there is no bank '%.160s'; did you mean '%.160s'?",
                  name, near);
    else
        fault_set(why, st, "there is no bank '%.320s'; 'cellar bank list' "
                  "shows them, 'cellar bank new' makes one", name);
    names_free(&names);
    return st;
}

/* --- loading ---------------------------------------------------------- */

static void kept_free(struct kept_cell *kept)
{
    free((void *)(uintptr_t)kept->given);
    free((void *)(uintptr_t)kept->note);
    free((void *)(uintptr_t)kept->origin);
}

bool bank_push(struct bank *bank, const struct kept_cell *kept)
{
    struct kept_cell *cells =
        grow_room(bank->cells, bank->count, &bank->room, sizeof *cells);

    if (!cells)
        return false;
    bank->cells = cells;
    cells += bank->count;
    *cells = *kept;
    cells->given = strdup(kept->given);
    cells->note = strdup(kept->note);
    cells->origin = strdup(kept->origin);
    if (cells->given && cells->note && cells->origin) {
        bank->count++;
        return true;
    }
    kept_free(cells);
    return false;
}

struct loading {
    struct bank *bank;
    bool nomem;
};

static bool load_cell(void *context, const struct kept_cell *kept)
{
    struct loading *loading = context;

    loading->nomem = !bank_push(loading->bank, kept);
    return !loading->nomem;
}

enum status bank_load(struct bank *out, struct notebook *notebook,
                      const char *name, struct fault *why)
{
    struct loading loading = { out, false };
    enum status st = ST_NOTHING;

    memset(out, 0, sizeof *out);
    if (notebook)
        st = notebook_bank_cells(notebook, name, out->name, load_cell,
                                 &loading, why);
    if (st == ST_OK && loading.nomem)
        st = fault_nomem(why);
    return bank_suggest(notebook, name, st, why);
}

void bank_free(struct bank *bank)
{
    for (size_t i = 0; i < bank->count; i++)
        kept_free(&bank->cells[i]);
    free(bank->cells);
    memset(bank, 0, sizeof *bank);
}

/* --- cells that were listed ------------------------------------------- */

enum status bank_split_keep(char name[BANK_NAME_SIZE],
                            struct number_list *numbers, const char *text,
                            struct fault *why)
{
    const char *colon = strrchr(text, ':');
    char *before;
    enum status st = ST_OK;

    numbers->count = 0;
    if (!ends_in_numbers(text))
        return bank_name_read(name, text, why);
    before = strndup(text, (size_t)(colon - text));
    if (!before)
        return fault_nomem(why);
    st = bank_name_read(name, before, why);
    free(before);
    return st == ST_OK ? numbers_read(numbers, colon + 1, why) : st;
}

enum status bank_remember(const char *library, const char *question,
                          const struct listed_cell *cells, size_t count,
                          struct fault *why)
{
    struct notebook *notebook;
    enum status st = notebook_open(&notebook, library, NOTEBOOK_WRITE, why);

    if (st == ST_OK)
        st = notebook_put_listing(notebook, question, cells, count, why);
    notebook_close(notebook);
    return st;
}

/* "cell 3 of cellar cells --over m7, 37 times there" */
static void write_origin(char *out, size_t size, const char *question,
                         int32_t number, int64_t uses)
{
    int n = snprintf(out, size, "cell %d of '%.*s'", (int)number,
                     LISTING_QUESTION_SIZE, question);

    if (uses > 0 && n > 0 && (size_t)n < size)
        snprintf(out + n, size - (size_t)n, ", %lld %s there",
                 (long long)uses, uses == 1 ? "time" : "times");
}

static bool push_listed(struct bank *out, const char *question, int32_t number,
                        const struct listed_cell *listed)
{
    char origin[LISTING_QUESTION_SIZE + 80], safe[sizeof origin];
    struct kept_cell kept = { .cell = listed->cell,
                              .given = "",
                              .note = "",
                              .origin = safe,
                              .added = (int64_t)time(NULL) };

    write_origin(origin, sizeof origin, question, number, listed->uses);
    text_make_safe(safe, sizeof safe, origin);
    return bank_push(out, &kept);
}

enum status bank_add_listed(struct bank *out, struct notebook *notebook,
                            const char *name, const char *question,
                            const int32_t *numbers,
                            const struct listed_cell *cells, size_t count,
                            bool *new, struct fault *why)
{
    enum status st;

    for (size_t i = 0; i < count; i++)
        if (!push_listed(out, question, numbers[i], &cells[i]))
            return fault_nomem(why);
    st = notebook_add_cells(notebook, name, out->cells, new, out->count, why);
    return bank_suggest(notebook, name, st, why);
}
