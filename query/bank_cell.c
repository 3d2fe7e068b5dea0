/* query/bank_cell.c - a cell of a bank: from the user's words and back. */
#include <stdio.h>
#include <string.h>

#include "query/bank.h"
#include "query/home.h"

/* --- reading ---------------------------------------------------------- */

static enum status check_chord(const struct over *over, struct fault *why)
{
    const struct over_chord *chord = &over->chords[0];

    if (over->count > 1)
        return fault_at(why, ST_SYNTAX, 0, "a cell in a bank has one chord: "
                        "write the first, such as m7");
    if (over->count == 1 && chord->function[0])
        return fault_at(why, ST_SYNTAX, 0, "a cell in a bank is kept over a "
                        "kind of chord, not a function: write %s",
                        chord_class_name(chord->chord.class));
    if (over->count == 1 && chord->chord.class == CHORD_NONE)
        return fault_at(why, ST_SYNTAX, 0, "a cell in a bank has a chord: "
                        "write a suffix such as m7, or leave --over out for "
                        "any chord");
    return ST_OK;
}

/* The byte of TEXT where its first `?` or `:` stands, 0 where nowhere. */
static long place_of(const char *text, char sign)
{
    const char *at = strchr(text, sign);

    return at ? (long)(at - text) : 0;
}

static enum status check_notes(const struct fragment *f, const char *text,
                               struct fault *why)
{
    bool any = false;

    for (size_t i = 0; i < f->count; i++)
        any = any || f->any[i] || f->group[i] > 0;
    if (any)
        return fault_at(why, ST_SYNTAX, place_of(text, '?'), "a cell in a "
                        "bank has no '?': write every note");
    if (f->has_rhythm)
        return fault_at(why, ST_SYNTAX, place_of(text, ':'), "a cell in a "
                        "bank is kept without its rhythm: leave the note "
                        "values out");
    if (f->count < CELL_NOTES_MIN || f->count > CELL_NOTES_MAX)
        return fault_at(why, ST_SYNTAX, -1, "a cell has %d to %d notes; "
                        "'%.60s' has %zu", CELL_NOTES_MIN, CELL_NOTES_MAX,
                        text, f->count);
    return ST_OK;
}

static void append(char *out, size_t size, const char *word)
{
    size_t used = strlen(out);

    snprintf(out + used, size - used, "%s%s", used ? " " : "", word);
}

static void write_given(char given[CELL_TEXT_SIZE], const struct fragment *f,
                        const struct placed_cell *cell)
{
    given[0] = '\0';
    for (int i = 0; i < cell->count; i++) {
        char step[16];

        if (f->language != FRAGMENT_INTERVALS) {
            append(given, CELL_TEXT_SIZE, f->text[i]);
        } else if (i > 0) {
            snprintf(step, sizeof step, "%+d", cell->intervals[i - 1]);
            append(given, CELL_TEXT_SIZE, step);
        }
    }
}

/* The suffix of a chord that was named ("Dm7" gives "m7"), "" where a class
 * was, or where the suffix alone is no chord ("D", "Dm7/G"). */
static void write_over(char out[CHORD_TEXT_SIZE],
                       const struct over_chord *chord)
{
    struct over alone;
    struct pitch root;
    const char *suffix = chord->text;

    out[0] = '\0';
    if (chord->by_class)
        return;
    if (chord->chord.has_root)
        suffix += pitch_parse(&root, NULL, suffix, false);
    if (*suffix && over_parse(&alone, suffix, NULL) == ST_OK &&
        alone.chords[0].chord.tones == chord->chord.tones &&
        alone.chords[0].chord.class == chord->chord.class)
        snprintf(out, CHORD_TEXT_SIZE, "%s", suffix);
}

/* The degrees by the chord, where it is known which note is which; else the
 * degrees that were written, without octave marks. */
static void write_degrees(char out[CELL_DEGREES_SIZE],
                          const struct fragment *f,
                          const struct placed_cell *cell)
{
    const struct chord *asked = &f->over.chords[0].chord;
    const char *names[CELL_NOTES_MAX];
    struct chord on;

    out[0] = '\0';
    if (cell->start >= 0) {
        home_move(&on, asked, asked->has_root ? asked->root_pc : 0, 0);
        chord_cell_degrees(names, &on, f->midi, f->count);
        for (int i = 0; i < cell->count; i++)
            append(out, CELL_DEGREES_SIZE, names[i]);
    } else if (f->language == FRAGMENT_DEGREES) {
        for (int i = 0; i < cell->count; i++) {
            char name[FRAGMENT_TOKEN_SIZE];

            snprintf(name, sizeof name, "%.*s",
                     (int)strcspn(f->text[i], "',"), f->text[i]);
            append(out, CELL_DEGREES_SIZE, name);
        }
    }
}

enum status bank_read_cell(struct placed_cell *out, char given[CELL_TEXT_SIZE],
                           const char *text, const char *over, bool *in_over,
                           struct fault *why)
{
    struct fragment f;
    enum status st = fragment_parse(&f, text, over, in_over, why);

    if (st == ST_OK)
        st = check_notes(&f, text, why);
    if (st != ST_OK)
        return st;
    st = check_chord(&f.over, why);
    *in_over = st != ST_OK;
    if (st != ST_OK)
        return st;
    memset(out, 0, sizeof *out);
    out->count = (int)f.count;
    for (int i = 0; i + 1 < out->count; i++)
        out->intervals[i] = f.midi[i + 1] - f.midi[i];
    out->class = f.over.count > 0 ? f.over.chords[0].chord.class : -1;
    out->start = f.start;
    if (f.over.count > 0)
        write_over(out->over, &f.over.chords[0]);
    write_degrees(out->degrees, &f, out);
    write_given(given, &f, out);
    return ST_OK;
}

/* --- showing ---------------------------------------------------------- */

/* The next degree of *TEXT, read into NUMBER and SEMITONES.  Returns the
 * bytes it takes there, 0 at the end; *TEXT is moved behind it. */
static size_t next_degree(const char **text, int *number, int *semitones)
{
    size_t read;

    *text += strspn(*text, " ");
    read = pitch_parse_degree(number, semitones, *text);
    *text += read;
    return read;
}

/* One octave mark for each octave that the step to SEMITONES by INTERVAL is
 * away from the nearest such note. */
static void append_marks(char *out, size_t size, int interval, int pitch_class)
{
    int up = pitch_modulo(pitch_class, 12);
    int octaves = (interval - (up > 6 ? up - 12 : up)) / 12;
    size_t used = strlen(out);

    for (; octaves != 0 && used + 1 < size; octaves += octaves < 0 ? 1 : -1)
        out[used++] = octaves < 0 ? ',' : '\'';
    out[used] = '\0';
}

char *bank_cell_text(char out[CELL_TEXT_SIZE], const struct kept_cell *kept)
{
    const char *text = kept->cell.degrees, *from;
    int number, semitones, last = 0;
    size_t read;

    out[0] = '\0';
    for (int i = 0; i < kept->cell.count; i++) {
        char name[8];

        read = next_degree(&text, &number, &semitones);
        from = text - read;
        if (read == 0 || read >= sizeof name)
            break;
        snprintf(name, sizeof name, "%.*s", (int)read, from);
        append(out, CELL_TEXT_SIZE, name);
        if (i > 0)
            append_marks(out, CELL_TEXT_SIZE, kept->cell.intervals[i - 1],
                         semitones - last);
        last = semitones;
    }
    if (!out[0])
        snprintf(out, CELL_TEXT_SIZE, "%s", kept->given);
    return out;
}

const char *bank_cell_over(const struct placed_cell *cell)
{
    if (cell->over[0])
        return cell->over;
    return cell->class < 0 ? "any chord" : chord_class_name(cell->class);
}

/* The note SEMITONES above C, spelled as the degree NUMBER is. */
static struct pitch spell_degree(int semitones, int number)
{
    struct pitch p = { .step = (int8_t)((number - 1) % 7), .octave = 4 };
    int alter = pitch_modulo(
                    semitones - pitch_step_semitones(p.step) + 6, 12) - 6;

    if (alter < -2 || alter > 2)
        return pitch_spell(60 + pitch_modulo(semitones, 12), 0);
    p.alter = (int16_t)(100 * alter);
    return p;
}

char *bank_cell_notes(char out[CELL_TEXT_SIZE],
                      const struct placed_cell *cell)
{
    const char *text = cell->degrees;
    int number, semitones;

    out[0] = '\0';
    if (cell->start < 0)
        return out;
    for (int i = 0; i < cell->count; i++) {
        char name[PITCH_TEXT_SIZE];

        if (next_degree(&text, &number, &semitones) == 0)
            break;
        append(out, CELL_TEXT_SIZE,
               pitch_class_text(name, spell_degree(semitones, number)));
    }
    return out;
}
