/* query/cells_keep.c - cells that were listed, on their way into a bank. */
#include "query/cells_keep.h"

#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "query/columns.h"
#include "query/bank.h"
#include "query/cells_words.h"
#include "query/words.h"
#include "schema/gather.h"

/* The cell INDEX of the list, as banks have it. */
static void place_cell(struct listed_cell *out,
                       const struct cells_result *result, size_t index)
{
    const struct cells_side_result *own = &result->sides[CELLS_OWN];
    const struct cell *cell = &result->cells[own->order[index]];
    struct cell_shape shape;
    char degrees[CELLS_TEXT_SIZE];

    cell_shape(&shape, cell);
    memset(out, 0, sizeof *out);
    out->uses = cell->count[CELLS_OWN];
    out->cell.count = shape.notes;
    for (int i = 0; i + 1 < shape.notes; i++)
        out->cell.intervals[i] = shape.steps[i];
    out->cell.class = shape.class;
    out->cell.start = shape.start;
    snprintf(out->cell.degrees, sizeof out->cell.degrees, "%s",
             cells_degrees_text(degrees, &shape));
}

/* All that is listed, as far as numbers go; the caller owns it.  NULL when
 * memory is out. */
static struct listed_cell *listed_cells(const struct cells_result *result,
                                        size_t *count)
{
    struct listed_cell *cells;

    *count = result->sides[CELLS_OWN].shown;
    if (*count > NUMBERS_MAX)
        *count = NUMBERS_MAX;
    cells = calloc(*count + 1, sizeof *cells);
    for (size_t i = 0; cells && i < *count; i++)
        place_cell(&cells[i], result, i);
    return cells;
}

/* May the notebook of LIBRARY be written to, whether or not it can be? */
static bool may_write(const char *library)
{
    struct gather path = { 0 };
    char *folder;
    bool may;

    gather_format(&path, "%s/.cellar", library);
    folder = gather_take(&path);
    may = !folder || access(folder, W_OK) == 0;
    free(folder);
    return may;
}

void cells_remember(struct session *session, const struct cells_result *result,
                    const char *question)
{
    size_t count;
    struct listed_cell *cells = listed_cells(result, &count);
    struct fault why = { 0 };
    enum status st = cells ? ST_OK : fault_nomem(&why);

    if (st == ST_OK && count > 0)
        st = bank_remember(session->library, question, cells, count, &why);
    free(cells);
    /* Whoever only asks is not to be troubled by what cannot be kept, unless
     * the numbers of an older list would be taken for the ones of this. */
    if (st != ST_OK && may_write(session->library)) {
        fflush(stdout); /* what was listed stands before it */
        columns_say(stderr,
                    "cellar: 'bank add' does not know these cells by their "
                    "numbers: %s", why.message);
    }
}

static void say_kept(const char *name, const bool *new, size_t count)
{
    char added[WORDS_SIZE], old[WORDS_SIZE], rest[WORDS_SIZE + 20] = "";
    size_t fresh = 0;

    fflush(stdout); /* what was listed stands before what was kept */
    for (size_t i = 0; i < count; i++)
        fresh += new[i];
    if (fresh < count)
        snprintf(rest, sizeof rest, "; %s in it already",
                 words_count(old, count - fresh, "was", "were"));
    columns_say(stderr, "kept %s in %s%s",
                words_count(added, fresh, "cell", "cells"), name, rest);
}

/* The numbers that are kept: those named, else all. */
static enum status choose_numbers(struct number_list *numbers, size_t count,
                                  struct fault *why)
{
    if (numbers->count == 0)
        for (size_t i = 0; i < count && i < NUMBERS_MAX; i++)
            numbers->items[numbers->count++] = (int32_t)i + 1;
    for (size_t i = 0; i < numbers->count; i++)
        if ((size_t)numbers->items[i] > count)
            return fault_set(
                why, ST_USAGE, "there is no cell %d to keep: %zu %s listed",
                (int)numbers->items[i], count, count == 1 ? "is" : "are");
    return ST_OK;
}

static enum status put_cells(struct notebook *notebook, const char *name,
                             const char *question,
                             const struct number_list *numbers,
                             const struct listed_cell *cells, struct fault *why)
{
    struct listed_cell *chosen = calloc(numbers->count + 1, sizeof *chosen);
    bool *new = calloc(numbers->count + 1, sizeof *new);
    struct bank added = { .count = 0 };
    enum status st = chosen && new ? ST_OK : fault_nomem(why);

    for (size_t i = 0; st == ST_OK && i < numbers->count; i++)
        chosen[i] = cells[numbers->items[i] - 1];
    if (st == ST_OK)
        st = bank_add_listed(&added, notebook, name, question, numbers->items,
                             chosen, numbers->count, new, why);
    if (st == ST_OK)
        say_kept(name, new, numbers->count);
    bank_free(&added);
    free(chosen);
    free(new);
    return st;
}

enum status cells_keep(struct session *session,
                       const struct cells_result *result, const char *question,
                       const char *keep, struct fault *why)
{
    struct number_list *numbers = malloc(sizeof *numbers);
    struct notebook *notebook = NULL;
    char name[NAME_SIZE];
    size_t count;
    struct listed_cell *cells = listed_cells(result, &count);
    enum status st = numbers && cells
                         ? name_split(name, numbers, &bank_kind, keep, why)
                         : fault_nomem(why);

    if (st == ST_OK)
        st = choose_numbers(numbers, count, why);
    if (st == ST_OK)
        st = session_notebook(&notebook, session, NOTEBOOK_WRITE, why);
    if (st == ST_OK)
        st = put_cells(notebook, name, question, numbers, cells, why);
    notebook_close(notebook);
    free(numbers);
    free(cells);
    return st;
}
