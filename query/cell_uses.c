/* query/cell_uses.c - all uses of one cell. */
#include "query/cell_uses.h"

#include <stdlib.h>
#include <string.h>

/* How the chord that SHAPE stands over relates to the home chord. */
static void say_relation(char out[RELATION_TEXT_SIZE],
                         const struct cell_uses *uses, const struct fragment *f,
                         const struct cell_shape *shape)
{
    struct chord home,
        written = { .class = (uint8_t)shape->class, .has_root = true };
    enum relation relation;

    *out = '\0';
    if (!asked_home_unnamed(&home, &uses->home, 0))
        return;
    written.root_pc = (uint8_t)pitch_modulo(f->midi[0] - shape->start, 12);
    relation = relation_of_key(relation_key(&home, &written));
    if (relation == RELATION_OTHER)
        relation_title(out, RELATION_TEXT_SIZE, relation_key(&home, &written));
    else
        strcpy(out, relation_name(relation));
}

static enum status list_uses(struct cell_uses *out,
                             const struct cell_page *page, struct fault *why)
{
    const struct cells_result *result = page->cells->result;
    const struct cells_side_result *own = &result->sides[CELLS_OWN];

    out->items = calloc(own->shown + 1, sizeof *out->items);
    out->details = calloc(own->shown + 1, sizeof *out->details);
    if (!out->items || !out->details)
        return fault_nomem(why);
    out->count = (size_t)own->total;
    out->shown = own->shown;
    for (size_t i = 0; i < out->shown; i++) {
        struct cell_shape shape;

        out->items[i].cell = own->order[i];
        cell_shape(&shape, &result->cells[own->order[i]]);
        say_relation(out->items[i].relation, out, page->fragment, &shape);
    }
    for (size_t i = 0; i < result->count; i++)
        out->total += result->cells[i].count[CELLS_OWN];
    return ST_OK;
}

/* Details of all uses together: of those that are not shown as well. */
static enum status read_together(struct cell_uses *out,
                                 const struct cells_page *page,
                                 struct fault *why)
{
    size_t count = page->result->count;
    uint32_t *all = malloc((count + 1) * sizeof *all);
    enum status st;

    if (!all)
        return fault_nomem(why);
    for (size_t i = 0; i < count; i++)
        all[i] = (uint32_t)i;
    st = cells_detail(&out->together, page->result, page->store, CELLS_OWN, all,
                      count, true, why);
    free(all);
    return st;
}

enum status cell_uses_read(struct cell_uses *out, const struct cell_page *page,
                           struct fault *why)
{
    const struct cells_page *cells = page->cells;
    enum status st;

    memset(out, 0, sizeof *out);
    asked_home_of(&out->home, page->fragment);
    st = list_uses(out, page, why);
    if (st == ST_OK)
        st = cells_detail(out->details, cells->result, cells->store, CELLS_OWN,
                          cells->result->sides[CELLS_OWN].order, out->shown,
                          false, why);
    return st == ST_OK ? read_together(out, cells, why) : st;
}

void cell_uses_free(struct cell_uses *uses)
{
    if (uses->details)
        cells_detail_free(uses->details, uses->shown);
    cells_detail_free(&uses->together, 1);
    free(uses->details);
    free(uses->items);
    memset(uses, 0, sizeof *uses);
}
