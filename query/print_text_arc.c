/* query/print_text_arc.c - the arc of a solo, a line a chorus.
 *
 *   chorus 1   6.2 a bar  ============        D4-F5  F5 in bar 7   12 % rest
 */
#include <inttypes.h>
#include <string.h>

#include "query/arc.h"
#include "query/columns.h"
#include "query/print_text.h"
#include "query/words.h"

enum {
    GAUGE = 20, /* strokes of the fullest chorus */
    PLACE_SIZE = 2 * PITCH_TEXT_SIZE + WORDS_SIZE + 16
};

/* VALUE to the nearest of 1/PARTS, halves up. */
static int64_t rounded(struct rational value, int64_t parts)
{
    return (2 * value.num * parts + value.den) / (2 * value.den);
}

static const char *range_text(char out[PLACE_SIZE], const struct solo *solo,
                              const struct arc *arc)
{
    char low[PITCH_TEXT_SIZE], high[PITCH_TEXT_SIZE];

    pitch_text(low, solo->notes[arc->lowest].sounding);
    pitch_text(high, solo->notes[arc->highest].sounding);
    snprintf(out, PLACE_SIZE, "%s-%s", low, high);
    return out;
}

static const char *top_text(char out[PLACE_SIZE], const struct solo *solo,
                            const struct arc *arc)
{
    const struct note *note = &solo->notes[arc->highest];
    char high[PITCH_TEXT_SIZE], bar[WORDS_SIZE];

    snprintf(out, PLACE_SIZE, "%s in bar %s",
             pitch_text(high, note->sounding),
             words_bar(bar, solo, note->bar));
    return out;
}

struct layout {
    int64_t fullest; /* tenths of a note a bar, over all choruses */
    int range, top;  /* columns */
};

static void put_arc(const struct output *out, const struct solo *solo,
                    const struct arc *arc, const struct layout *layout)
{
    int64_t tenths = rounded(arc->notes_per_bar, 10);
    int64_t strokes =
        layout->fullest
            ? (2 * tenths * GAUGE + layout->fullest) / (2 * layout->fullest)
            : 0;
    char range[PLACE_SIZE] = "", top[PLACE_SIZE] = "", gauge[GAUGE + 1];
    FILE *f = out->stream;

    memset(gauge, '=', (size_t)strokes);
    gauge[strokes] = '\0';
    if (arc->number > 0)
        fprintf(f, "  chorus %-3" PRId32, arc->number);
    else
        fputs("  all       ", f);
    fprintf(f, " %2" PRId64 ".%" PRId64 " a bar  %-*s  ", tenths / 10,
            tenths % 10, GAUGE, gauge);
    if (arc->highest >= 0) {
        range_text(range, solo, arc);
        top_text(top, solo, arc);
    }
    columns_put(f, range, layout->range, COLUMNS_LEFT);
    fputs("  ", f);
    columns_put(f, top, layout->top, COLUMNS_LEFT);
    fprintf(f, "  %3" PRId64 " %% rest\n", rounded(arc->rest_share, 100));
}

void text_arc(const struct output *out, const struct solo *solo)
{
    struct layout layout = { 0, 0, 0 };

    if (solo->note_count == 0)
        return;
    for (size_t i = 0; i < arc_count(solo); i++) {
        struct arc arc = arc_of(solo, i);
        char text[PLACE_SIZE];
        int64_t tenths = rounded(arc.notes_per_bar, 10);
        int width;

        if (tenths > layout.fullest)
            layout.fullest = tenths;
        if (arc.highest < 0)
            continue;
        width = columns_width(range_text(text, solo, &arc));
        layout.range = width > layout.range ? width : layout.range;
        width = columns_width(top_text(text, solo, &arc));
        layout.top = width > layout.top ? width : layout.top;
    }
    fputs("\nnotes a bar, range and highest note of each chorus\n",
          out->stream);
    for (size_t i = 0; i < arc_count(solo); i++) {
        struct arc arc = arc_of(solo, i);

        put_arc(out, solo, &arc, &layout);
    }
}
