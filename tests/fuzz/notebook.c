/* notebook.c - any bytes as notebook.db: everything in it can be read or is
 * refused, and a change is kept or leaves what was there. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "schema/notebook_bank.h"
#include "schema/notebook_list.h"
#include "tests/fuzz/fuzz.h"

enum {
    NAMES_MAX = 8
};

/* What a walk through the notebook saw. */
struct seen {
    char banks[NAMES_MAX][BANK_NAME_SIZE], lists[NAMES_MAX][LIST_NAME_SIZE];
    size_t bank_count, list_count, parts;
};

static void check_text(const char *text)
{
    fuzz_holds(text != NULL && strlen(text) < 1 << 20, "a text is there");
}

static bool see_form(void *context, const struct form_correction *c)
{
    struct seen *seen = context;

    check_text(c->solo.path);
    check_text(c->solo.title);
    check_text(c->first_bar);
    seen->parts++;
    return true;
}

static bool see_bank(void *context, const char *name, int64_t cells)
{
    struct seen *seen = context;

    fuzz_holds(cells >= 0, "cells are counted");
    check_text(name);
    if (seen->bank_count < NAMES_MAX)
        snprintf(seen->banks[seen->bank_count++], BANK_NAME_SIZE, "%s", name);
    return true;
}

static bool see_cell(void *context, const struct kept_cell *kept)
{
    const struct placed_cell *cell = &kept->cell;
    struct seen *seen = context;

    fuzz_holds(cell->count >= CELL_NOTES_MIN && cell->count <= CELL_NOTES_MAX,
               "a cell has 3 to 7 notes");
    for (int i = 0; i + 1 < cell->count; i++)
        fuzz_holds(abs(cell->intervals[i]) <= CELL_STEP_MAX,
                   "its intervals are within a keyboard");
    fuzz_holds(cell->class >= -1 && cell->class < CHORD_CLASSES &&
                   cell->start >= -1 && cell->start < 12,
               "its chord is one");
    check_text(kept->given);
    check_text(kept->note);
    check_text(kept->origin);
    seen->parts++;
    return true;
}

static bool see_list(void *context, const char *name, int64_t entries)
{
    struct seen *seen = context;

    fuzz_holds(entries >= 0, "entries are counted");
    check_text(name);
    if (seen->list_count < NAMES_MAX)
        snprintf(seen->lists[seen->list_count++], LIST_NAME_SIZE, "%s", name);
    return true;
}

static bool see_entry(void *context, const struct list_entry *e)
{
    struct seen *seen = context;

    fuzz_holds(e->note_count >= 1 && e->note_count <= LIST_NOTES_MAX,
               "an entry has notes");
    for (size_t i = 0; i < e->note_count; i++)
        fuzz_holds(e->midi[i] >= 0 && e->midi[i] <= 127, "a note sounds");
    check_text(e->solo.path);
    check_text(e->performer);
    check_text(e->bar);
    check_text(e->relation);
    check_text(e->remark);
    seen->parts++;
    return true;
}

/* Read everything.  False where something was refused. */
static bool read_all(struct notebook *n, struct seen *seen)
{
    char found[BANK_NAME_SIZE];
    struct fault why = { 0 };
    struct listing about;
    struct listed_cell cells[2];
    const int32_t numbers[2] = { 1, 2 };
    enum status st, worst;

    worst = notebook_forms(n, see_form, seen, &why);
    fuzz_status(worst, &why, 0);
    st = notebook_banks(n, see_bank, seen, &why);
    fuzz_status(st, &why, 0);
    worst = worst ? worst : st;
    for (size_t i = 0; i < seen->bank_count; i++) {
        st =
            notebook_bank_cells(n, seen->banks[i], found, see_cell, seen, &why);
        fuzz_status(st, &why, 0);
        worst = worst ? worst : st;
    }
    st = notebook_lists(n, see_list, seen, &why);
    fuzz_status(st, &why, 0);
    worst = worst ? worst : st;
    for (size_t i = 0; i < seen->list_count; i++) {
        st = notebook_list_entries(n, seen->lists[i], found, see_entry, seen,
                                   &why);
        fuzz_status(st, &why, 0);
        worst = worst ? worst : st;
    }
    fuzz_status(notebook_listed(n, &about, numbers, 2, cells, &why), &why, 0);
    return worst == ST_OK;
}

/* Put a cell, a list and a correction where BEFORE was read. */
static void write_some(struct notebook *n, const struct seen *before)
{
    struct kept_cell cell = { .cell = { .count = 4,
                                        .intervals = { -4, -1, -2 },
                                        .class = CHORD_MINOR,
                                        .start = 7,
                                        .degrees = "5 b3 2 1",
                                        .over = "m7" },
                              .given = "5 b3 2 1",
                              .note = "",
                              .origin = "" };
    struct form_correction form = { { "aa", "a.xml", "A", 1 }, 12, "1" };
    struct seen after = { .bank_count = 0 };
    struct fault why = { 0 };
    bool new = false;
    enum status st;

    st = notebook_new_bank(n, "fuzz", &why);
    fuzz_status(st, &why, 0);
    if (st == ST_OK || st == ST_USAGE) {
        st = notebook_add_cells(n, "fuzz", &cell, &new, 1, &why);
        fuzz_status(st, &why, 0);
    }
    if (st != ST_OK)
        return;
    fuzz_status(notebook_note_cell(n, "fuzz", cell.number, "slow", &why), &why,
                0);
    fuzz_status(notebook_new_list(n, "fuzz", 1, &why), &why, 0);
    fuzz_status(notebook_put_form(n, &form, &why), &why, 0);
    fuzz_holds(cell.number > 0, "a cell that was kept has a number");
    if (read_all(n, &after))
        fuzz_holds(after.parts + 1 >= before->parts,
                   "what was there is there (one correction may be replaced)");
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct seen seen = { .bank_count = 0 };
    struct notebook *n = NULL;
    struct fault why = { 0 };
    bool whole = false;
    enum status st;

    fuzz_library_fill("notebook.db", data, size);
    st = notebook_open(&n, fuzz_library(), NOTEBOOK_READ, &why);
    fuzz_status(st, &why, 0);
    if (st == ST_OK && n)
        whole = read_all(n, &seen);
    notebook_close(n);
    n = NULL;
    st = notebook_open(&n, fuzz_library(), NOTEBOOK_WRITE, &why);
    fuzz_status(st, &why, 0);
    if (st == ST_OK && whole)
        write_some(n, &seen);
    notebook_close(n);
    return 0;
}
