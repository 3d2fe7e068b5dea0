/* query/print_text.c - answers as text: the list of solos, shared parts. */
#include "query/print_text.h"

#include <inttypes.h>
#include <stdarg.h>
#include <string.h>

#include "query/columns.h"
#include "query/words.h"

const struct printer print_text = {
    .format = "text",
    .one_by_one = true,
    .by_solo = true,
    .solos = text_solos,
    .solo = text_solo,
    .form = text_form,
    .coverage = text_coverage,
    .find = text_find,
    .openings = text_openings,
    .openings_library = text_openings_library,
    .bank = text_bank,
    .banks = text_banks,
    .tension = text_tension,
    .cells = text_cells,
    .cell = text_cell,
    .study = text_study,
    .study_lists = text_study_lists,
    .check = text_check,
};

void text_paint(const struct output *out, enum paint paint)
{
    static const char *const codes[] = { "\033[0m", "\033[36m", "\033[1m" };

    if (out->color)
        fputs(codes[paint], out->stream);
}

void text_add(char *line, size_t size, const char *format, ...)
{
    size_t used = strlen(line);
    va_list args;

    va_start(args, format);
    vsnprintf(line + used, size - used, format, args);
    va_end(args);
}

void text_more(const struct output *out, uint64_t total, uint64_t shown)
{
    if (total > shown)
        fprintf(out->stream, "%" PRIu64 " more; --limit 0 shows all\n",
                total - shown);
}

void text_heading(const struct output *out, const char *performer,
                  const char *title, const char *path)
{
    const char *parts[] = { performer, title, path };
    int widths[3], count = 0;
    const char *shown[3];

    for (int i = 0; i < 3; i++) {
        if (!parts[i] || !*parts[i])
            continue;
        shown[count] = parts[i];
        widths[count++] = columns_width(parts[i]);
    }
    columns_fit(widths, count, out->width - 3 * (count - 1));
    putc('\n', out->stream);
    text_paint(out, PAINT_HEADING);
    for (int i = 0; i < count; i++) {
        if (i > 0)
            fputs(" \xc2\xb7 ", out->stream);
        columns_put(out->stream, shown[i], widths[i], COLUMNS_LAST);
    }
    text_paint(out, PAINT_NONE);
    putc('\n', out->stream);
}

/* --- the table of solos --------------------------------------------------- */

enum {
    COL_TITLE,
    COL_PERFORMER,
    COL_PATH,
    COL_KEY,
    COL_METRE,
    COL_TEMPO,
    COL_NOTES,
    COLS,
    COLS_ELASTIC = COL_PATH + 1, /* those narrowed to fit */
    COL_GAP = 2,
    PATH_SIZE = 512 /* of a path shown; a longer one is cut */
};

static const struct {
    const char *name;
    enum columns_align align;
} solo_columns[COLS] = {
    { "title", COLUMNS_LEFT },  { "performer", COLUMNS_LEFT },
    { "file", COLUMNS_TAIL },   { "key", COLUMNS_LEFT },
    { "metre", COLUMNS_LEFT },  { "tempo", COLUMNS_RIGHT },
    { "notes", COLUMNS_RIGHT },
};

struct solo_cells {
    const char *text[COLS];
    char path[PATH_SIZE], tempo[WORDS_SIZE], notes[WORDS_SIZE];
};

/* The path without its ending still names the solo, and leaves more room. */
static void fill_path(char out[PATH_SIZE], const char *path)
{
    const char *dot = strrchr(path, '.');
    size_t len = dot && !strchr(dot, '/') ? (size_t)(dot - path)
                                          : strlen(path);

    snprintf(out, PATH_SIZE, "%.*s", (int)(len < PATH_SIZE ? len : PATH_SIZE),
             path);
}

static void fill_cells(struct solo_cells *cells, const struct solo_record *solo)
{
    words_tempo(cells->tempo, solo->tempo);
    snprintf(cells->notes, WORDS_SIZE, "%" PRId64, solo->notes);
    fill_path(cells->path, solo->path);
    cells->text[COL_PATH] = cells->path;
    cells->text[COL_PERFORMER] = solo->performer;
    cells->text[COL_TITLE] = solo->title;
    cells->text[COL_KEY] = solo->key;
    cells->text[COL_METRE] = solo->metre;
    cells->text[COL_TEMPO] = cells->tempo;
    cells->text[COL_NOTES] = cells->notes;
}

static void measure_solos(int widths[COLS], const struct output *out,
                          const struct solo_list *list)
{
    int fixed = (COLS - 1) * COL_GAP;

    for (int c = 0; c < COLS; c++)
        widths[c] = columns_width(solo_columns[c].name);
    for (size_t i = 0; i < list->count; i++) {
        struct solo_cells cells;

        fill_cells(&cells, &list->items[i]);
        for (int c = 0; c < COLS; c++) {
            int width = columns_width(cells.text[c]);

            if (width > widths[c])
                widths[c] = width;
        }
    }
    /* A metre such as 3+2+2/8 is shown, a hostile one is cut. */
    for (int c = COLS_ELASTIC; c < COLS; c++) {
        if (widths[c] > 12)
            widths[c] = 12;
        fixed += widths[c];
    }
    columns_fit(widths, COLS_ELASTIC, out->width - fixed);
}

static void put_row(const struct output *out, const char *const *text,
                    const int widths[COLS])
{
    for (int c = 0; c < COLS; c++) {
        if (c > 0)
            fprintf(out->stream, "%*s", COL_GAP, "");
        columns_put(out->stream, text[c], widths[c], solo_columns[c].align);
    }
    putc('\n', out->stream);
}

enum status text_solos(const struct output *out, const struct solo_list *list,
                       struct fault *why)
{
    const char *names[COLS];
    char count[WORDS_SIZE];
    int widths[COLS];

    (void)why;
    fprintf(out->stream, "%s\n",
            words_count(count, list->total, "solo", "solos"));
    if (list->count == 0)
        return ST_OK;
    measure_solos(widths, out, list);
    for (int c = 0; c < COLS; c++)
        names[c] = solo_columns[c].name;
    putc('\n', out->stream);
    text_paint(out, PAINT_HEADING);
    put_row(out, names, widths);
    text_paint(out, PAINT_NONE);
    for (size_t i = 0; i < list->count; i++) {
        struct solo_cells cells;

        fill_cells(&cells, &list->items[i]);
        put_row(out, cells.text, widths);
    }
    text_more(out, list->total, list->count);
    return ST_OK;
}

void text_restrictions(const struct output *out,
                       const struct place_options *place,
                       const struct asked_filter *asked)
{
    char filter[1024], where[512], line[1600];

    filter_describe(filter, sizeof filter, asked);
    place_describe(where, sizeof where, place);
    if (!*where && !*filter)
        return;
    snprintf(line, sizeof line, "%s%s%s%s%s", *where ? "only " : "", where,
             *where && *filter ? "; " : "",
             *filter ? "only solos with " : "", filter);
    columns_wrap(out->stream, line, out->width, 2);
}
