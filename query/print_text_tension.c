/* query/print_text_tension.c - notes on a degree, and the table, as text. */
#include <inttypes.h>
#include <stdlib.h>
#include <string.h>

#include "query/columns.h"
#include "query/print_text.h"
#include "query/rank.h"
#include "query/tension_words.h"
#include "query/words.h"

enum {
    INDENT = 2,
    GAP = 2,
    REASON_INDENT = 6
};

/* --- the notes ------------------------------------------------------------ */

enum {
    COL_BAR,
    COL_BEAT,
    COL_CHORD,
    COL_NOTE,
    COL_DEGREE,
    COL_LENGTH,
    COLS
};

static const struct {
    const char *before; /* the word that stands before it */
    int max;            /* columns it may take */
    enum columns_align align;
} note_columns[COLS] = {
    { "bar ", 8, COLUMNS_RIGHT }, { "beat ", 12, COLUMNS_LEFT },
    { "", 16, COLUMNS_LEFT },     { "", 8, COLUMNS_LEFT },
    { "", 4, COLUMNS_LEFT },      { "", 30, COLUMNS_LEFT }
};

/* The texts of one row. */
struct row {
    const struct tension_hit *hit;
    const struct solo_record *record;
    const struct solo *solo;
    const char *text[COLS];
    char bar[WORDS_SIZE], beat[WORDS_SIZE], length[WORDS_SIZE];
    char note[PITCH_TEXT_SIZE];
    char moves[TENSION_TEXT_SIZE];
};

struct layout {
    int width[COLS];
    bool stacked; /* the moves stand below */
};

static void make_row(struct row *row, const struct tension_result *result,
                     size_t index)
{
    const struct tension_hit *hit = &result->hits[index];
    const struct solo *solo = result->solos[hit->solo];
    const struct note *note = &solo->notes[hit->note.index];

    row->hit = hit;
    row->record = &result->list.items[hit->solo];
    row->solo = solo;
    row->text[COL_BAR] = words_bar(row->bar, solo, note->bar);
    row->text[COL_BEAT] = words_beat(row->beat, solo_beat(solo, note));
    row->text[COL_CHORD] = solo->chords[hit->note.chord].chord.symbol;
    row->text[COL_NOTE] = pitch_text(row->note, note->sounding);
    row->text[COL_DEGREE] = hit->note.degree;
    row->text[COL_LENGTH] =
        words_duration(row->length, solo_quarters(solo, note->duration));
    tension_moves(row->moves, sizeof row->moves, solo, &hit->note);
}

static void make_layout(struct layout *layout, const struct output *out,
                        const struct tension_result *result)
{
    int moves = 0, left = INDENT;

    memset(layout, 0, sizeof *layout);
    for (size_t i = 0; i < result->hit_count; i++) {
        struct row row;

        make_row(&row, result, i);
        for (int c = 0; c < COLS; c++) {
            int wide = columns_width(row.text[c]);

            if (wide > note_columns[c].max)
                wide = note_columns[c].max;
            if (wide > layout->width[c])
                layout->width[c] = wide;
        }
        if (columns_width(row.moves) > moves)
            moves = columns_width(row.moves);
    }
    for (int c = 0; c < COLS; c++)
        left += (int)strlen(note_columns[c].before) + layout->width[c] + GAP;
    layout->stacked = left + moves > out->width;
}

static void put_row(const struct output *out, const struct row *row,
                    const struct layout *layout)
{
    bool last = layout->stacked || !*row->moves;

    fprintf(out->stream, "%*s", INDENT, "");
    for (int c = 0; c < COLS; c++) {
        fprintf(out->stream, "%*s%s", c > 0 ? GAP : 0, "",
                note_columns[c].before);
        if (c == COL_NOTE)
            text_paint(out, PAINT_NOTES);
        columns_put(out->stream, row->text[c], layout->width[c],
                    c + 1 == COLS && last ? COLUMNS_LAST
                                          : note_columns[c].align);
        if (c == COL_NOTE)
            text_paint(out, PAINT_NONE);
    }
    if (!last)
        fprintf(out->stream, "%*s%s", GAP, "", row->moves);
    putc('\n', out->stream);
}

/* TEXT below a row, wrapped, INDENT columns more where it goes on. */
static void put_below(const struct output *out, const char *text, int indent,
                      int more)
{
    if (!*text)
        return;
    fprintf(out->stream, "%*s", indent, "");
    columns_wrap(out->stream, text, out->width - indent, indent + more);
}

static void put_reason(const struct output *out, const struct row *row)
{
    char text[TENSION_TEXT_SIZE], plays[WORDS_SIZE];
    size_t used;

    tension_reason(text, sizeof text, row->solo, &row->hit->note);
    words_plays(plays, row->hit->plays);
    used = strlen(text);
    if (*plays)
        snprintf(text + used, sizeof text - used, "%s%s",
                 used ? " \u00b7 " : "", plays);
    put_below(out, text, REASON_INDENT, 0);
}

static void put_explanation(const struct output *out, const struct row *row)
{
    char text[TENSION_TEXT_SIZE];
    char *rest = text, *line;

    tension_explain(text, sizeof text, row->solo, &row->hit->note);
    while ((line = strtok_r(rest, "\n", &rest)))
        put_below(out, line, REASON_INDENT, INDENT);
}

static void put_hits(const struct output *out, const struct tension_page *page)
{
    const struct tension_result *result = page->result;
    struct layout layout;

    make_layout(&layout, out, result);
    for (size_t i = 0; i < result->hit_count; i++) {
        struct row row;

        make_row(&row, result, i);
        if (i == 0 || result->hits[i].solo != result->hits[i - 1].solo)
            text_heading(out, row.record->performer, row.record->title,
                         row.record->path);
        put_row(out, &row, &layout);
        if (layout.stacked)
            put_below(out, row.moves, REASON_INDENT, INDENT);
        put_reason(out, &row);
        if (page->explain)
            put_explanation(out, &row);
    }
}

/* --- the table ------------------------------------------------------------ */

enum {
    TABLE_CLASS,
    TABLE_DEGREE,
    TABLE_COUNT,
    TABLE_SHARE,
    TABLE_LENGTH,
    TABLE_RESOLVED,
    TABLE_GOAL,
    TABLE_COLS,
    CELL_SIZE = 64
};

static const struct {
    const char *name;
    enum columns_align align;
} table_columns[TABLE_COLS] = {
    { "over", COLUMNS_LEFT },      { "degree", COLUMNS_LEFT },
    { "notes", COLUMNS_RIGHT },    { "share", COLUMNS_RIGHT },
    { "length", COLUMNS_RIGHT },   { "resolve", COLUMNS_RIGHT },
    { "mostly to", COLUMNS_LAST },
};

/* PART of WHOLE in tenths of a percent, rounded half up: "3.4 %". */
static void say_share(char out[CELL_SIZE], uint64_t part, uint64_t whole)
{
    uint64_t tenths = (2000 * part + whole) / (2 * whole);

    if (tenths == 0)
        strcpy(out, "<0.1 %");
    else
        snprintf(out, CELL_SIZE, "%" PRIu64 ".%" PRIu64 " %%", tenths / 10,
                 tenths % 10);
}

/* In hundredths, rounded half up. */
static void say_mean(char out[CELL_SIZE], struct rational mean)
{
    struct rational scaled = rational_mul(mean, rational_make(100, 1));
    int64_t hundredths =
        scaled.num / scaled.den +
        (scaled.num % scaled.den >= scaled.den - scaled.num % scaled.den);

    snprintf(out, CELL_SIZE, "%" PRId64 ".%02" PRId64, hundredths / 100,
             hundredths % 100);
}

/* CLASS again only where it is another than that of the row before. */
static void fill_cells(char cells[TABLE_COLS][CELL_SIZE],
                       const struct tension_row *row, bool again)
{
    memset(cells, 0, TABLE_COLS * CELL_SIZE);
    if (!again)
        snprintf(cells[TABLE_CLASS], CELL_SIZE, "%s",
                 chord_class_name(row->class));
    snprintf(cells[TABLE_DEGREE], CELL_SIZE, "%s", row->degree);
    snprintf(cells[TABLE_COUNT], CELL_SIZE, "%" PRIu64, row->count);
    say_share(cells[TABLE_SHARE], row->count, row->notes);
    say_mean(cells[TABLE_LENGTH], row->mean_duration);
    snprintf(cells[TABLE_RESOLVED], CELL_SIZE, "%" PRIu64, row->resolved);
    if (row->goal_count > 0)
        snprintf(cells[TABLE_GOAL], CELL_SIZE, "%s over %s (%" PRIu64 ")",
                 row->goals[0].degree, chord_class_name(row->goals[0].class),
                 row->goals[0].count);
}

static void put_cells(const struct output *out, const char *const *text,
                      const int widths[TABLE_COLS])
{
    fprintf(out->stream, "%*s", INDENT, "");
    for (int c = 0; c < TABLE_COLS; c++) {
        /* Nothing stands after the last word of a line. */
        if (c + 1 == TABLE_COLS && !*text[c])
            continue;
        fprintf(out->stream, "%*s", c > 0 ? GAP : 0, "");
        columns_put(out->stream, text[c], widths[c], table_columns[c].align);
    }
    putc('\n', out->stream);
}

static void measure_table(int widths[TABLE_COLS], const struct output *out,
                          const struct tension_table *table)
{
    char cells[TABLE_COLS][CELL_SIZE];
    int left = INDENT;

    for (int c = 0; c < TABLE_COLS; c++)
        widths[c] = columns_width(table_columns[c].name);
    for (size_t i = 0; i < table->row_count; i++) {
        fill_cells(cells, &table->rows[i], false);
        for (int c = 0; c < TABLE_COLS; c++)
            if (columns_width(cells[c]) > widths[c])
                widths[c] = columns_width(cells[c]);
    }
    for (int c = 0; c < TABLE_GOAL; c++)
        left += widths[c] + GAP;
    if (widths[TABLE_GOAL] > out->width - left)
        widths[TABLE_GOAL] = out->width - left;
}

static void put_table(const struct output *out,
                      const struct tension_table *table)
{
    char cells[TABLE_COLS][CELL_SIZE];
    const char *text[TABLE_COLS];
    int widths[TABLE_COLS];

    measure_table(widths, out, table);
    for (int c = 0; c < TABLE_COLS; c++)
        text[c] = table_columns[c].name;
    columns_wrap(out->stream,
                 "share: of all such notes over chords of the class, whatever "
                 "their degree; length: the mean in quarters; resolve: those "
                 "that lead across a change of chord",
                 out->width, INDENT);
    putc('\n', out->stream);
    text_paint(out, PAINT_HEADING);
    put_cells(out, text, widths);
    text_paint(out, PAINT_NONE);
    for (size_t i = 0; i < table->row_count; i++) {
        fill_cells(cells, &table->rows[i],
                   i > 0 && table->rows[i].class == table->rows[i - 1].class);
        for (int c = 0; c < TABLE_COLS; c++)
            text[c] = cells[c];
        put_cells(out, text, widths);
    }
}

/* --- both ----------------------------------------------------------------- */

static void put_total(const struct output *out, uint64_t total, uint64_t solos)
{
    char notes[WORDS_SIZE], in[WORDS_SIZE];

    fprintf(out->stream, "%s in %s\n",
            words_count(notes, total, "note", "notes"),
            words_count(in, solos, "solo", "solos"));
}

enum status text_tension(const struct output *out,
                         const struct tension_page *page, struct fault *why)
{
    const struct tension_result *result = page->result;
    char described[TENSION_TEXT_SIZE];

    (void)why;
    tension_describe(described, sizeof described, page->query, page->degree);
    columns_wrap(out->stream, described, out->width, INDENT);
    text_restrictions(out, page->place, page->asked);
    if (page->table) {
        put_total(out, page->table->total, page->table->solos);
        if (page->table->row_count > 0)
            put_table(out, page->table);
        return ST_OK;
    }
    put_total(out, result->total, result->solos_with_hits);
    put_hits(out, page);
    if (result->total > result->hit_count)
        putc('\n', out->stream);
    text_more(out, result->total, result->hit_count);
    return ST_OK;
}
