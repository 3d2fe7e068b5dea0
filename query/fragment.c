/* query/fragment.c - from tokens to notes, placed on a chord. */
#include "query/fragment.h"

#include <string.h>

#include "query/fragment_parts.h"

/* Where the octave is not written, the first note lies from C4 to B4. */
enum {
    FIRST_OCTAVE = 60
};

/* The note of pitch class PC nearest to LAST (a tritone goes up), or in the
 * first octave where LAST is NULL. */
static int nearest(int pc, const int *last)
{
    int up;

    if (!last)
        return FIRST_OCTAVE + pc;
    up = pitch_modulo(pc - *last, 12);
    return *last + (up > 6 ? up - 12 : up);
}

/* The spelling of MIDI that stands on STEP (any integer, 0 = C), or the
 * simplest one where that would take more than two accidentals. */
static struct pitch spell_on_step(int midi, int step)
{
    int natural = pitch_step_semitones(step);
    int alter = pitch_modulo(midi - natural + 6, 12) - 6;
    struct pitch p = { 0 };

    if (alter < -2 || alter > 2)
        return pitch_spell(midi, 0);
    p.step = (int8_t)pitch_modulo(step, 7);
    p.octave = (int8_t)((midi - alter - natural) / 12 - 1);
    p.alter = (int16_t)(100 * alter);
    return p;
}

/* Semitones above C from which degrees are counted while they are placed:
 * the root of the first chord, or C. */
static int degree_base(const struct fragment *f)
{
    const struct over_chord *over = &f->over.chords[0];

    return f->over.count > 0 && over->chord.has_root ? over->chord.root_pc : 0;
}

static void place_degree(struct fragment *f, size_t i, const int *last,
                         const struct token *token)
{
    const struct chord *over = &f->over.chords[0].chord;
    int root_step = f->over.count > 0 && over->has_root ? over->root.step : 0;
    int pc = pitch_modulo(degree_base(f) + token->semitones, 12);

    f->midi[i] = nearest(pc, last) + 12 * token->octaves;
    f->spelled[i] = spell_on_step(f->midi[i], root_step + token->number - 1);
}

static void place_name(struct fragment *f, size_t i, const int *last,
                       const struct token *token)
{
    int midi = pitch_midi(token->pitch);

    f->spelled[i] = token->pitch;
    if (!token->has_octave) {
        int there = nearest(pitch_modulo(midi, 12), last) + 12 * token->octaves;

        f->spelled[i].octave =
            (int8_t)(token->pitch.octave + (there - midi) / 12);
        midi = there;
    }
    f->midi[i] = midi;
}

/* Degrees and names: a note a token, all of them in one group. */
static enum status place_notes(struct fragment *f,
                               const struct token_list *list, struct fault *why)
{
    const int *last = NULL;

    f->count = list->count;
    for (size_t i = 0; i < list->count; i++) {
        const struct token *token = &list->tokens[i];

        f->value[i] = token->value;
        f->any[i] = token->kind == TOKEN_ANY;
        if (f->any[i])
            continue;
        memcpy(f->text[i], token->text, sizeof f->text[i]);
        if (list->language == FRAGMENT_NAMES)
            place_name(f, i, last, token);
        else
            place_degree(f, i, last, token);
        last = &f->midi[i];
        if (*last < 0 || *last > 127)
            return fault_at(why, ST_SYNTAX, token->offset,
                            "'%s' would lie %s: write %s after a note to "
                            "bring it nearer by an octave",
                            token->text,
                            *last < 0 ? "below the lowest note, C-1"
                                      : "above the highest note, G9",
                            *last < 0 ? "'" : ",");
    }
    f->has_rhythm = list->tokens[0].has_value;
    return ST_OK;
}

/* Intervals: a note more than tokens.  A `?` is a step to any note, and the
 * intervals after it count from there. */
static void place_intervals(struct fragment *f, const struct token_list *list)
{
    f->count = list->count + 1;
    f->midi[0] = FIRST_OCTAVE;
    for (size_t i = 0; i < list->count; i++) {
        bool any = list->tokens[i].kind == TOKEN_ANY;

        f->group[i + 1] = f->group[i] + any;
        f->midi[i + 1] =
            any ? FIRST_OCTAVE : f->midi[i] + list->tokens[i].semitones;
    }
    /* A note alone in its group may be any note. */
    for (size_t i = 0; i < f->count; i++)
        f->any[i] = (i == 0 || f->group[i - 1] != f->group[i]) &&
                    (i + 1 == f->count || f->group[i + 1] != f->group[i]);
}

static enum status check_count(const struct token_list *list, struct fault *why)
{
    bool intervals = list->language == FRAGMENT_INTERVALS;
    size_t known = 0;

    if (list->count + intervals < 2)
        return fault_at(why, ST_SYNTAX, list->tokens[0].offset,
                        "one note is no fragment: write 2 to %d notes",
                        FRAGMENT_NOTES_MAX);
    if (list->count + intervals > FRAGMENT_NOTES_MAX)
        return fault_at(why, ST_SYNTAX,
                        list->tokens[FRAGMENT_NOTES_MAX - 1].offset,
                        "the fragment is too long: at most %d notes, so %d "
                        "intervals",
                        FRAGMENT_NOTES_MAX, FRAGMENT_NOTES_MAX - 1);
    for (size_t i = 0; i < list->count; i++)
        known += list->tokens[i].kind != TOKEN_ANY;
    if (known + intervals < 2)
        return fault_at(why, ST_SYNTAX, list->tokens[0].offset,
                        "too many ?: at least two notes must be given, e.g. "
                        "5 ? 2 1");
    return ST_OK;
}

void fragment_place(struct fragment *f)
{
    const struct chord *first = &f->over.chords[0].chord;
    bool over = f->over.count > 0 && first->class != CHORD_NONE;
    bool root = over && first->has_root;

    f->start = f->known_start = f->given_pc = -1;
    f->given_at = 0;
    while (f->any[f->given_at])
        f->given_at++;
    if (f->language == FRAGMENT_INTERVALS)
        return;
    if (root || (over && f->language == FRAGMENT_DEGREES))
        f->known_start =
            pitch_modulo(f->midi[f->given_at] - degree_base(f), 12);
    if (root || f->language != FRAGMENT_DEGREES)
        f->given_pc = pitch_modulo(f->midi[f->given_at], 12);
    if (f->given_at == 0)
        f->start = f->known_start;
}

/* Read OVER_TEXT where there is one. */
static enum status read_over(struct fragment *out, const char *over_text,
                             bool *in_over, struct fault *why)
{
    enum status st = over_text ? over_parse(&out->over, over_text, why) : ST_OK;

    *in_over = st != ST_OK;
    return st;
}

enum status fragment_parse(struct fragment *out, const char *text,
                           const char *over_text, bool *in_over,
                           struct fault *why)
{
    struct token_list list;
    bool unwanted;
    enum status st;

    if (!in_over)
        in_over = &unwanted;
    *in_over = false;
    memset(out, 0, sizeof *out);
    st = tokens_read(&list, text, why);
    if (st == ST_OK)
        st = check_count(&list, why);
    if (st == ST_OK)
        st = read_over(out, over_text, in_over, why);
    if (st != ST_OK)
        return st;
    out->language = list.language;
    if (list.language == FRAGMENT_INTERVALS)
        place_intervals(out, &list);
    else
        st = place_notes(out, &list, why);
    if (st == ST_OK)
        fragment_place(out);
    return st;
}
