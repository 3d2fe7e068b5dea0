/* query/cells_words.c - what is known of a cell, in words. */
#include "query/cells_words.h"

#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "query/fragment.h"
#include "query/relation.h"
#include "query/words.h"

/* Put TEXT at the end of OUT. */
static void append(char *out, const char *text)
{
    size_t used = strlen(out);

    snprintf(out + used, CELLS_TEXT_SIZE - used, "%s", text);
}

char *cells_degrees_text(char *out, const struct cell_shape *shape)
{
    const char *degrees[CELLS_NOTES_MAX];

    *out = '\0';
    cell_degrees(degrees, shape);
    for (int i = 0; i < shape->notes; i++) {
        append(out, i > 0 ? " " : "");
        append(out, degrees[i]);
    }
    return out;
}

char *cells_strip(char out[CELLS_STRIP_SIZE], const uint64_t keys[12])
{
    for (int i = 0; i < 12; i++)
        out[i] = keys[i] == 0   ? '.'
                 : keys[i] < 10 ? (char)('0' + keys[i])
                                : '+';
    out[12] = '\0';
    return out;
}

const char *cells_degree_name(int class, int semitones)
{
    return chord_degree_name(cell_chord(class), semitones);
}

char *cells_thousandths(char out[32], int64_t thousandths, bool with_sign)
{
    const char *sign = thousandths < 0 ? "-" : with_sign ? "+" : "";

    thousandths = thousandths < 0 ? -thousandths : thousandths;
    snprintf(out, 32, "%s%" PRId64 ".%03" PRId64, sign, thousandths / 1000,
             thousandths % 1000);
    return out;
}

/* --- counts --------------------------------------------------------------- */

/* Writes the value INDEX of a tally into TEXT, CELLS_TEXT_SIZE bytes.
 * NULL: it is not to be told. */
typedef char *(*say_value)(char *text, const struct tally *tally, size_t index);

/* Does value A of a tally come before B: more frequent, else earlier? */
static bool comes_before(const struct tally *t, size_t a, size_t b)
{
    return t->counts[a] != t->counts[b] ? t->counts[a] > t->counts[b] : a < b;
}

/* The value that comes next after AFTER, or first where that is the count of
 * values. */
static size_t next_frequent(const struct tally *t, size_t after)
{
    size_t best = t->count;

    for (size_t i = 0; i < t->count; i++)
        if ((after == t->count || comes_before(t, after, i)) &&
            (best == t->count || comes_before(t, i, best)))
            best = i;
    return best;
}

static char *say_counts(char *out, const struct tally *t, size_t most,
                        say_value say)
{
    char text[CELLS_TEXT_SIZE], count[WORDS_SIZE];
    size_t said = 0, left = t->count, at = t->count;

    *out = '\0';
    while (left > 0 && said < most) {
        at = next_frequent(t, at);
        left--;
        if (!say(text, t, at))
            continue;
        append(out, said++ > 0 ? ", " : "");
        append(out, text);
        snprintf(count, sizeof count, " (%" PRIu64 ")", t->counts[at]);
        append(out, count);
    }
    if (said > 0 && left > 0) {
        snprintf(count, sizeof count, ", %zu more", left);
        append(out, count);
    }
    return out;
}

static char *say_beat(char *text, const struct tally *t, size_t index)
{
    const int64_t *v = tally_value(t, index);

    return words_beat(text, (struct rational){ v[0], v[1], false });
}

char *cells_beats_text(char *out, const struct cell_detail *d, size_t most)
{
    return say_counts(out, &d->beats, most, say_beat);
}

char *cells_rhythm_text(char *out, const struct tally *rhythms, size_t index)
{
    const int64_t *v = tally_value(rhythms, index);
    char value[FRAGMENT_VALUE_SIZE];

    *out = '\0';
    for (size_t i = 0; i < rhythms->width; i += 2) {
        append(out, i > 0 ? " " : "");
        append(out, fragment_value_text(
                        value, (struct rational){ v[i], v[i + 1], false }));
    }
    return out;
}

static char *say_rhythm(char *text, const struct tally *t, size_t index)
{
    return cells_rhythm_text(text, t, index);
}

char *cells_rhythms_text(char *out, const struct cell_detail *d, size_t most)
{
    return say_counts(out, &d->rhythms, most, say_rhythm);
}

static char *say_bar(char *text, const struct tally *t, size_t index)
{
    if (*tally_value(t, index) == 0)
        return NULL;
    snprintf(text, CELLS_TEXT_SIZE, "%" PRId64, *tally_value(t, index));
    return text;
}

char *cells_bars_text(char *out, const struct cell_detail *d, size_t most)
{
    return say_counts(out, &d->bars, most, say_bar);
}

static char *say_section(char *text, const struct tally *t, size_t index)
{
    cell_section_text(text, *tally_value(t, index));
    return *text ? text : NULL;
}

char *cells_sections_text(char *out, const struct cell_detail *d, size_t most)
{
    return say_counts(out, &d->sections, most, say_section);
}

/* --- what stands beside --------------------------------------------------- */

/* "of the dominant a fourth above". */
static void say_chord(char *text, const struct cell_neighbour *n)
{
    struct chord here = { .class = CHORD_MAJOR, .has_root = true };
    struct chord there = { .class = (uint8_t)n->class,
                           .has_root = true,
                           .root_pc = (uint8_t)n->steps };
    char title[RELATION_TEXT_SIZE];
    const char *over;

    relation_title(title, sizeof title, relation_key(&here, &there));
    over = strstr(title, " over ");
    append(text, " of");
    append(text, over ? over + strlen(" over") : "");
}

static char *say_beside_of(char *text, const struct tally *t, size_t index,
                           bool with_class)
{
    struct cell_neighbour n;

    cell_neighbour_read(&n, *tally_value(t, index));
    *text = '\0';
    switch (n.what) {
    case BESIDE_NOTHING:
        append(text, "nothing");
        break;
    case BESIDE_NO_CHORD:
        append(text, "a note over no chord");
        break;
    default:
        append(text, cells_degree_name(n.class, n.above));
        if (n.what == BESIDE_OTHER_CHORD) {
            say_chord(text, &n);
        } else if (with_class) {
            append(text, " over ");
            append(text, chord_class_name(n.class));
        }
    }
    return text;
}

static char *say_beside(char *text, const struct tally *t, size_t index)
{
    return say_beside_of(text, t, index, false);
}

static char *say_beside_class(char *text, const struct tally *t, size_t index)
{
    return say_beside_of(text, t, index, true);
}

char *cells_beside_text(char *out, const struct tally *beside, bool classes,
                        size_t most)
{
    return say_counts(out, beside, most,
                      classes ? say_beside_class : say_beside);
}
