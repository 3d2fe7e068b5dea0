/* query/bank.c - see bank.h. */
#include "query/bank.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "schema/grow.h"

const struct named_kind bank_kind = { "bank", "cells", "cellar bank new",
                                      "cellar bank list", notebook_banks };

/* --- loading ---------------------------------------------------------- */

static void kept_free(struct kept_cell *kept)
{
    free((void *)kept->given);
    free((void *)kept->note);
    free((void *)kept->origin);
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
        st = notebook_bank_cells(notebook, name, out->name, load_cell, &loading,
                                 why);
    if (st == ST_OK && loading.nomem)
        st = fault_nomem(why);
    return name_suggest(notebook, &bank_kind, name, st, why);
}

void bank_free(struct bank *bank)
{
    for (size_t i = 0; i < bank->count; i++)
        kept_free(&bank->cells[i]);
    free(bank->cells);
    memset(bank, 0, sizeof *bank);
}

/* --- cells that were listed ------------------------------------------- */

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
        snprintf(out + n, size - (size_t)n, ", %lld %s there", (long long)uses,
                 uses == 1 ? "time" : "times");
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
    return name_suggest(notebook, &bank_kind, name, st, why);
}
