/* schema/solo_encode_notes.c - the notes of a solo into bytes. */
#include "schema/solo_writer.h"

/* The spelling of P fits three bits: -2..2 semitones, else -1. */
static int spelling_code(struct pitch p, int midi)
{
    if (p.alter % 100 != 0 || p.alter < -200 || p.alter > 200 ||
        pitch_midi(p) != midi)
        return -1;
    return p.alter / 100 + 2;
}

static void put_spelling(struct writer *w, const struct note *note,
                         struct codec_line *line)
{
    int written = pitch_midi(note->written), move = written - note->midi;
    int a = spelling_code(note->sounding, note->midi);
    int b = spelling_code(note->written, written);
    bool full = a < 0 || b < 0 || move < -MOVED_MAX || move > MOVED_MAX;
    bool moved = !full && move != line->moved;

    writer_byte(
        w, (full ? (unsigned int)SPELL_FULL
                 : (unsigned int)a | (unsigned int)b << SPELL_WRITTEN_SHIFT) |
               (moved ? SPELL_MOVED : 0u) | (note->grace ? SPELL_GRACE : 0u));
    if (note->grace)
        writer_byte(w, note->grace);
    if (full) {
        writer_pitch(w, note->sounding, 0);
        writer_pitch(w, note->written, 0);
    }
    if (moved) {
        writer_int(w, move);
        line->moved = move;
    }
}

/* Is NOTE spelled as its pitch class was last?  From now on it is. */
static bool is_spelled_as_last(const struct note *note, struct codec_line *line)
{
    int octave = note->midi / 12;
    struct codec_spelling_of *last = &line->spelled[note->midi % 12];
    struct pitch sounding = codec_raise(note->sounding, -octave);
    struct pitch written = codec_raise(note->written, -octave);
    bool same = writer_same_pitch(sounding, last->sounding) &&
                writer_same_pitch(written, last->written);

    last->sounding = sounding;
    last->written = written;
    return same;
}

/* The code of DURATION, which is not that of the note before. */
static unsigned int duration_code(struct codec_line *line, int64_t duration)
{
    size_t most =
        line->new_durations < DURATIONS ? line->new_durations : DURATIONS;

    for (size_t i = 0; i < most; i++)
        if (line->durations[i] == duration)
            return (unsigned int)i + 1;
    line->durations[line->new_durations++ % DURATIONS] = duration;
    return DURATION_WRITTEN;
}

/* How the place of NOTE, which starts at START, is told after LINE, which
 * moves to its bar. */
static unsigned int note_place(const struct solo *solo, const struct note *note,
                               int64_t start, struct codec_line *line)
{
    int64_t gap = start - line->end;
    int32_t before = line->bar;
    unsigned int place = NOTE_BAR;

    codec_line_advance(line, solo);
    if (line->bar == note->bar && gap == 0)
        return NOTE_NEXT;
    if (note->bar == line->bar + 1 && note->onset == 0) {
        place = NOTE_DOWNBEAT;
    } else if (gap >= -GAP_MAX && gap <= GAP_MAX) {
        line->end = start;
        codec_line_enter(line, solo, before);
        codec_line_advance(line, solo);
        if (line->bar == note->bar)
            return NOTE_GAP;
    }
    codec_line_enter(line, solo, note->bar);
    return place;
}

static void put_note(struct writer *w, const struct solo *solo, size_t index,
                     struct codec_line *line)
{
    const struct note *note = &solo->notes[index];
    int64_t start = solo->bars[note->bar].start + note->onset;
    int64_t end = line->end;
    int32_t bar = line->bar;
    unsigned int duration = note->duration == line->duration
                                ? 0
                                : duration_code(line, note->duration);
    unsigned int place = note_place(solo, note, start, line);
    bool spelled = !is_spelled_as_last(note, line) || note->grace;
    unsigned int flags = duration | place | (spelled ? NOTE_SPELLED : 0u) |
                         (solo_starts_phrase(solo, index) ? NOTE_PHRASE : 0u) |
                         (note->rest_before ? NOTE_REST : 0u);

    writer_byte(w, note->midi | (flags ? NOTE_MORE : 0u));
    if (flags)
        writer_byte(w, flags);
    if (duration == DURATION_WRITTEN)
        writer_int(w, note->duration);
    if (place == NOTE_GAP)
        writer_int(w, start - end);
    if (place == NOTE_BAR) {
        writer_uint(w, (uint64_t)(note->bar - bar));
        writer_int(w, note->onset);
    }
    if (spelled)
        put_spelling(w, note, line);
    line->duration = note->duration;
    line->end = start + note->duration;
}

void solo_encode_notes(struct writer *w, const struct solo *solo)
{
    struct codec_line line;

    writer_uint(w, solo->note_count);
    if (solo->note_count == 0)
        return;
    codec_line_start(&line, solo);
    for (size_t i = 0; i < solo->note_count; i++)
        put_note(w, solo, i, &line);
}
