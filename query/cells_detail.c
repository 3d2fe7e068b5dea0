/* query/cells_detail.c - how cells are used. */
#include "query/cells_detail.h"

#include <stdlib.h>
#include <string.h>

#include "query/hit_view.h"
#include "query/rank.h"
#include "query/tasks.h"

enum {
    /* A batch ends when it has so many cells and so many uses. */
    BATCH_CELLS = 64,
    BATCH_USES = 50000,
    SOLOS_AT_ONCE = 64, /* that are loaded */
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
    uint32_t place, cell;
};

/* What becomes one detail: uses[next .. end), ascending; the solos of those
 * before READY are loaded, those before UNTIL are being counted. */
struct slot {
    size_t next, until, ready, end;
    struct best best;
};

/* Solos that are loaded, as the places count them. */
struct loaded {
    struct solo *solos[SOLOS_AT_ONCE];
    uint32_t numbers[SOLOS_AT_ONCE];
    size_t count;
};

struct looking {
    const struct cells_result *result;
    struct store *store;
    struct cell_detail *details;
    struct slot *slots; /* of each detail */
    size_t detail_count;
    struct use *uses;
    /* While the uses in HERE are counted, NEXT is loaded. */
    struct loaded rooms[2], *here, *next;
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

static enum status count_use(const struct looking *l, size_t slot,
                             const struct solo *solo, const struct use *use,
                             struct fault *why)
{
    struct cell_detail *d = &l->details[slot];
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
    rate(&l->slots[slot].best, (struct scored){ use->place, parts.score });
    d->count++;
    d->keys[cell_root(l->result, &shape, use->place)]++;
    st = count_where(d, solo, place.first, place.last, why);
    if (st == ST_OK)
        st = count_rhythm(&d->rhythms, solo, place.first, place.last, why);
    if (st == ST_OK)
        st =
            count_one(&d->before,
                      neighbour_of(solo, (int64_t)place.first - 1, chord), why);
    if (st == ST_OK)
        st = count_one(&d->after,
                       neighbour_of(solo, (int64_t)place.last + 1, chord), why);
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

/* List the uses of all cells, slot by slot; those of one cell are in the order
 * of their places, those of all together still have to be put in it. */
static enum status gather(struct looking *l, enum cells_side side,
                          const uint32_t *cells, size_t count, bool together,
                          struct fault *why)
{
    const struct cells_result *r = l->result;
    size_t total = 0, n = 0, some;

    for (size_t c = 0; c < count; c++)
        total += r->cells[cells[c]].count[side];
    l->uses = malloc((total + 1) * sizeof *l->uses);
    l->slots = calloc(l->detail_count + 1, sizeof *l->slots);
    if (!l->uses || !l->slots)
        return fault_nomem(why);
    for (size_t c = 0; c < count; c++) {
        const uint32_t *places =
            cell_places(r, &r->cells[cells[c]], side, &some);
        struct slot *slot = &l->slots[together ? 0 : c];

        if (c == 0 || !together)
            slot->next = slot->ready = n;
        for (size_t i = 0; i < some; i++)
            l->uses[n++] = (struct use){ places[i], cells[c] };
        slot->end = n;
    }
    if (together)
        qsort(l->uses, total, sizeof *l->uses, by_place);
    return ST_OK;
}

/* The first solo with uses that are not ready; false where there is none. */
static bool next_solo(const struct looking *l, uint32_t *number)
{
    bool found = false;

    for (size_t i = 0; i < l->detail_count; i++) {
        const struct slot *slot = &l->slots[i];
        uint32_t here;

        if (slot->ready == slot->end)
            continue;
        here = l->result->solo[l->uses[slot->ready].place];
        if (!found || here < *number)
            *number = here;
        found = true;
    }
    return found;
}

/* Load the solo NUMBER: its uses are ready. */
static enum status load_solo(struct looking *l, struct loaded *into,
                             uint32_t number, struct fault *why)
{
    const struct cells_result *r = l->result;
    uint32_t end = r->starts[number + 1], first;
    enum cells_side side;
    enum status st;
    size_t index;

    cells_place(r, r->starts[number], &side, &index, &first);
    st = store_load(l->store, r->sides[side].solos.items[index].id,
                    &into->solos[into->count], why);
    if (st != ST_OK)
        return st;
    into->numbers[into->count++] = number;
    for (size_t i = 0; i < l->detail_count; i++) {
        struct slot *slot = &l->slots[i];

        while (slot->ready < slot->end && l->uses[slot->ready].place < end)
            slot->ready++;
    }
    return ST_OK;
}

static enum status load_some(struct looking *l, struct loaded *into,
                             struct fault *why)
{
    enum status st = ST_OK;
    uint32_t number = 0;

    while (st == ST_OK && into->count < SOLOS_AT_ONCE && next_solo(l, &number))
        st = load_solo(l, into, number, why);
    return st;
}

/* Count those uses of one slot whose turn it is. */
static enum status count_slot(const struct looking *l, size_t index,
                              struct fault *why)
{
    struct slot *slot = &l->slots[index];
    enum status st = ST_OK;
    size_t at = 0;

    for (; slot->next < slot->until && st == ST_OK; slot->next++) {
        const struct use *use = &l->uses[slot->next];
        uint32_t number = l->result->solo[use->place];

        if (l->here->numbers[at] != number)
            close_solo(&slot->best);
        while (l->here->numbers[at] != number)
            at++;
        st = count_use(l, index, l->here->solos[at], use, why);
    }
    close_solo(&slot->best);
    return st;
}

/* The first task has the store to itself. */
static enum status load_or_count(void *context, size_t task, struct fault *why)
{
    struct looking *l = context;

    return task == 0 ? load_some(l, l->next, why)
                     : count_slot(l, task - 1, why);
}

static void drop_solos(struct loaded *loaded)
{
    for (size_t i = 0; i < loaded->count; i++)
        solo_free(loaded->solos[i]);
    loaded->count = 0;
}

/* Some solos after the others are loaded; what is done with them is the work of
 * several threads. */
static enum status look_through(struct looking *l, struct fault *why)
{
    enum status st;

    l->here = &l->rooms[0];
    l->next = &l->rooms[1];
    st = load_some(l, l->here, why);
    while (st == ST_OK && l->here->count > 0) {
        struct loaded *done = l->here;

        for (size_t i = 0; i < l->detail_count; i++)
            l->slots[i].until = l->slots[i].ready;
        st = tasks_run(l->result->threads, 1 + l->detail_count, load_or_count,
                       l, why);
        drop_solos(done);
        l->here = l->next;
        l->next = done;
    }
    drop_solos(l->here);
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
static enum status cite(struct looking *l, const struct solo_list *list,
                        struct fault *why)
{
    struct example **all =
        malloc((l->detail_count * CELL_EXAMPLES + 1) * sizeof *all);
    enum status st = all ? ST_OK : fault_nomem(why);
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
                store_load(l->store, list->items[all[i]->index].id, &solo, why);
        }
        if (st == ST_OK)
            st = example_cite(all[i], solo, why);
    }
    solo_free(solo);
    free(all);
    return st;
}

static enum status finish(struct looking *l, const uint32_t *cells,
                          struct fault *why)
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
            st = tally_sort(all[k].tally, all[k].frequent_first, why);
        cell_shape(&shape, &l->result->cells[cells[i]]);
        if (st == ST_OK)
            choose(l, d, &l->slots[i].best, shape.notes);
    }
    return st;
}

enum status cells_detail(struct cell_detail *out,
                         const struct cells_result *result, struct store *store,
                         enum cells_side side, const uint32_t *cells,
                         size_t count, bool together, struct fault *why)
{
    struct looking l = { .result = result,
                         .store = store,
                         .details = out,
                         .detail_count = together && count ? 1 : count };
    enum status st;

    memset(out, 0, l.detail_count * sizeof *out);
    st = gather(&l, side, cells, count, together, why);
    if (st == ST_OK)
        st = look_through(&l, why);
    if (st == ST_OK)
        st = finish(&l, cells, why);
    free(l.uses);
    if (st == ST_OK)
        st = cite(&l, &result->sides[side].solos, why);
    free(l.slots);
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
