/* query/cells_detail.c - how cells are used. */
#include "query/cells_detail.h"

#include <stdlib.h>
#include <string.h>

#include "query/hit_view.h"
#include "query/rank.h"

enum {
    /* A batch ends when it has so many cells and so many uses. */
    BATCH_CELLS = 64,
    BATCH_USES = 50000,
    BEST_ROOM = CELL_EXAMPLES + 1
};

/* --- values --------------------------------------------------------------- */

static int64_t neighbour_value(const struct cell_neighbour *n)
{
    return (((int64_t)n->what * 12 + n->steps) * CHORD_CLASSES + n->class) *
               12 +
           n->above;
}

void cell_neighbour_read(struct cell_neighbour *out, int64_t value)
{
    out->above = (int)(value % 12);
    out->class = (int)(value / 12 % CHORD_CLASSES);
    out->steps = (int)(value / 12 / CHORD_CLASSES % 12);
    out->what = (enum cell_beside)(value / 12 / CHORD_CLASSES / 12);
}

static int64_t section_value(const struct form_section *section)
{
    int64_t value = 0;
    size_t len = section ? strlen(section->letter) : 0;

    for (size_t i = 0; i + 1 < sizeof value; i++)
        value = value << 8 | (i < len ? (unsigned char)section->letter[i] : 0);
    return value;
}

char *cell_section_text(char out[CELL_SECTION_SIZE], int64_t value)
{
    memset(out, 0, CELL_SECTION_SIZE);
    for (size_t i = sizeof value - 1; i-- > 0; value >>= 8)
        out[i] = (char)(value & 0xff);
    return out;
}

/* --- one use -------------------------------------------------------------- */

/* A use with its score. */
struct scored {
    uint32_t place;
    int score;
};

/* The best uses: of each solo the best one, and all the others. */
struct best {
    struct scored firsts[BEST_ROOM], others[BEST_ROOM];
    size_t first_count, other_count;
    bool open;          /* the last solo is not closed yet */
    struct scored here; /* the best of it */
};

struct use {
    uint32_t place, slot, cell;
};

struct looking {
    const struct cells_result *result;
    struct cell_detail *details;
    struct best *best;
    size_t detail_count;
    struct fault *why;
};

/* Put ITEM among the CELL_EXAMPLES best; of equals the earlier stays first. */
static void keep_best(struct scored *kept, size_t *count, struct scored item)
{
    size_t at = *count;

    while (at > 0 && kept[at - 1].score < item.score) {
        kept[at] = kept[at - 1];
        at--;
    }
    kept[at] = item;
    if (*count < CELL_EXAMPLES)
        ++*count;
}

static void close_solo(struct best *best)
{
    if (best->open)
        keep_best(best->firsts, &best->first_count, best->here);
    best->open = false;
}

static void rate(struct best *best, struct scored item)
{
    struct scored lesser = item;

    if (!best->open) {
        best->open = true;
        best->here = item;
        return;
    }
    if (item.score > best->here.score) {
        lesser = best->here;
        best->here = item;
    }
    keep_best(best->others, &best->other_count, lesser);
}

/* The note INDEX beside a cell over CHORD. */
static int64_t neighbour_of(const struct solo *solo, int64_t index,
                            const struct chord *chord)
{
    struct cell_neighbour n = { BESIDE_NOTHING, 0, 0, 0 };
    const struct chord_event *event;
    const struct chord *there;
    const struct note *note;

    if (index < 0 || index >= (int64_t)solo->note_count)
        return neighbour_value(&n);
    note = &solo->notes[index];
    event = real_chord(solo, note->heard);
    n.what = BESIDE_NO_CHORD;
    if (!event)
        return neighbour_value(&n);
    there = &event->chord;
    n.what = chord_equal(there, chord) ? BESIDE_SAME_CHORD : BESIDE_OTHER_CHORD;
    n.above = pitch_modulo(note->midi - there->root_pc, 12);
    n.class = there->class;
    if (n.what == BESIDE_OTHER_CHORD)
        n.steps = pitch_modulo(there->root_pc - chord->root_pc, 12);
    return neighbour_value(&n);
}

static enum status count_rhythm(struct tally *rhythms, const struct solo *solo,
                                size_t first, size_t last, struct fault *why)
{
    int64_t value[TALLY_WIDTH_MAX];
    size_t n = 0;

    for (size_t i = first; i <= last; i++) {
        const struct note *note = &solo->notes[i];
        struct rational quarters = solo_quarters(
            solo, i < last ? note[1].start - note->start : note->duration);

        value[n++] = quarters.num;
        value[n++] = quarters.den;
    }
    rhythms->width = n;
    rhythms->fractions = true;
    return tally_add(rhythms, value, why);
}

static enum status count_one(struct tally *tally, int64_t value,
                             struct fault *why)
{
    tally->width = 1;
    return tally_add(tally, &value, why);
}

static enum status count_where(struct cell_detail *d, const struct solo *solo,
                               size_t first, size_t last, struct fault *why)
{
    const struct note *note = &solo->notes[first];
    const struct form_place *place = form_place_of(solo, note->bar);
    struct rational beat = solo_beat(solo, note);
    int64_t value[2] = { beat.num, beat.den };
    enum status st;

    d->opens_chorus += place_opens(solo, first, false);
    d->opens_section += place_opens(solo, first, true);
    d->starts_phrase += solo_starts_phrase(solo, first);
    d->ends_phrase += solo_ends_phrase(solo, last);
    d->beats.width = 2;
    d->beats.fractions = true;
    st = tally_add(&d->beats, value, why);
    if (st == ST_OK)
        st = count_one(&d->bars, place->chorus_bar, why);
    if (st == ST_OK)
        st = count_one(&d->sections, section_value(place->section), why);
    return st;
}

static enum status count_use(struct looking *l, const struct solo *solo,
                             const struct use *use)
{
    struct cell_detail *d = &l->details[use->slot];
    struct rank_question question = { .weights = RANK_WEIGHTS_DEFAULT };
    struct rank_parts parts;
    struct cell_shape shape;
    struct rank_place place = { .solo = solo };
    const struct chord *chord;
    enum status st;

    cell_shape(&shape, &l->result->cells[use->cell]);
    place.first = use->place - l->result->starts[l->result->solo[use->place]];
    place.last = place.first + (size_t)shape.notes - 1;
    place.chord = solo_window_chord(solo, place.first, (size_t)shape.notes);
    chord = &solo->chords[place.chord].chord;
    rank_score(&parts, &question, &place);
    rate(&l->best[use->slot], (struct scored){ use->place, parts.score });
    d->count++;
    d->keys[cell_root(l->result, &shape, use->place)]++;
    st = count_where(d, solo, place.first, place.last, l->why);
    if (st == ST_OK)
        st = count_rhythm(&d->rhythms, solo, place.first, place.last, l->why);
    if (st == ST_OK)
        st = count_one(&d->before,
                       neighbour_of(solo, (int64_t)place.first - 1, chord),
                       l->why);
    if (st == ST_OK)
        st = count_one(&d->after,
                       neighbour_of(solo, (int64_t)place.last + 1, chord),
                       l->why);
    return st;
}

/* --- all uses ------------------------------------------------------------- */

static int by_place(const void *a, const void *b)
{
    const struct use *x = a, *y = b;

    if (x->place != y->place)
        return x->place < y->place ? -1 : 1;
    return (x->cell > y->cell) - (x->cell < y->cell);
}

/* The uses of all cells in the order of their places; NULL when memory is
 * out.  The caller owns them. */
static struct use *gather(const struct cells_result *result,
                          enum cells_side side, const uint32_t *cells,
                          size_t count, bool together, size_t *use_count)
{
    struct use *uses;
    size_t total = 0, n = 0, some;

    for (size_t c = 0; c < count; c++)
        total += result->cells[cells[c]].count[side];
    uses = malloc((total + 1) * sizeof *uses);
    *use_count = total;
    if (!uses)
        return NULL;
    for (size_t c = 0; c < count; c++) {
        const uint32_t *places =
            cell_places(result, &result->cells[cells[c]], side, &some);

        for (size_t i = 0; i < some; i++)
            uses[n++] =
                (struct use){ places[i], together ? 0 : (uint32_t)c, cells[c] };
    }
    qsort(uses, total, sizeof *uses, by_place);
    return uses;
}

/* The uses from FROM on that stand in one solo; *NEXT receives what follows. */
static enum status look_through(struct looking *l, struct store *store,
                                const struct use *uses, size_t count,
                                size_t from, size_t *next)
{
    const struct cells_result *r = l->result;
    uint32_t end = r->starts[r->solo[uses[from].place] + 1], first;
    enum cells_side side;
    struct solo *solo;
    enum status st;
    size_t index, i = from;

    cells_place(r, uses[from].place, &side, &index, &first);
    st = store_load(store, r->sides[side].solos.items[index].id, &solo, l->why);
    for (; i < count && uses[i].place < end && st == ST_OK; i++)
        st = count_use(l, solo, &uses[i]);
    for (size_t k = from; k < i; k++)
        close_solo(&l->best[uses[k].slot]);
    solo_free(solo);
    *next = i;
    return st;
}

/* The best uses of D, one a solo first. */
static void choose(const struct looking *l, struct cell_detail *d,
                   const struct best *best, int notes)
{
    for (size_t i = 0; i < CELL_EXAMPLES; i++) {
        struct example *e = &d->examples[d->example_count];
        size_t other = i - best->first_count;
        enum cells_side side;

        if (i >= best->first_count && other >= best->other_count)
            break;
        cells_place(l->result,
                    i < best->first_count ? best->firsts[i].place
                                          : best->others[other].place,
                    &side, &e->index, &e->first);
        e->last = e->first + (uint32_t)notes - 1;
        d->example_count++;
    }
}

static int by_solo(const void *a, const void *b)
{
    const struct example *const *x = a, *const *y = b;

    return ((*x)->index > (*y)->index) - ((*x)->index < (*y)->index);
}

/* Cite all examples, each solo being loaded once. */
static enum status cite(struct looking *l, struct store *store,
                        const struct solo_list *list)
{
    struct example **all =
        malloc((l->detail_count * CELL_EXAMPLES + 1) * sizeof *all);
    enum status st = all ? ST_OK : fault_nomem(l->why);
    struct solo *solo = NULL;
    size_t count = 0;

    for (size_t i = 0; i < l->detail_count && all; i++)
        for (size_t k = 0; k < l->details[i].example_count; k++)
            all[count++] = &l->details[i].examples[k];
    if (count > 1)
        qsort(all, count, sizeof *all, by_solo);
    for (size_t i = 0; i < count && st == ST_OK; i++) {
        if (i == 0 || all[i]->index != all[i - 1]->index) {
            solo_free(solo);
            st =
                store_load(store, list->items[all[i]->index].id, &solo, l->why);
        }
        if (st == ST_OK)
            st = example_cite(all[i], solo, l->why);
    }
    solo_free(solo);
    free(all);
    return st;
}

static enum status finish(struct looking *l, const uint32_t *cells)
{
    enum status st = ST_OK;

    for (size_t i = 0; i < l->detail_count && st == ST_OK; i++) {
        struct cell_detail *d = &l->details[i];
        struct cell_shape shape;
        struct {
            struct tally *tally;
            bool frequent_first;
        } all[] = { { &d->beats, false },    { &d->bars, false },
                    { &d->sections, false }, { &d->rhythms, true },
                    { &d->before, true },    { &d->after, true } };

        for (size_t k = 0; k < sizeof all / sizeof *all && st == ST_OK; k++)
            st = tally_sort(all[k].tally, all[k].frequent_first, l->why);
        cell_shape(&shape, &l->result->cells[cells[i]]);
        if (st == ST_OK)
            choose(l, d, &l->best[i], shape.notes);
    }
    return st;
}

enum status cells_detail(struct cell_detail *out,
                         const struct cells_result *result, struct store *store,
                         enum cells_side side, const uint32_t *cells,
                         size_t count, bool together, struct fault *why)
{
    struct looking l = { .result = result,
                         .details = out,
                         .detail_count = together && count ? 1 : count,
                         .why = why };
    enum status st = ST_OK;
    struct use *uses;
    size_t use_count, next;

    memset(out, 0, l.detail_count * sizeof *out);
    l.best = calloc(l.detail_count + 1, sizeof *l.best);
    uses = gather(result, side, cells, count, together, &use_count);
    if (!l.best || !uses)
        st = fault_nomem(why);
    for (size_t i = 0; st == ST_OK && i < use_count; i = next)
        st = look_through(&l, store, uses, use_count, i, &next);
    free(uses);
    if (st == ST_OK)
        st = finish(&l, cells);
    if (st == ST_OK)
        st = cite(&l, store, &result->sides[side].solos);
    free(l.best);
    return st;
}

void cells_detail_free(struct cell_detail *details, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        struct cell_detail *d = &details[i];

        tally_free(&d->beats);
        tally_free(&d->rhythms);
        tally_free(&d->bars);
        tally_free(&d->sections);
        tally_free(&d->before);
        tally_free(&d->after);
        for (size_t k = 0; k < d->example_count; k++)
            example_free(&d->examples[k]);
    }
}

size_t cells_batch(const struct cells_result *result, enum cells_side side,
                   size_t from)
{
    const struct cells_side_result *s = &result->sides[side];
    uint64_t uses = 0;
    size_t count = 0;

    while (from + count < s->shown &&
           (count < BATCH_CELLS || uses < BATCH_USES))
        uses += result->cells[s->order[from + count++]].count[side];
    return count;
}
