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

/* --- chords met before ---------------------------------------------------- */

enum { CHORDS_KEPT = 32 };

/* A solo goes through the same few chords again and again: each is worked out
 * once, as long as no other takes its place. */
struct kept_chord {
    bool met;
    struct chord_source source;
    int chromatic, diatonic;
    struct chord chord;
};

static bool is_same_pitch(struct pitch a, struct pitch b)
{
    return a.step == b.step && a.octave == b.octave && a.alter == b.alter;
}

static bool is_same_text(const char *a, const char *b)
{
    return a && b ? strcmp(a, b) == 0 : a == b;
}

static bool is_same_source(const struct chord_source *a,
                           const struct chord_source *b)
{
    if (a->has_root != b->has_root || a->has_bass != b->has_bass ||
        !is_same_pitch(a->root, b->root) || !is_same_pitch(a->bass, b->bass) ||
        a->degree_count != b->degree_count ||
        !is_same_text(a->kind_name, b->kind_name) ||
        !is_same_text(a->kind_text, b->kind_text))
        return false;
    for (int i = 0; i < a->degree_count; i++)
        if (a->degrees[i].change != b->degrees[i].change ||
            a->degrees[i].value != b->degrees[i].value ||
            a->degrees[i].alter != b->degrees[i].alter)
            return false;
    return true;
}

/* Where SOURCE is kept. */
static struct kept_chord *place_of(struct kept_chord *kept,
                                   const struct chord_source *source)
{
    unsigned int at = (unsigned int)(source->root.step * 5 +
                                     source->root.alter / 100 +
                                     source->degree_count);

    for (const char *c = source->kind_name; *c; c++)
        at = at * 31 + (unsigned char)*c;
    return &kept[at % CHORDS_KEPT];
}

/* --- reading them --------------------------------------------------------- */

static void understand(struct line *line, struct cursor *c,
                       struct kept_chord *all_kept,
                       const struct raw_event *event, struct line_chord *out)
{
    struct chord_source source = event->harmony->chord;
    struct transposition t = cursor_transposition(c, event->staff);
    int chromatic = (int)(t.chromatic.num / t.chromatic.den);
    struct kept_chord *kept;
    char safe[64];
    bool whole;

    if (!source.has_root && event->harmony->numeral > 0) {
        source.root = numeral_root(event->harmony, c);
        source.has_root = true;
    }
    out->kind_text = source.kind_name;
    kept = place_of(all_kept, &source);
    if (kept->met && kept->chromatic == chromatic &&
        kept->diatonic == t.diatonic && is_same_source(&kept->source, &source)) {
        out->chord = kept->chord;
        return;
    }
    whole = chord_from_source(&out->chord, &source);
    if (!whole)
        score_warn(line->score, c->part->id, c->part->bars[c->bar].number,
                   "harmony", "kind \"%s\" with its degrees is not fully "
                   "understood; read as %s",
                   text_make_safe(safe, sizeof safe, source.kind_name),
                   out->chord.symbol[0] ? out->chord.symbol : "no chord");
    if (out->chord.has_root && (chromatic != 0 || t.diatonic != 0))
        chord_transpose(&out->chord, chromatic, t.diatonic);
    /* What there is a word to say of is said at every place. */
    if (whole)
        *kept = (struct kept_chord){ true, source, chromatic, t.diatonic,
                                     out->chord };
}

static void add_chord(struct line *line, struct cursor *c,
                      struct kept_chord *kept, const struct raw_event *event)
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
    understand(line, c, kept, event, chord);
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
    struct kept_chord kept[CHORDS_KEPT] = { 0 };
    struct cursor c;

    if (!part->has_harmony || line->nomem)
        return;
    cursor_start(&c, line->score, part, part == line->melody);
    for (size_t bar = 0; bar < part->bar_count && !line->nomem; bar++) {
        cursor_start_bar(&c, bar, RAW_HARMONY);
        for (size_t i = 0; i < part->bars[bar].count; i++) {
            const struct raw_event *event =
                &part->events[part->bars[bar].first + i];

            cursor_pass(&c, event);
            if (event->kind == RAW_HARMONY)
                add_chord(line, &c, kept, event);
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
