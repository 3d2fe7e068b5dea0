/* query/print_json_find.c - the hits of a fragment as JSON. */
#include <inttypes.h>

#include "query/hit_view.h"
#include "query/print_json.h"

/* --- the question as understood ------------------------------------------- */

static void write_notes(struct json *json, const struct fragment *f)
{
    char text[PITCH_TEXT_SIZE];

    if (f->given_pc < 0) {
        json_null(json, "notes");
        return;
    }
    json_array(json, "notes");
    for (size_t i = 0; i < f->count; i++)
        json_string(json, NULL,
                    f->any[i] ? NULL : pitch_text(text, f->spelled[i]));
    json_close(json);
}

static void write_intervals(struct json *json, const struct fragment *f)
{
    json_array(json, "intervals");
    for (size_t i = 1; i < f->count; i++) {
        if (f->any[i - 1] || f->any[i] || f->group[i - 1] != f->group[i])
            json_null(json, NULL);
        else
            json_integer(json, NULL, f->midi[i] - f->midi[i - 1]);
    }
    json_close(json);
}

static void write_values(struct json *json, const struct fragment *f)
{
    if (!f->has_rhythm) {
        json_null(json, "values");
        return;
    }
    json_array(json, "values");
    for (size_t i = 0; i < f->count; i++)
        json_fraction(json, NULL, f->value[i]);
    json_close(json);
}

static void write_over(struct json *json, const struct over *over)
{
    json_array(json, "over");
    for (int i = 0; i < over->count; i++)
        json_string(json, NULL, over->chords[i].text);
    json_close(json);
}

static void write_query(struct json *json, const struct find_page *page)
{
    static const char *const languages[] = { "degrees", "names", "intervals",
                                             "file" };
    static const char *const rhythms[] = { "any", "same", "scaled" };
    const struct find_query *query = page->query;
    const struct fragment *f = &query->fragment;

    json_object(json, "query");
    json_string(json, "fragment", page->text);
    json_string(json, "from", page->from);
    json_string(json, "bars", page->bars);
    json_string(json, "language", languages[f->language]);
    write_notes(json, f);
    write_intervals(json, f);
    write_values(json, f);
    write_over(json, &f->over);
    json_boolean(json, "any_octave", query->any_octave);
    json_string(json, "rhythm", rhythms[query->rhythm]);
    json_integer(json, "edits", query->edits);
    json_boolean(json, "reharmonized", query->reharmonized);
    json_string(json, "relation", page->relation);
    json_string(json, "into", page->into);
    json_place_asked(json, page->place);
    json_filters(json, page->asked);
    json_close(json);
}

/* --- hits ----------------------------------------------------------------- */

static void write_place(struct json *json, const struct hit_view *view)
{
    const struct solo *solo = view->solo;
    const struct note *first = &view->notes[0];
    char text[PITCH_TEXT_SIZE];

    json_string(json, "path", view->found->path);
    json_string(json, "title", view->found->title);
    json_string(json, "performer", view->found->performer);
    json_string(json, "bar", solo->bars[first->bar].number);
    json_integer(json, "bar_index", first->bar);
    json_fraction(json, "onset", solo_quarters(solo, first->onset));
    json_integer(json, "first_note", view->hit->first);
    json_array(json, "note_indexes");
    for (size_t i = 0; i < view->count; i++)
        json_integer(json, NULL, (int64_t)view->hit->first + (int64_t)i);
    json_close(json);
    json_array(json, "notes");
    for (size_t i = 0; i < view->count; i++)
        json_string(json, NULL, pitch_text(text, view->notes[i].sounding));
    json_close(json);
}

static void write_chord(struct json *json, const struct hit_view *view)
{
    if (!view->chord) {
        json_null(json, "degrees");
        json_null(json, "chord");
        json_null(json, "kind");
        return;
    }
    json_array(json, "degrees");
    for (size_t i = 0; i < view->count; i++)
        json_string(json, NULL, view->degrees[i]);
    json_close(json);
    json_string(json, "chord", view->chord->chord.symbol);
    json_string(json, "kind", view->chord->kind_text);
}

static void write_part(struct json *json, const char *key, int thousandths)
{
    char text[RANK_NUMBER_SIZE];

    json_number(json, key, rank_part_text(text, thousandths));
}

static void write_score(struct json *json, const struct find_page *page,
                        const struct rank_parts *parts)
{
    const struct rank_weights *weights = &page->query->weights;
    char text[RANK_NUMBER_SIZE];

    json_number(json, "score", rank_score_text(text, parts->score));
    json_object(json, "parts");
    json_object(json, "harmony");
    write_part(json, "total", parts->harmony.total);
    write_part(json, "weight", weights->harmony);
    write_part(json, "relation", parts->harmony.relation);
    write_part(json, "follows", parts->harmony.follows);
    write_part(json, "fit", parts->harmony.fit);
    json_close(json);
    json_object(json, "position");
    write_part(json, "total", parts->position.total);
    write_part(json, "weight", weights->position);
    write_part(json, "where", parts->position.where);
    write_part(json, "metre", parts->position.metre);
    json_close(json);
    json_object(json, "rhythm");
    write_part(json, "total", parts->rhythm.total);
    write_part(json, "weight", weights->rhythm);
    write_part(json, "ratios", parts->rhythm.ratios);
    json_close(json);
    json_close(json);
}

static void write_changes(struct json *json, const struct find_page *page,
                          const struct hit_view *view)
{
    struct hit_change changes[EDITS_MAX];
    size_t count = hit_view_changes(changes, view, page);
    char text[PITCH_TEXT_SIZE];

    json_integer(json, "edits", view->hit->edits);
    if (page->query->edits == 0)
        return;
    json_array(json, "changes");
    for (size_t i = 0; i < count; i++) {
        const struct note *note = changes[i].note;

        json_object(json, NULL);
        json_string(json, "what", hit_change_word(changes[i].edit));
        json_string(json, "note",
                    note ? pitch_text(text, note->sounding) : NULL);
        json_string_or_null(json, "wanted", changes[i].wanted);
        json_string_or_null(json, "role",
                            edits_role_name(changes[i].role));
        json_close(json);
    }
    json_close(json);
}

static enum status write_hit(struct json *json, const struct find_page *page,
                             size_t index, struct fault *why)
{
    struct hit_view view;
    enum status st = hit_view_make(&view, page, index, why);

    if (st != ST_OK)
        return st;
    json_object(json, NULL);
    json_integer(json, "rank", (int64_t)index + 1);
    write_score(json, page, &view.hit->parts);
    write_place(json, &view);
    write_chord(json, &view);
    json_harmony(json, view.solo, view.chord);
    json_string(json, "home",
                view.hit->has_home ? view.hit->home.symbol : NULL);
    json_string(json, "relation", hit_view_relation(&view));
    write_changes(json, page, &view);
    if (view.hit->has_transposition)
        json_integer(json, "transposition", view.hit->transposition);
    else
        json_null(json, "transposition");
    json_place(json, view.solo, view.notes[0].bar);
    json_integer(json, "plays", view.hit->plays);
    json_close(json);
    return ST_OK;
}

/* The hits by relation, most frequent first. */
static void write_groups(struct json *json, const struct find_result *result)
{
    json_array(json, "relations");
    for (size_t i = 0; i < result->group_count; i++) {
        const struct relation_group *g = &result->groups[i];
        const char *degrees[EDITS_STEPS_MAX];
        char title[RELATION_TEXT_SIZE];

        json_object(json, NULL);
        json_string(json, "relation",
                    g->key < 0 ? NULL
                    : g->relation != RELATION_OTHER
                        ? relation_name(g->relation)
                        : relation_title(title, sizeof title, g->key));
        json_integer(json, "count", (int64_t)g->count);
        if (g->key < 0) {
            json_null(json, "degrees");
        } else {
            chord_cell_degrees(degrees, &g->written, g->midi, g->notes);
            json_array(json, "degrees");
            for (size_t k = 0; k < g->notes; k++)
                json_string(json, NULL, degrees[k]);
            json_close(json);
        }
        json_close(json);
    }
    json_close(json);
}

static void write_variants(struct json *json, const struct find_page *page)
{
    const struct variants *v = &page->result->variants;
    char text[RATIONAL_TEXT_SIZE];

    json_integer(json, "variant_total", (int64_t)v->count);
    json_array(json, "variants");
    for (size_t i = 0;
         i < v->count && (page->query->limit == 0 || i < page->query->limit);
         i++) {
        const struct variant *variant = v->items[i];

        json_object(json, NULL);
        json_array(json, "rhythm");
        for (size_t k = 0; k < variant->notes; k++)
            json_fraction(json, NULL, variant->value[k]);
        json_close(json);
        json_integer(json, "count", (int64_t)variant->count);
        json_object(json, "beats");
        for (size_t k = 0; k < variant->beat_count; k++)
            json_integer(json, json_beat_text(text, variant->beats[k].beat),
                         (int64_t)variant->beats[k].count);
        json_close(json);
        json_integer(json, "syncopated", (int64_t)variant->syncopated);
        json_close(json);
    }
    json_close(json);
}

enum status json_find(const struct output *out, const struct find_page *page,
                      struct fault *why)
{
    const struct find_result *result = page->result;
    enum status st = ST_OK;
    struct json json;

    json_start(&json, out->stream);
    json_object(&json, NULL);
    write_query(&json, page);
    json_integer(&json, "total", (int64_t)result->total);
    json_integer(&json, "solos", (int64_t)result->solos_with_hits);
    json_hundredths(&json, "milliseconds", page->hundredths);
    if (page->query->reharmonized)
        write_groups(&json, result);
    if (page->query->variants)
        write_variants(&json, page);
    json_array(&json, "hits");
    for (size_t i = 0;
         i < result->hit_count && !page->query->count_only && st == ST_OK; i++)
        st = write_hit(&json, page, i, why);
    json_close(&json);
    json_close(&json);
    json_finish(&json);
    return st;
}
