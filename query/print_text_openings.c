/* query/print_text_openings.c - how the choruses of a solo open. */
#include <inttypes.h>
#include <stdlib.h>
#include <string.h>

#include "query/columns.h"
#include "query/print_text.h"
#include "query/words.h"

enum {
    INDENT = 2,
    LINE_SIZE = 512,
    MOTIF_SHOWN = 12 /* notes */
};

/* Put TEXT on lines of their own, two blanks before it. */
static void put_line(const struct output *out, const char *text)
{
    fprintf(out->stream, "%*s", INDENT, "");
    columns_wrap(out->stream, text, out->width - INDENT, 2 * INDENT);
}

/* "twice", "3 times". */
static const char *times(char out[WORDS_SIZE], int n)
{
    if (n == 2)
        snprintf(out, WORDS_SIZE, "twice");
    else
        snprintf(out, WORDS_SIZE, "%d times", n);
    return out;
}

/* "1 bar and 2 1/2 beats", "3 beats"; "" for none. */
static const char *span_text(char out[WORDS_SIZE], const struct solo *solo,
                             int32_t bar, int64_t ticks)
{
    int64_t whole = solo->bars[bar].nominal, beat, beats;
    char bars[WORDS_SIZE] = "", part[WORDS_SIZE] = "";
    int64_t count = whole > 0 ? ticks / whole : 0;
    struct rational rest;

    solo_metre(solo, bar, &beat, &beats);
    rest = rational_make(ticks - count * whole, beat);
    beats = rest.num / rest.den;
    if (count > 0)
        words_count(bars, (uint64_t)count, "bar", "bars");
    if (rest.den == 1 && rest.num > 0)
        words_count(part, (uint64_t)rest.num, "beat", "beats");
    else if (rest.num > 0 && beats == 0)
        snprintf(part, sizeof part, "%" PRId64 "/%" PRId64 " beat", rest.num,
                 rest.den);
    else if (rest.num > 0)
        snprintf(part, sizeof part, "%" PRId64 " %" PRId64 "/%" PRId64 " beats",
                 beats, rest.num % rest.den, rest.den);
    snprintf(out, WORDS_SIZE, "%.40s%s%.40s", bars,
             *bars && *part ? " and " : "", part);
    return out;
}

/* --- one chorus ----------------------------------------------------------- */

/* "starts on beat 4 and of bar 12, a pickup of 1/2 beat; 2 bars long; then
 * 3 beats of space" */
static void put_place(const struct output *out, const struct solo *solo,
                      const struct opening *o)
{
    const struct note *first = &solo->notes[o->first];
    const struct form_place *place = form_place_of(solo, first->bar);
    char line[LINE_SIZE] = "", bar[WORDS_SIZE], beat[WORDS_SIZE];
    char span[WORDS_SIZE];

    words_bar(bar, solo, first->bar);
    words_beat(beat, solo_beat(solo, first));
    text_add(line, LINE_SIZE, "starts on beat %s of bar %s", beat, bar);
    /* Who lets bars pass is worth a word. */
    if (o->chorus > 0 && o->pickup == 0 && place->chorus_bar > 1)
        text_add(line, LINE_SIZE, ", bar %" PRId32 " of the chorus",
                 place->chorus_bar);
    span_text(span, solo, o->bar, o->pickup);
    if (*span && o->inside == o->first)
        text_add(line, LINE_SIZE, ", %s ahead of the bar line", span);
    else if (*span)
        text_add(line, LINE_SIZE, ", a pickup of %s", span);
    span_text(span, solo, first->bar, o->length);
    if (*span)
        text_add(line, LINE_SIZE, "; %s long", span);
    span_text(span, solo, solo->notes[o->last].bar, o->rest_after);
    if (*span)
        text_add(line, LINE_SIZE, "; then %s %s", span,
                 o->is_end ? "to the end" : "of space");
    else
        text_add(line, LINE_SIZE, "; no space after it");
    put_line(out, line);
}

/* Put "WORDS N times" behind a comma where N is 2 or more. */
static void add_times(char *line, const char *words, int n)
{
    bool is_first = line[strlen(line) - 1] == ':';
    char count[WORDS_SIZE];

    if (n >= 2)
        text_add(line, LINE_SIZE, "%s %s %s", is_first ? "" : ",", words,
                 times(count, n));
}

/* "a riff, on C3 D3 Bb2 C3: the rhythm comes 3 times, the same notes twice" */
static void put_riff(const struct output *out, const struct solo *solo,
                     const struct opening_riff *riff)
{
    char line[LINE_SIZE] = "a riff, on", name[PITCH_TEXT_SIZE];

    if (!riff->found)
        return;
    for (size_t i = riff->first;
         i <= riff->last && i < riff->first + MOTIF_SHOWN; i++)
        text_add(line, LINE_SIZE, " %s",
                 pitch_text(name, solo->notes[i].sounding));
    text_add(line, LINE_SIZE,
             "%s:", riff->last >= riff->first + MOTIF_SHOWN ? " ..." : "");
    add_times(line, "its rhythm comes", riff->rhythm);
    add_times(line, "the same notes come", riff->notes);
    if (riff->line > riff->notes)
        add_times(line, "the same line, moved, comes", riff->line);
    if (riff->shape > riff->line)
        add_times(line, "its shape comes", riff->shape);
    put_line(out, line);
}

/* ", up M2", ", an octave higher", ", 9 semitones lower". */
static const char *moved_text(char out[WORDS_SIZE], int up)
{
    char words[WORDS_SIZE];

    if (abs(up) < 6)
        snprintf(out, WORDS_SIZE, ", %.40s", words_transposition(words, up));
    else if (abs(up) == 12)
        snprintf(out, WORDS_SIZE, ", an octave %s",
                 up > 0 ? "higher" : "lower");
    else
        snprintf(out, WORDS_SIZE, ", %d semitones %s", abs(up),
                 up > 0 ? "higher" : "lower");
    return out;
}

static void put_return(const struct output *out, const struct opening_return *r)
{
    char line[LINE_SIZE] = "", moved[WORDS_SIZE];

    text_add(line, LINE_SIZE, "as chorus %" PRId32 " opens: ", r->chorus);
    switch (r->how) {
    case OPENING_WRITTEN:
        text_add(line, LINE_SIZE, "played from the same bars");
        break;
    case OPENING_LINE:
        if (r->up == 0)
            text_add(line, LINE_SIZE, "the same %d notes", r->notes);
        else
            text_add(line, LINE_SIZE, "the same line for %d notes%s", r->notes,
                     moved_text(moved, r->up));
        break;
    case OPENING_RHYTHM:
        text_add(line, LINE_SIZE, "the same rhythm and shape for %d notes",
                 r->notes);
        break;
    default:
        text_add(line, LINE_SIZE, "a variation: %d of %d notes changed",
                 r->changed, r->notes);
    }
    put_line(out, line);
}

static void put_heading(const struct output *out, const struct solo *solo,
                        const struct opening *o)
{
    char bar[WORDS_SIZE], bars[WORDS_SIZE];

    putc('\n', out->stream);
    if (o->chorus == 0)
        return;
    text_paint(out, PAINT_HEADING);
    fprintf(out->stream, "chorus %" PRId32 ", from bar %s", o->chorus,
            words_bar(bar, solo, o->bar));
    if (!o->complete)
        fprintf(out->stream, " (only %s of it)",
                words_count(bars, (uint64_t)o->bars, "bar", "bars"));
    text_paint(out, PAINT_NONE);
    putc('\n', out->stream);
}

/* What runs on, and from where. */
static void put_running(const struct output *out, const struct opening *o)
{
    char line[LINE_SIZE] = "no clear opening: a phrase runs on from ";

    if (o->from > 0)
        text_add(line, LINE_SIZE, "chorus %" PRId32, o->from);
    else
        text_add(line, LINE_SIZE, "before the first chorus");
    text_add(line, LINE_SIZE,
             o->kind == OPENING_RUNS_ON ? "; the first to start here:"
                                        : "; no other starts here");
    put_line(out, line);
}

static enum status put_opening(const struct output *out,
                               const struct solo *solo, const struct opening *o,
                               struct fault *why)
{
    enum status st;

    put_heading(out, solo, o);
    if (o->kind == OPENING_RUNS_ON || o->kind == OPENING_RUNS_OVER)
        put_running(out, o);
    if (o->kind == OPENING_SILENT)
        put_line(out, "no note starts in it");
    if (!opening_has_phrase(o))
        return ST_OK;
    put_place(out, solo, o);
    /* What is played again from the same bars was shown. */
    if (o->as == 0) {
        st = text_phrase(out, solo, o->first, o->last, 2 * INDENT, why);
        if (st != ST_OK)
            return st;
        put_riff(out, solo, &o->riff);
    }
    for (size_t i = 0; i < o->return_count; i++)
        put_return(out, &o->returns[i]);
    return ST_OK;
}

/* --- one solo ------------------------------------------------------------- */

static void put_title(const struct output *out,
                      const struct openings_page *page)
{
    char line[LINE_SIZE] = "";

    text_paint(out, PAINT_HEADING);
    columns_put(out->stream,
                *page->solo->title ? page->solo->title : page->record->path,
                out->width, COLUMNS_LAST);
    text_paint(out, PAINT_NONE);
    text_add(line, LINE_SIZE, "%.200s%s%.300s", page->solo->performer,
             *page->solo->performer ? " \xc2\xb7 " : "", page->record->path);
    putc('\n', out->stream);
    columns_put(out->stream, line, out->width, COLUMNS_LAST);
    putc('\n', out->stream);
}

/* How many choruses open how. */
static void put_summary(const struct output *out,
                        const struct openings *openings)
{
    unsigned clear = 0, riffs = 0, returns = 0;
    char line[LINE_SIZE] = "", count[WORDS_SIZE];

    for (size_t i = 0; i < openings->count; i++) {
        const struct opening *o = &openings->items[i];

        clear += o->kind == OPENING_CLEAR;
        riffs += o->riff.found;
        returns += o->return_count > 0;
    }
    text_add(line, LINE_SIZE,
             "%s: %u with a clear opening, %u %s, %u as an earlier one",
             words_count(count, openings->count, "chorus", "choruses"), clear,
             riffs, riffs == 1 ? "riff" : "riffs", returns);
    columns_wrap(out->stream, line, out->width, INDENT);
}

enum status text_openings(const struct output *out,
                          const struct openings_page *page, struct fault *why)
{
    const struct openings *openings = page->openings;

    put_title(out, page);
    if (page->solo->note_count == 0)
        return ST_OK;
    if (page->solo->form.chorus_count > 0)
        put_summary(out, openings);
    else
        columns_wrap(out->stream,
                     "No form is known, so its choruses cannot be told apart; "
                     "'cellar form SOLO --set length=N,first=BAR' says where "
                     "they are. The first phrase of the solo:",
                     out->width, 0);
    for (size_t i = 0; i < openings->count; i++) {
        enum status st = put_opening(out, page->solo, &openings->items[i], why);

        if (st != ST_OK)
            return st;
    }
    text_arc(out, page->solo);
    return ST_OK;
}
