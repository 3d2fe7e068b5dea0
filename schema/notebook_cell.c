/* schema/notebook_cell.c - see notebook_cell.h. */
#include "schema/notebook_cell.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

bool placed_cell_equal(const struct placed_cell *a,
                       const struct placed_cell *b)
{
    return a->count == b->count && a->class == b->class &&
           a->start == b->start &&
           memcmp(a->intervals, b->intervals,
                  (size_t)(a->count - 1) * sizeof *a->intervals) == 0;
}

void with_cell_key(struct asked *a, struct cell_key *key,
                   const struct placed_cell *cell)
{
    char *at = key->intervals;

    for (int i = 0; i + 1 < cell->count; i++)
        at += snprintf(at,
                       (size_t)(key->intervals + sizeof key->intervals - at),
                       "%s%d", i > 0 ? " " : "", cell->intervals[i]);
    with_text(a, key->intervals);
    with_text(a, cell->class < 0 ? "" : chord_class_name(cell->class));
    with_int(a, cell->start);
}

void with_cell(struct asked *a, struct cell_key *key,
               const struct placed_cell *cell)
{
    with_cell_key(a, key, cell);
    with_text(a, cell->degrees);
    with_text(a, cell->over);
}

/* "-4 -1 -2" */
static bool read_intervals(struct placed_cell *out, const char *text)
{
    int steps = 0;

    while (*text) {
        char *end;
        long value = strtol(text, &end, 10);

        if (end == text || steps == CELL_STEPS_MAX ||
            labs(value) > CELL_STEP_MAX || (*end && *end != ' '))
            return false;
        out->intervals[steps++] = (int)value;
        text = end + (*end == ' ');
    }
    out->count = steps + 1;
    return out->count >= CELL_NOTES_MIN;
}

/* Copy TEXT if it fits. */
static bool read_text(char *out, size_t size, const char *text)
{
    return snprintf(out, size, "%s", text) < (int)size;
}

enum status cell_at(const struct notebook *n, sqlite3_stmt *stmt, int column,
                    struct placed_cell *out, struct fault *why)
{
    const char *class = text_at(stmt, column + 1);

    memset(out, 0, sizeof *out);
    out->class = *class ? chord_class_parse(class) : -1;
    out->start = sqlite3_column_int(stmt, column + 2);
    if (!read_intervals(out, text_at(stmt, column)) ||
        (*class && out->class < 0) || out->start < -1 || out->start > 11 ||
        !read_text(out->degrees, sizeof out->degrees,
                   text_at(stmt, column + 3)) ||
        !read_text(out->over, sizeof out->over, text_at(stmt, column + 4)))
        return notebook_damaged(n, "it holds a cell that is none", why);
    return ST_OK;
}
