/* query/print_csv.c - places, found or kept, as rows (RFC 4180).
 *
 * The first row names the columns.  Lines end with CR LF, a value with a comma
 * or a quote stands in quotes, a quote is doubled.  The format has no escapes:
 * what would steer a terminal becomes '?', a line break a blank.
 */
#include <string.h>

#include "query/hit_view.h"
#include "query/printer.h"

enum {
    VALUE_SIZE = 4352 /* longer text is cut; a path has at most 4096 bytes */
};

static void put_value(FILE *out, const char *text)
{
    char safe[VALUE_SIZE];

    text_make_safe(safe, sizeof safe, text ? text : "");
    if (!strpbrk(safe, ",\"")) {
        fputs(safe, out);
        return;
    }
    putc('"', out);
    for (const char *at = safe; *at; at++) {
        if (*at == '"')
            putc('"', out);
        putc(*at, out);
    }
    putc('"', out);
}

static void put_next(FILE *out, const char *text)
{
    putc(',', out);
    put_value(out, text);
}

/* The notes, or their degrees, in one value. */
static void put_line(FILE *out, const struct hit_view *view, bool degrees)
{
    putc(',', out);
    for (size_t i = 0; i < view->count && (!degrees || view->chord); i++) {
        char pitch[PITCH_TEXT_SIZE];

        fprintf(out, "%s%s", i > 0 ? " " : "",
                degrees ? view->degrees[i]
                        : pitch_text(pitch, view->notes[i].sounding));
    }
}

static void put_number(FILE *out, int number)
{
    if (number > 0)
        fprintf(out, ",%d", number);
    else
        putc(',', out);
}

static enum status put_hit(FILE *out, const struct find_page *page,
                           size_t index, struct fault *why)
{
    char score[RANK_NUMBER_SIZE], onset[RATIONAL_TEXT_SIZE];
    const struct form_place *place;
    const struct solo *solo;
    struct hit_view view;
    enum status st;

    st = hit_view_make(&view, page, index, why);
    if (st != ST_OK)
        return st;
    solo = view.solo;
    place = form_place_of(solo, view.notes[0].bar);
    fprintf(out, "%zu,%s", index + 1,
            rank_score_text(score, view.hit->parts.score));
    put_next(out, view.found->performer);
    put_next(out, view.found->title);
    put_next(out, view.found->path);
    put_next(out, solo->bars[view.notes[0].bar].number);
    put_next(out,
             rational_text(onset, solo_quarters(solo, view.notes[0].onset)));
    put_number(out, (int)place->chorus);
    put_number(out, (int)place->chorus_bar);
    put_next(out, place->section ? place->section->letter : "");
    put_next(out, view.chord ? view.chord->chord.symbol : "");
    put_next(out, view.chord ? view.chord->function : "");
    put_line(out, &view, false);
    put_line(out, &view, true);
    put_next(out, hit_view_relation(&view));
    fputs("\r\n", out);
    return ST_OK;
}

static enum status csv_find(const struct output *out,
                            const struct find_page *page, struct fault *why)
{
    enum status st = ST_OK;

    fputs(
        "rank,score,performer,title,path,bar,onset,chorus,chorus_bar,"
        "section,chord,function,notes,degrees,relation\r\n",
        out->stream);
    for (size_t i = 0; i < page->result->hit_count && st == ST_OK; i++)
        st = put_hit(out->stream, page, i, why);
    return st;
}

static void put_entry(FILE *out, const struct study_entry *entry)
{
    const struct list_entry *kept = &entry->kept;
    const char *state = study_state_word(entry->state);
    bool gone = entry->state == STUDY_GONE;
    const struct note *note = gone ? NULL : &entry->solo->notes[entry->first];
    const struct form_place *place =
        gone ? NULL : form_place_of(entry->solo, note->bar);
    char onset[RATIONAL_TEXT_SIZE] = "";

    if (!gone)
        rational_text(onset, solo_quarters(entry->solo, note->onset));
    fprintf(out, "%d,%s", (int)kept->number, *state ? state : "found");
    put_next(out, gone ? kept->performer : entry->record->performer);
    put_next(out, gone ? kept->solo.title : entry->record->title);
    put_next(out, gone ? kept->solo.path : entry->record->path);
    put_next(out, gone ? kept->bar : entry->solo->bars[note->bar].number);
    put_next(out, onset);
    put_number(out, gone ? 0 : (int)place->chorus);
    put_number(out, gone ? 0 : (int)place->chorus_bar);
    put_next(out, kept->chord);
    put_next(out, kept->notes);
    put_next(out, kept->degrees);
    put_next(out, kept->relation);
    put_number(out, gone ? 0 : entry->grade.level);
    put_next(out, kept->remark);
    fputs("\r\n", out);
}

static enum status csv_study(const struct output *out,
                             const struct study_page *page, struct fault *why)
{
    (void)why;
    fputs(
        "number,state,performer,title,path,bar,onset,chorus,chorus_bar,"
        "chord,notes,degrees,relation,grade,remark\r\n",
        out->stream);
    for (size_t i = 0; i < page->study->count; i++)
        put_entry(out->stream, &page->study->entries[i]);
    return ST_OK;
}

const struct printer print_csv = {
    .format = "csv", .one_by_one = true, .find = csv_find, .study = csv_study
};
