/* query/handout_build.c - a handout made of places in solos. */
#include "query/handout_build.h"

#include <stdlib.h>
#include <string.h>

#include "query/words.h"
#include "schema/grow.h"

/* A copy of TEXT that the draft owns; "" for NULL, NULL when memory is out. */
static const char *keep_text(struct handout_draft *draft, const char *text)
{
    char **texts = grow_room(draft->texts, draft->text_count, &draft->text_room,
                             sizeof *texts);

    if (!text || !*text)
        text = "";
    if (!texts)
        return NULL;
    draft->texts = texts;
    texts[draft->text_count] = strdup(text);
    return texts[draft->text_count] ? texts[draft->text_count++] : NULL;
}

enum status handout_start(struct handout_draft *draft, const char *title,
                          enum reader reader, struct fault *why)
{
    memset(draft, 0, sizeof *draft);
    draft->handout.reader = reader;
    draft->handout.title = keep_text(draft, title);
    return draft->handout.title ? ST_OK : fault_nomem(why);
}

static const struct chord no_chord = { .class = CHORD_NONE };

static struct excerpt *add_room(struct handout_draft *draft)
{
    struct excerpt *excerpts = grow_room(draft->excerpts, draft->handout.count,
                                         &draft->room, sizeof *excerpts);

    if (!excerpts)
        return NULL;
    draft->excerpts = excerpts;
    draft->handout.excerpts = excerpts;
    return &excerpts[draft->handout.count];
}

/* The bars of PLACE with those around it. */
static struct passage passage_of(const struct handout_place *place)
{
    const struct solo *solo = place->solo;
    int32_t last = (int32_t)solo->bar_count - 1;
    int32_t around = (int32_t)place->context;
    struct passage p = { .solo = solo,
                         .first_bar = solo->notes[place->first].bar - around,
                         .last_bar = solo->notes[place->last].bar + around,
                         .first = place->first,
                         .last = place->last };

    if (p.first_bar < 0)
        p.first_bar = 0;
    if (p.last_bar > last)
        p.last_bar = last;
    return p;
}

/* "bar 12 (bar 4 of chorus 2)" */
static void say_place(char *out, size_t size, const struct solo *solo,
                      int32_t bar)
{
    const struct form_place *form = form_place_of(solo, bar);
    char number[WORDS_SIZE];

    words_bar(number, solo, bar);
    if (form->chorus > 0)
        snprintf(out, size, "bar %s (bar %d of chorus %d)", number,
                 (int)form->chorus_bar, (int)form->chorus);
    else
        snprintf(out, size, "bar %s", number);
}

static void fill_harmony(struct excerpt *e, const struct handout_place *place)
{
    int32_t chord = solo_window_chord(place->solo, place->first,
                                      place->last - place->first + 1);

    e->chord =
        chord == SOLO_NO_CHORD ? no_chord : place->solo->chords[chord].chord;
    e->key = e->chord.has_root ? e->chord.root_pc : -1;
}

enum status handout_add(struct handout_draft *draft,
                        const struct handout_place *place, struct fault *why)
{
    const struct solo *solo = place->solo;
    int32_t bar = solo->notes[place->first].bar;
    const struct form_place *form = form_place_of(solo, bar);
    struct excerpt *e = add_room(draft);
    char where[2 * WORDS_SIZE];

    if (!e)
        return fault_nomem(why);
    *e = (struct excerpt){ .passage = passage_of(place),
                           .chorus = form->chorus,
                           .chorus_bar = form->chorus_bar,
                           .form_bars = solo->form.plan.length,
                           .home = place->home ? *place->home : no_chord,
                           .tempo = solo->tempo };
    say_place(where, sizeof where, solo, bar);
    fill_harmony(e, place);
    e->heading = keep_text(draft, place->heading);
    e->performer = keep_text(draft, place->performer);
    e->title = keep_text(draft, place->title);
    e->path = keep_text(draft, place->path);
    e->remark = keep_text(draft, place->remark);
    e->place = keep_text(draft, where);
    if (!e->heading || !e->performer || !e->title || !e->path || !e->remark ||
        !e->place)
        return fault_nomem(why);
    draft->handout.count++;
    return ST_OK;
}

void handout_settle(struct handout_draft *draft)
{
    draft->handout.view = handout_view(&draft->handout);
}

/* --- practice ----------------------------------------------------------- */

/* The cell of an excerpt over its home chord, else over the written one.  False
 * where there is no chord with a root, or too many notes. */
static bool cell_of(struct practice_cell *cell, const struct excerpt *e)
{
    const struct passage *p = &e->passage;
    const struct solo *solo = p->solo;

    cell->count = p->last - p->first + 1;
    if (cell->count > PRACTICE_NOTES_MAX)
        return false;
    for (size_t i = 0; i < cell->count; i++)
        cell->midi[i] = solo->notes[p->first + i].midi;
    cell->chord = e->home.has_root ? e->home : e->chord;
    return cell->chord.has_root;
}

/* The same cell: the same steps from the same degree over the same class. */
static bool is_same_cell(const struct practice_cell *a,
                         const struct practice_cell *b)
{
    int up = b->chord.root_pc - a->chord.root_pc;

    if (a->count != b->count || a->chord.class != b->chord.class)
        return false;
    for (size_t i = 0; i < a->count; i++)
        if ((b->midi[i] - a->midi[i] - up) % 12 != 0 ||
            b->midi[i] - a->midi[i] != b->midi[0] - a->midi[0])
            return false;
    return true;
}

static bool was_practised(const struct handout_draft *draft, size_t index,
                          const struct practice_cell *cell)
{
    struct practice_cell before;

    for (size_t i = 0; i < index; i++)
        if (cell_of(&before, &draft->excerpts[i]) &&
            is_same_cell(&before, cell))
            return true;
    return false;
}

/* "5 b3 2 1 over m7, through the fourths" */
static const char *practice_title(struct handout_draft *draft,
                                  const struct practice_cell *cell,
                                  enum practice_order order, bool cadence)
{
    static const char *const orders[] = { "the cycle of fourths",
                                          "the keys by semitones",
                                          "the keys by whole tones" };
    const char *degrees[PRACTICE_NOTES_MAX];
    char text[512] = "", root[PITCH_TEXT_SIZE];
    size_t used = 0;

    chord_cell_degrees(degrees, &cell->chord, cell->midi, cell->count);
    for (size_t i = 0; i < cell->count; i++)
        used += (size_t)snprintf(text + used, sizeof text - used, "%s ",
                                 degrees[i]);
    snprintf(text + used, sizeof text - used, "over %s%s, through %s",
             cell->chord.symbol +
                 strlen(pitch_class_text(root, cell->chord.root)),
             cadence ? " inside a ii-V-I" : "", orders[order]);
    return keep_text(draft, text);
}

static enum status keep_solo(struct handout_draft *draft, struct solo *solo,
                             struct fault *why)
{
    struct solo **solos = grow_room(draft->solos, draft->solo_count,
                                    &draft->solo_room, sizeof *solos);

    if (!solos) {
        solo_free(solo);
        return fault_nomem(why);
    }
    draft->solos = solos;
    solos[draft->solo_count++] = solo;
    return ST_OK;
}

static enum status add_practice(struct handout_draft *draft,
                                const struct practice_cell *cell,
                                enum practice_order order, bool cadence,
                                struct fault *why)
{
    struct solo *solo;
    enum status st =
        practice_make(&solo, cell, order, cadence, &draft->handout.view, why);
    struct excerpt *e;
    const char *title;

    if (st == ST_OK)
        st = keep_solo(draft, solo, why);
    if (st != ST_OK)
        return st;
    title = practice_title(draft, cell, order, cadence);
    e = add_room(draft);
    if (!title || !e)
        return fault_nomem(why);
    *e = (struct excerpt){
        .passage = { .solo = solo,
                     .last_bar = (int32_t)solo->bar_count - 1,
                     .last = (uint32_t)cell->count - 1 },
        .heading = "To practise",
        .performer = "",
        .title = title,
        .path = "",
        .place = "",
        .chord = no_chord,
        .remark = "",
        .key = -1,
        .home = no_chord,
        .practice = true,
    };
    draft->handout.count++;
    return ST_OK;
}

enum status handout_practice(struct handout_draft *draft,
                             enum practice_order order, struct fault *why)
{
    size_t count = draft->handout.count;
    enum status st = ST_OK;

    for (size_t i = 0; i < count && st == ST_OK; i++) {
        struct practice_cell cell;

        if (!cell_of(&cell, &draft->excerpts[i]) ||
            was_practised(draft, i, &cell))
            continue;
        st = add_practice(draft, &cell, order, false, why);
        if (st == ST_OK && practice_has_cadence(&cell))
            st = add_practice(draft, &cell, order, true, why);
    }
    return st;
}

void handout_free(struct handout_draft *draft)
{
    for (size_t i = 0; i < draft->solo_count; i++)
        solo_free(draft->solos[i]);
    free(draft->solos);
    for (size_t i = 0; i < draft->text_count; i++)
        free(draft->texts[i]);
    free(draft->texts);
    free(draft->excerpts);
    memset(draft, 0, sizeof *draft);
}
