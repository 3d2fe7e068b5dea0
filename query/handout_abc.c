/* query/handout_abc.c - a handout as ABC 2.1 (the open standard of December
 * 2011), each excerpt a tune.
 *
 * The unit is an eighth.  Chords that change while a note is held stand over a
 * second voice of invisible rests, so that the note need not be divided.
 */
#include "query/handout_abc.h"

#include <stdlib.h>
#include <string.h>

#include "query/handout.h"

enum {
    BARS_A_LINE = 4,
    SIGNS_A_LINE = 36, /* notes, rests and chords: more are crowded */
    LINE_SIZE = 1024
};

/* A tune being written. */
struct abc {
    FILE *out;
    const struct notation *notation;
    uint32_t first, last; /* of the fragment */
    int16_t altered[7];   /* of each step in this bar, whatever octave */
    int16_t in_octave[16][7];
    int fifths;
};

/* --- text ----------------------------------------------------------------- */

/* A line of text: what would start a comment or a command is escaped. */
static void put_text(FILE *out, const char *text)
{
    char safe[LINE_SIZE];

    text_make_safe(safe, sizeof safe, text);
    for (const char *c = safe; *c; c++) {
        if (strchr("\\%&", *c))
            putc('\\', out);
        putc(*c, out);
    }
}

/* A chord symbol in its quotes. */
static void put_symbol(FILE *out, const char *symbol)
{
    putc('"', out);
    for (const char *c = symbol; *c; c++)
        putc(strchr("\"\\%&;", *c) ? '?' : *c, out);
    putc('"', out);
}

/* --- values ------------------------------------------------------------- */

/* A length of NUM/DEN eighths. */
static void put_length(FILE *out, int64_t num, int64_t den)
{
    int64_t divisor = rational_gcd(num, den);

    num /= divisor;
    den /= divisor;
    if (num != 1)
        fprintf(out, "%lld", (long long)num);
    if (den != 1)
        fprintf(out, "/%lld", (long long)den);
}

/* The written value of SIGN in 512ths of an eighth. */
static int64_t written_value(const struct sign *sign)
{
    int64_t value = sign->value < 0 ? 16 * 512 : 8 * 512 >> sign->value;

    return sign->dots > 0 ? 3 * value / 2 : value;
}

/* Rests of NAME that last LENGTH ticks together, to the 128th below. */
static void put_rests(struct abc *a, char name, int64_t length)
{
    int64_t eighth = a->notation->ticks / 2;
    int64_t value = 16 * eighth;

    while (value >= eighth / 16) {
        if (value <= length) {
            putc(name, a->out);
            put_length(a->out, value, eighth);
            length -= value;
        } else {
            value /= 2;
        }
    }
}

/* --- pitches ------------------------------------------------------------ */

/* ABC has semitones; a quarter tone is rounded as its sound is. */
static int16_t semitones_of(struct pitch pitch)
{
    int up = pitch.alter + 1250;

    return (int16_t)(100 * (up / 100 - 12));
}

static int16_t key_alter(int fifths, int step)
{
    /* The place of each step in the order of sharps. */
    static const int place[7] = { 1, 3, 5, 0, 2, 4, 6 };

    if (fifths > place[step])
        return 100;
    return fifths < 0 && -fifths > 6 - place[step] ? -100 : 0;
}

static void start_bar(struct abc *a, const struct notation_bar *bar)
{
    a->fifths = bar->fifths;
    for (int step = 0; step < 7; step++) {
        a->altered[step] = key_alter(a->fifths, step);
        for (int octave = 0; octave < 16; octave++)
            a->in_octave[octave][step] = a->altered[step];
    }
}

/* Readers differ on whether an accidental holds in other octaves: one is
 * written wherever one of them would need it. */
static void put_accidental(struct abc *a, struct pitch pitch)
{
    static const char *const signs[] = { "__", "_", "=", "^", "^^" };
    int16_t alter = semitones_of(pitch);
    int octave = pitch_modulo(pitch.octave, 16);
    int16_t *here = &a->in_octave[octave][pitch.step];
    int16_t *anywhere = &a->altered[pitch.step];

    if (*here == alter && *anywhere == alter)
        return;
    *here = *anywhere = alter;
    if (alter >= -200 && alter <= 200)
        fputs(signs[alter / 100 + 2], a->out);
}

static void put_pitch(struct abc *a, struct pitch pitch)
{
    put_accidental(a, pitch);
    putc((pitch.octave > 4 ? "cdefgab" : "CDEFGAB")[pitch.step], a->out);
    for (int octave = pitch.octave; octave > 5; octave--)
        putc('\'', a->out);
    for (int octave = pitch.octave; octave < 4; octave++)
        putc(',', a->out);
}

/* --- a bar -------------------------------------------------------------- */

/* "(3:2:4" before the first sign of a tuplet. */
static void put_tuplet(struct abc *a, const struct notation_bar *bar, size_t i)
{
    const struct sign *sign = &bar->signs[i];
    size_t count = 1;

    while (i + count < bar->sign_count &&
           !bar->signs[i + count - 1].tuplet_stop)
        count++;
    fprintf(a->out, "(%d:%d:%zu", sign->actual, sign->normal, count);
}

static void put_sign(struct abc *a, const struct notation_bar *bar, size_t i)
{
    const struct sign *sign = &bar->signs[i];
    bool first =
        sign->marked && sign->starts && (uint32_t)sign->note == a->first;
    bool last = sign->marked && !sign->tied && (uint32_t)sign->note == a->last;

    if (sign->tuplet_start && !sign->whole_bar)
        put_tuplet(a, bar, i);
    if (first)
        fputs("\"^[\"", a->out);
    if (last)
        fputs("\"^]\"", a->out);
    if (sign->whole_bar) {
        put_rests(a, 'z', bar->length);
        return;
    }
    if (sign->note < 0)
        putc('z', a->out);
    else
        put_pitch(a, sign->pitch);
    put_length(a->out, written_value(sign), 512);
    if (sign->tied)
        putc('-', a->out);
    if (sign->beams[0] != BEAM_BEGIN && sign->beams[0] != BEAM_CONTINUE)
        putc(' ', a->out);
}

/* Does every chord of BAR stand where a sign starts? */
static bool chords_fit(const struct notation_bar *bar)
{
    size_t sign = 0;

    for (size_t i = 0; i < bar->chord_count; i++) {
        while (sign < bar->sign_count &&
               bar->signs[sign].at < bar->chords[i].at)
            sign++;
        if (sign == bar->sign_count || bar->signs[sign].at != bar->chords[i].at)
            return false;
    }
    return true;
}

/* Where the chord INDEX of BAR stands, to the nearest sixteenth; the end of the
 * bar for the one after the last. */
static int64_t chord_place(const struct abc *a, const struct notation_bar *bar,
                           size_t index)
{
    int64_t step = a->notation->ticks / 4;
    int64_t at;

    if (index >= bar->chord_count)
        return bar->length;
    at = (bar->chords[index].at + step / 2) / step * step;
    return at < bar->length ? at : bar->length;
}

/* The chords of BAR over invisible rests. */
static void put_chord_voice(struct abc *a, const struct notation_bar *bar)
{
    fputs("& ", a->out);
    put_rests(a, 'x', chord_place(a, bar, 0));
    for (size_t i = 0; i < bar->chord_count; i++) {
        put_symbol(a->out, bar->chords[i].chord.symbol);
        put_rests(a, 'x', chord_place(a, bar, i + 1) - chord_place(a, bar, i));
    }
}

static void put_bar(struct abc *a, const struct notation_bar *bar)
{
    bool fit = chords_fit(bar);
    size_t chord = 0;

    start_bar(a, bar);
    for (size_t i = 0; i < bar->sign_count; i++) {
        for (; fit && chord < bar->chord_count &&
               bar->chords[chord].at == bar->signs[i].at;
             chord++)
            put_symbol(a->out, bar->chords[chord].chord.symbol);
        put_sign(a, bar, i);
    }
    if (bar->sign_count == 0)
        putc('x', a->out);
    if (!fit && bar->chord_count > 0)
        put_chord_voice(a, bar);
}

/* --- lines -------------------------------------------------------------- */

static const char *metre_text(const char *metre)
{
    return *metre && strspn(metre, "0123456789+/") == strlen(metre) ? metre
                                                                    : "none";
}

/* "Bb", "Gm" */
static void put_key(struct abc *a, const struct notation_bar *bar)
{
    static const char *const line[] = { "Cb", "Gb", "Db", "Ab", "Eb", "Bb",
                                        "F",  "C",  "G",  "D",  "A",  "E",
                                        "B",  "F#", "C#", "G#", "D#", "A#" };
    bool minor = bar->mode == MODE_MINOR;

    fprintf(a->out, "%s%s", line[bar->fifths + 7 + (minor ? 3 : 0)],
            minor ? "m" : "");
}

/* The changes before the bar INDEX. */
static void put_changes(struct abc *a, size_t index)
{
    const struct notation *n = a->notation;
    const struct notation_bar *bar = &n->bars[index], *before = bar - 1;
    const struct bar *bars = n->solo->bars;

    if (index == 0)
        return;
    if (bar->fifths != before->fifths || bar->mode != before->mode) {
        fputs("[K:", a->out);
        put_key(a, bar);
        fputs("]", a->out);
    }
    if (strcmp(bars[bar->bar].metre, bars[before->bar].metre) != 0)
        fprintf(a->out, "[M:%s]", metre_text(bars[bar->bar].metre));
}

/* The last bar with a degree; where none has one, a bar before the first. */
static size_t last_marked(const struct notation *n)
{
    for (size_t b = n->bar_count; b > 0; b--)
        for (size_t i = 0; i < n->bars[b - 1].sign_count; i++)
            if (n->bars[b - 1].signs[i].degree)
                return b - 1;
    return SIZE_MAX;
}

/* The degrees of the bars FROM..TO-1, a word a note.  Words are for all lines
 * of notes since the words before, so lines before the fragment have them too.
 */
static void put_degrees(struct abc *a, size_t from, size_t to)
{
    const struct notation *n = a->notation;
    size_t last = last_marked(n);

    if (last == SIZE_MAX || from > last)
        return;
    fputs("w:", a->out);
    for (size_t b = from; b < to; b++) {
        for (size_t i = 0; i < n->bars[b].sign_count; i++) {
            const struct sign *sign = &n->bars[b].signs[i];

            if (sign->note >= 0)
                fprintf(a->out, " %s", sign->degree ? sign->degree : "*");
        }
        fputs(" |", a->out);
    }
    putc('\n', a->out);
}

/* The bars from FROM on that stand on one line: where the next one starts. */
static size_t end_of_line(const struct notation *n, size_t from)
{
    size_t signs = 0, to = from;

    while (to < n->bar_count && to - from < BARS_A_LINE) {
        signs += n->bars[to].sign_count + n->bars[to].chord_count;
        if (to > from && signs > SIGNS_A_LINE)
            break;
        to++;
    }
    return to;
}

static void put_lines(struct abc *a)
{
    const struct notation *n = a->notation;
    size_t to;

    for (size_t from = 0; from < n->bar_count; from = to) {
        to = end_of_line(n, from);
        for (size_t i = from; i < to; i++) {
            put_changes(a, i);
            put_bar(a, &n->bars[i]);
            fputs(i + 1 == n->bar_count ? "||" : "| ", a->out);
        }
        putc('\n', a->out);
        put_degrees(a, from, to);
    }
}

void abc_tune(FILE *out, const struct notation *notation, size_t number,
              const char *const *titles, uint32_t first, uint32_t last)
{
    struct abc a = {
        .out = out, .notation = notation, .first = first, .last = last
    };
    const struct notation_bar *bar = &notation->bars[0];

    fprintf(out, "X:%zu\n", number);
    for (; titles && *titles; titles++) {
        if (!**titles)
            continue;
        fputs("T:", out);
        put_text(out, *titles);
        putc('\n', out);
    }
    fprintf(out, "M:%s\nL:1/8\nK:",
            metre_text(notation->solo->bars[bar->bar].metre));
    put_key(&a, bar);
    fprintf(out, " clef=%s", notation->view.bass_clef ? "bass" : "treble");
    if (notation->view.chromatic != 0)
        fprintf(out, " transpose=%d", -notation->view.chromatic);
    putc('\n', out);
    put_lines(&a);
}

enum status handout_abc(FILE *out, const struct handout *handout,
                        struct fault *why)
{
    enum status st = ST_OK;

    /* A line is as long as its bars need, and a full one may be crowded. */
    fputs(
        "%abc-2.1\nI:abc-charset utf-8\n%%stretchstaff 0\n%%maxshrink 1\n"
        "% ",
        out);
    put_text(out, handout->title);
    fprintf(out, "\n%% %s\n", handout_rights);
    for (size_t i = 0; i < handout->count && st == ST_OK; i++) {
        const struct excerpt *e = &handout->excerpts[i];
        const char *titles[4] = { NULL };
        char cite[LINE_SIZE];
        struct notation notation;
        size_t count = 0;

        if (*e->heading && (i == 0 || strcmp(e->heading, e[-1].heading) != 0))
            titles[count++] = e->heading;
        titles[count++] = handout_cite(cite, sizeof cite, handout, i);
        titles[count++] = e->remark;
        st = notation_make(&notation, &e->passage, &handout->view, why);
        if (st == ST_OK) {
            putc('\n', out);
            abc_tune(out, &notation, i + 1, titles, e->passage.first,
                     e->passage.last);
        }
        notation_free(&notation);
    }
    return st;
}
