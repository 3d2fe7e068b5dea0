/* query/print_text_solo.c - one solo as text: facts, grid, notes, warnings. */
#include <inttypes.h>
#include <stdlib.h>
#include <string.h>

#include "query/columns.h"
#include "query/hit_view.h"
#include "query/print_text.h"
#include "query/words.h"

enum {
    LABEL_WIDTH = 12,
    LINE_SIZE = 256
};

/* --- facts ---------------------------------------------------------------- */

static void put_fact(const struct output *out, const char *label,
                     const char *value)
{
    if (!*value)
        return;
    columns_put(out->stream, label, LABEL_WIDTH, COLUMNS_LEFT);
    columns_put(out->stream, value, out->width - LABEL_WIDTH, COLUMNS_LAST);
    putc('\n', out->stream);
}

/* "Eb major", for a transposing part "Eb major, written C major". */
static void put_key(const struct output *out, const struct solo *solo)
{
    char sounding[KEY_TEXT_SIZE], written[KEY_TEXT_SIZE], line[LINE_SIZE];
    int fifths, mode;

    if (!solo->has_key)
        return;
    solo_concert_key(solo, &fifths, &mode);
    solo_key_text(sounding, fifths, mode);
    solo_key_text(written, solo->fifths, solo->mode);
    if (strcmp(sounding, written) == 0)
        snprintf(line, sizeof line, "%s", sounding);
    else
        snprintf(line, sizeof line, "%s, written %s", sounding, written);
    put_fact(out, "key", line);
}

static void put_transpose(const struct output *out, const struct solo *solo)
{
    char line[LINE_SIZE];
    int semitones = solo->transpose;

    if (!solo->has_transpose || semitones == 0)
        return;
    snprintf(line, sizeof line, "sounds %d semitone%s %s than written",
             abs(semitones), abs(semitones) == 1 ? "" : "s",
             semitones < 0 ? "lower" : "higher");
    put_fact(out, "transposing", line);
}

static void put_counts(const struct output *out, const struct solo *solo)
{
    char part[WORDS_SIZE], line[LINE_SIZE];
    const struct {
        uint64_t n;
        const char *one, *many;
    } counts[] = {
        { solo->bar_count, "bar", "bars" },
        { solo->note_count, "note", "notes" },
        { solo->chord_count, "chord symbol", "chord symbols" },
        { solo->rests, "rest", "rests" },
        { solo->graces, "grace note", "grace notes" },
    };
    size_t used = 0;

    for (size_t i = 0; i < sizeof counts / sizeof *counts; i++) {
        int n;

        if (counts[i].n == 0 && i > 1)
            continue;
        words_count(part, counts[i].n, counts[i].one, counts[i].many);
        n = snprintf(line + used, sizeof line - used, "%s%s", used ? ", " : "",
                     part);
        used += n > 0 ? (size_t)n : 0;
    }
    put_fact(out, "holds", line);
}

static void put_facts(const struct output *out, const struct solo_page *page)
{
    const struct solo *solo = page->solo;
    char tempo[WORDS_SIZE], line[LINE_SIZE];

    text_paint(out, PAINT_HEADING);
    columns_put(out->stream, *solo->title ? solo->title : page->record->path,
                out->width, COLUMNS_LAST);
    text_paint(out, PAINT_NONE);
    putc('\n', out->stream);
    put_fact(out, "performer", solo->performer);
    put_fact(out, "composer", solo->composer);
    put_fact(out, "instrument", solo->instrument);
    put_fact(out, "file", page->record->path);
    put_key(out, solo);
    put_transpose(out, solo);
    put_fact(out, "metre", solo->metre);
    words_tempo(tempo, solo->tempo);
    snprintf(line, sizeof line, "%s quarters a minute", tempo);
    put_fact(out, "tempo", *tempo ? line : "");
    put_counts(out, solo);
}

/* --- the line, note by note ----------------------------------------------- */

enum {
    NOTE_BAR,
    NOTE_BEAT,
    NOTE_PITCH,
    NOTE_VALUE,
    NOTE_DEGREE,
    NOTE_CHORD,
    NOTE_COLS
};

static const char *const note_columns[NOTE_COLS] = {
    "bar", "beat", "note", "value", "degree", "chord"
};

struct note_cells {
    char text[NOTE_COLS][WORDS_SIZE];
};

static void fill_note(struct note_cells *cells, const struct solo *solo,
                      const struct note *note)
{
    const struct chord_event *written = real_chord(solo, note->chord);
    const struct chord_event *heard = real_chord(solo, note->heard);
    char pitch[PITCH_TEXT_SIZE];
    const char *degree = "", *early = "";

    if (heard) {
        degree = chord_degree_name(&heard->chord,
                                   note_above_root(note, &heard->chord));
        early = heard != written ? " (ahead of it)" : "";
    }
    words_bar(cells->text[NOTE_BAR], solo, note->bar);
    words_beat(cells->text[NOTE_BEAT], solo_beat(solo, note));
    snprintf(cells->text[NOTE_PITCH], WORDS_SIZE, "%s",
             pitch_text(pitch, note->sounding));
    words_duration(cells->text[NOTE_VALUE],
                   solo_quarters(solo, note->duration));
    snprintf(cells->text[NOTE_DEGREE], WORDS_SIZE, "%s", degree);
    snprintf(cells->text[NOTE_CHORD], WORDS_SIZE, "%s%s",
             heard ? heard->chord.symbol : "-", early);
}

static void put_note_row(const struct output *out, struct note_cells *cells,
                         const int widths[NOTE_COLS])
{
    fputs("  ", out->stream);
    for (int c = 0; c < NOTE_COLS; c++) {
        columns_put(out->stream, cells->text[c], widths[c],
                    c == NOTE_BAR        ? COLUMNS_RIGHT
                    : c + 1 == NOTE_COLS ? COLUMNS_LAST
                                         : COLUMNS_LEFT);
        if (c + 1 < NOTE_COLS)
            fputs("  ", out->stream);
    }
    putc('\n', out->stream);
}

static void put_notes(const struct output *out, const struct solo *solo)
{
    struct note_cells cells;
    int widths[NOTE_COLS];

    for (int c = 0; c < NOTE_COLS; c++)
        widths[c] = columns_width(note_columns[c]);
    for (size_t i = 0; i < solo->note_count; i++) {
        fill_note(&cells, solo, &solo->notes[i]);
        for (int c = 0; c < NOTE_COLS; c++) {
            int width = columns_width(cells.text[c]);

            if (width > widths[c])
                widths[c] = width;
        }
    }
    columns_fit(widths, NOTE_COLS, out->width - 2 * NOTE_COLS);
    for (int c = 0; c < NOTE_COLS; c++)
        snprintf(cells.text[c], WORDS_SIZE, "%s", note_columns[c]);
    putc('\n', out->stream);
    text_paint(out, PAINT_HEADING);
    put_note_row(out, &cells, widths);
    text_paint(out, PAINT_NONE);
    for (size_t i = 0; i < solo->note_count; i++) {
        fill_note(&cells, solo, &solo->notes[i]);
        put_note_row(out, &cells, widths);
    }
}

/* --- warnings ------------------------------------------------------------- */

static void put_warnings(const struct output *out, const struct solo *solo)
{
    char count[WORDS_SIZE];

    if (solo->warning_count == 0)
        return;
    fprintf(out->stream, "\n%s\n",
            words_count(count, solo->warning_count, "warning", "warnings"));
    for (size_t i = 0; i < solo->warning_count; i++) {
        const struct warning *w = &solo->warnings[i];
        char line[LINE_SIZE * 4];

        snprintf(line, sizeof line, "%s%s%s%s%s%s%s: %s",
                 *w->part ? "part " : "", w->part, *w->part ? ", " : "",
                 *w->bar ? "bar " : "", w->bar, *w->bar ? ", " : "", w->element,
                 w->message);
        fputs("  ", out->stream);
        columns_wrap(out->stream, line, out->width - 2, 4);
    }
}

enum status text_solo(const struct output *out, const struct solo_page *page,
                      struct fault *why)
{
    enum status st;

    put_facts(out, page);
    st = text_grid(out, page->solo, why);
    if (st != ST_OK)
        return st;
    text_arc(out, page->solo);
    if (page->with_notes)
        put_notes(out, page->solo);
    put_warnings(out, page->solo);
    return ST_OK;
}
