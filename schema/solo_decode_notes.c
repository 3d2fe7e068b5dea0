/* schema/solo_decode_notes.c - bytes back into the notes of a solo. */
#include "schema/solo_reader.h"

/* The pitch of MIDI with the alteration of a nibble. */
static struct pitch pitch_from_code(struct reader *r, int midi,
                                    unsigned int code)
{
    static const int8_t step_of[12] = {
        0, -1, 1, -1, 2, 3, -1, 4, -1, 5, -1, 6
    };
    /* No pitch lies more octaves below C-1; from there a division is one of
     * numbers without a sign. */
    enum {
        OCTAVES = 32
    };
    int alter = (int)code - 2;
    unsigned int above = (unsigned int)(midi - alter + OCTAVES * 12);
    int step = step_of[above % 12];

    if (code > 4 || step < 0) {
        r->damaged = true;
        return (struct pitch){ 0, 4, 0 };
    }
    return (struct pitch){ .step = (int8_t)step,
                           .octave = (int8_t)((int)(above / 12) - OCTAVES - 1),
                           .alter = (int16_t)(alter * 100) };
}

enum {
    MIDI_NUMBERS = 128
};

/* The notes as they are read. */
struct notes_reader {
    struct codec_line line;
    struct codec_spelling_of pitches[MIDI_NUMBERS]; /* as LINE spells them */
};

/* The pitch class PC is spelled as LINE has it now. */
static void spell(struct notes_reader *n, int pc)
{
    const struct codec_spelling_of *as = &n->line.spelled[pc];

    for (int midi = pc, octave = 0; midi < MIDI_NUMBERS; midi += 12, octave++) {
        n->pitches[midi].sounding = codec_raise(as->sounding, octave);
        n->pitches[midi].written = codec_raise(as->written, octave);
    }
}

/* How NOTE, and its pitch class from now on, is spelled. */
static void get_spelling(struct reader *r, struct note *note,
                         struct notes_reader *n)
{
    unsigned int first = reader_byte(r), sounding = first & SPELL_SOUNDING;
    unsigned int written = (first & SPELL_WRITTEN) >> SPELL_WRITTEN_SHIFT;
    struct codec_spelling_of *last = &n->line.spelled[note->midi % 12];
    int octave = note->midi / 12;

    if (first & SPELL_GRACE)
        note->grace = (uint8_t)reader_byte(r);
    if (sounding == SPELL_FULL) {
        last->sounding = codec_raise(reader_pitch(r), -octave);
        last->written = codec_raise(reader_pitch(r), -octave);
    } else {
        if (first & SPELL_MOVED)
            n->line.moved = (int)reader_within(r, -MOVED_MAX, MOVED_MAX);
        last->sounding =
            codec_raise(pitch_from_code(r, note->midi, sounding), -octave);
        last->written = codec_raise(
            pitch_from_code(r, note->midi + n->line.moved, written), -octave);
    }
    spell(n, note->midi % 12);
}

static int64_t get_duration(struct reader *r, struct codec_line *line,
                            unsigned int code)
{
    if (code == DURATION_WRITTEN)
        return line->durations[line->new_durations++ % DURATIONS] =
                   reader_within(r, 0, time_max);
    if (code <= line->new_durations)
        return line->durations[code - 1];
    r->damaged = true;
    return 0;
}

/* Move LINE to where a note starts that is not simply the next.  It never goes
 * back to an earlier bar, so that all notes together pass each bar once. */
static void get_note_place(struct reader *r, struct codec_line *line,
                           unsigned int place)
{
    const struct solo *solo = r->solo;
    int64_t step;

    if (place == NOTE_BAR) {
        step = (int64_t)reader_below(r, INT32_MAX);
        codec_line_enter(line, solo, reader_bar_step(r, line->bar, step));
        line->end = line->this_bar + reader_within(r, -time_max, time_max);
        return;
    }
    if (place == NOTE_GAP)
        line->end += reader_within(r, -GAP_MAX, GAP_MAX);
    codec_line_advance(line, solo);
    if (place == NOTE_DOWNBEAT) {
        codec_line_enter(line, solo, reader_bar_step(r, line->bar, 1));
        line->end = line->this_bar;
    }
}

/* What FLAGS say of NOTE; the line moves to where it starts. */
static void get_rest_of_note(struct reader *r, struct note *note,
                             struct notes_reader *n, unsigned int flags)
{
    struct codec_line *line = &n->line;

    if (flags & NOTE_DURATION)
        line->duration = get_duration(r, line, flags & NOTE_DURATION);
    get_note_place(r, line, flags & NOTE_PLACE);
    if (flags & NOTE_SPELLED)
        get_spelling(r, note, n);
    note->rest_before = flags & NOTE_REST;
}

static void get_note(struct reader *r, struct note *note,
                     struct notes_reader *n)
{
    struct codec_line *line = &n->line;
    unsigned int first = reader_byte(r);

    note->midi = (uint8_t)(first & 0x7f);
    note->grace = 0;
    note->rest_before = false;
    if (first & NOTE_MORE) {
        unsigned int flags = reader_byte(r);

        line->phrase += flags & NOTE_PHRASE ? 1 : 0;
        get_rest_of_note(r, note, n, flags);
    } else {
        codec_line_advance(line, r->solo);
    }
    note->phrase = line->phrase;
    note->sounding = n->pitches[note->midi].sounding;
    note->written = n->pitches[note->midi].written;
    note->bar = line->bar;
    note->start = line->end;
    note->onset = line->end - line->this_bar;
    note->duration = line->duration;
    line->end += line->duration;
    if (note->onset < -time_max || note->onset > time_max)
        r->damaged = true;
}

void solo_decode_notes(struct reader *r)
{
    struct solo *solo = r->solo;
    struct notes_reader n;
    size_t count = reader_count(r);

    solo->notes =
        reader_array(r, &solo->note_count, count, sizeof *solo->notes);
    if (solo->bar_count == 0 && count > 0)
        r->damaged = true;
    if (count == 0 || r->damaged)
        return;
    codec_line_start(&n.line, solo);
    for (int pc = 0; pc < 12; pc++)
        spell(&n, pc);
    for (size_t i = 0; i < solo->note_count && !r->damaged; i++)
        get_note(r, &solo->notes[i], &n);
}
