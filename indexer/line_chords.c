/* indexer/line_chords.c - the chord symbols of a part, and when they hold. */
#include <stdlib.h>
#include <string.h>

#include "indexer/line.h"

/* A root given as a degree of a key ("numeral", "function") as a note. */
static struct pitch numeral_root(const struct raw_harmony *h,
                                 const struct cursor *c)
{
    static const int8_t major_fifths[7] = { 0, 2, 4, -1, 1, 3, 5 };
    static const int8_t minor_fifths[7] = { 0, 2, -3, -1, 1, -4, -2 };
    int fifths = h->numeral_has_key ? h->numeral_fifths : c->fifths;
    int mode = h->numeral_has_key ? h->numeral_mode : c->mode;
    /* On the line of fifths C is 0; a minor tonic is three fifths up. */
    int at = fifths + (mode == MODE_MINOR
                           ? 3 + minor_fifths[h->numeral - 1]
                           : major_fifths[h->numeral - 1]) +
             7 * h->numeral_alter;
    /* Steps F C G D A E B from -1 on. */
    static const int8_t steps[7] = { 3, 0, 4, 1, 5, 2, 6 };
    int place = pitch_modulo(at + 1, 7);
    struct pitch root = { steps[place], 0, 0 };

    root.alter = (int16_t)((at + 1 - place) / 7 * 100);
    return root;
}

static void understand(struct line *line, struct cursor *c,
                       const struct raw_event *event, struct line_chord *out)
{
    struct chord_source source = event->harmony->chord;
    struct transposition t = cursor_transposition(c, event->staff);
    char safe[64];

    if (!source.has_root && event->harmony->numeral > 0) {
        source.root = numeral_root(event->harmony, c);
        source.has_root = true;
    }
    out->kind_text = source.kind_name;
    if (!chord_from_source(&out->chord, &source))
        score_warn(line->score, c->part->id, c->part->bars[c->bar].number,
                   "harmony", "kind \"%s\" with its degrees is not fully "
                   "understood; read as %s",
                   text_make_safe(safe, sizeof safe, source.kind_name),
                   out->chord.symbol[0] ? out->chord.symbol : "no chord");
    if (out->chord.has_root)
        chord_transpose(&out->chord,
                        (int)(t.chromatic.num / t.chromatic.den), t.diatonic);
}

static void add_chord(struct line *line, struct cursor *c,
                      const struct raw_event *event)
{
    struct line_chord *chord = line_grow(line, line->chords,
                                         line->chord_count, &line->chord_room,
                                         sizeof *chord);

    if (!chord)
        return;
    line->chords = chord;
    chord += line->chord_count;
    memset(chord, 0, sizeof *chord);
    chord->bar = c->bar;
    chord->order = line->chord_count++;
    chord->onset =
        rational_add(c->at, cursor_quarters(c, event->harmony->offset));
    chord->takes_effect = chord->onset;
    understand(line, c, event, chord);
}

static int compare_chords(const void *left, const void *right)
{
    const struct line_chord *a = left, *b = right;
    int order;

    if (a->bar != b->bar)
        return a->bar < b->bar ? -1 : 1;
    order = rational_compare(a->onset, b->onset);
    if (order != 0)
        return order;
    return a->order < b->order ? -1 : a->order > b->order;
}

static int compare_onset(const void *key, const void *item)
{
    const struct line_chord *chord = key;
    const struct onset_event *event = item;

    if (chord->bar != event->bar)
        return chord->bar < event->bar ? -1 : 1;
    return rational_compare(chord->onset, event->onset);
}

/* N > 1 symbols at one place share the note that starts there: the i-th takes
 * effect after i nths of it. */
static void spread(struct line *line, struct line_chord *first, size_t n)
{
    const struct onset_event *event;

    if (n < 2 || line->onset_count == 0)
        return;
    event = bsearch(first, line->onsets, line->onset_count,
                    sizeof *line->onsets, compare_onset);
    for (size_t i = 1; event && i < n; i++)
        first[i].takes_effect = rational_add(
            first[i].onset,
            rational_mul(event->duration,
                         rational_make((int64_t)i, (int64_t)n)));
}

static void spread_all(struct line *line)
{
    struct line_chord *chords = line->chords;

    for (size_t i = 0, n; i < line->chord_count; i += n) {
        n = 1;
        while (i + n < line->chord_count &&
               chords[i + n].bar == chords[i].bar &&
               rational_compare(chords[i + n].onset, chords[i].onset) == 0)
            n++;
        spread(line, &chords[i], n);
    }
}

static int compare_effect(const void *left, const void *right)
{
    const struct line_chord *a = left, *b = right;
    int order;

    if (a->bar != b->bar)
        return a->bar < b->bar ? -1 : 1;
    order = rational_compare(a->takes_effect, b->takes_effect);
    return order ? order : compare_chords(left, right);
}

void line_read_chords(struct line *line)
{
    const struct raw_part *part = line->harmony;
    struct cursor c;

    if (!part->has_harmony || line->nomem)
        return;
    cursor_start(&c, line->score, part, part == line->melody);
    for (size_t bar = 0; bar < part->bar_count && !line->nomem; bar++) {
        cursor_start_bar(&c, bar);
        for (size_t i = 0; i < part->bars[bar].count; i++) {
            const struct raw_event *event =
                &part->events[part->bars[bar].first + i];

            cursor_pass(&c, event);
            if (event->kind == RAW_HARMONY)
                add_chord(line, &c, event);
        }
    }
    if (line->chord_count == 0)
        return;
    line_sort(line->chords, line->chord_count, sizeof *line->chords,
              compare_chords);
    spread_all(line);
    line_sort(line->chords, line->chord_count, sizeof *line->chords,
              compare_effect);
}
