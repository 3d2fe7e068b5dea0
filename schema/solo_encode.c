/* schema/solo_encode.c - a solo into bytes. */
#include <stdlib.h>
#include <string.h>

#include "schema/harmony.h"
#include "schema/solo_codec.h"

struct writer {
    unsigned char *bytes;
    size_t size, room;
    bool failed;
};

static void put_byte(struct writer *w, unsigned int value)
{
    if (w->size == w->room && !w->failed) {
        size_t room = w->room ? w->room * 2 : 4096;
        unsigned char *grown = realloc(w->bytes, room);

        if (grown) {
            w->bytes = grown;
            w->room = room;
        } else {
            w->failed = true;
        }
    }
    if (!w->failed)
        w->bytes[w->size++] = (unsigned char)value;
}

static void put_uint(struct writer *w, uint64_t value)
{
    for (; value >= 0x80; value >>= 7)
        put_byte(w, (unsigned int)(value & 0x7f) | 0x80);
    put_byte(w, (unsigned int)value);
}

static void put_int(struct writer *w, int64_t value)
{
    put_uint(w, ((uint64_t)value << 1) ^ (uint64_t)(value < 0 ? -1 : 0));
}

static void put_text(struct writer *w, const char *text)
{
    size_t len = strlen(text);

    put_uint(w, len);
    for (size_t i = 0; i < len; i++)
        put_byte(w, (unsigned char)text[i]);
}

static void put_pitch(struct writer *w, struct pitch p)
{
    put_int(w, p.step);
    put_int(w, p.octave);
    put_int(w, p.alter);
}

static void put_facts(struct writer *w, const struct solo *solo)
{
    put_text(w, solo->title);
    put_text(w, solo->performer);
    put_text(w, solo->composer);
    put_text(w, solo->instrument);
    put_text(w, solo->work_title);
    put_text(w, solo->movement_title);
    put_text(w, solo->metre);
    put_int(w, solo->fifths);
    put_uint(w, solo->mode);
    put_uint(w, (unsigned int)solo->has_key |
                    (unsigned int)solo->has_metre << 1 |
                    (unsigned int)solo->has_transpose << 2);
    put_int(w, solo->transpose);
    put_int(w, solo->transpose_steps);
    put_int(w, solo->tempo);
    put_uint(w, solo->rests);
    put_uint(w, solo->graces);
    put_int(w, solo->ticks);
}

static void put_bars(struct writer *w, const struct solo *solo)
{
    const char *metre = "";

    put_uint(w, solo->bar_count);
    for (size_t i = 0; i < solo->bar_count; i++) {
        const struct bar *bar = &solo->bars[i];
        bool same = strcmp(bar->metre, metre) == 0;

        put_uint(w, (unsigned int)bar->implicit | (unsigned int)same << 1 |
                        (bar->rehearsal ? 4u : 0u));
        put_text(w, bar->number);
        put_int(w, bar->length);
        put_int(w, bar->nominal);
        put_int(w, bar->fifths);
        put_uint(w, bar->mode);
        put_uint(w, bar->barlines);
        if (!same)
            put_text(w, bar->metre);
        if (bar->rehearsal)
            put_text(w, bar->rehearsal);
        metre = bar->metre;
    }
}

static void put_chord(struct writer *w, const struct chord_event *event)
{
    const struct chord *c = &event->chord;

    put_pitch(w, c->root);
    put_pitch(w, c->bass);
    put_uint(w, c->root_pc);
    put_uint(w, c->bass_pc);
    put_uint(w, (unsigned int)c->has_root | (unsigned int)c->altered << 1 |
                    (unsigned int)c->sus << 2);
    put_uint(w, c->kind);
    put_uint(w, c->class);
    put_uint(w, c->tones);
    put_uint(w, c->tensions);
    put_text(w, c->symbol);
    put_text(w, event->kind_text);
}

static bool same_chord(const struct chord_event *a,
                       const struct chord_event *b)
{
    return chord_equal(&a->chord, &b->chord) &&
           a->chord.kind == b->chord.kind &&
           strcmp(a->chord.symbol, b->chord.symbol) == 0 &&
           strcmp(a->kind_text, b->kind_text) == 0;
}

/* Key, function and role.  A solo that was not analysed has none.  A function
 * is named by how many new ones ago it was first written, or written. */
static void put_function(struct writer *w, const struct chord_event *event,
                         const char *recent[FUNCTION_WINDOW], size_t *known)
{
    const char *text = event->function ? event->function : "";
    size_t most = *known < FUNCTION_WINDOW ? *known : FUNCTION_WINDOW;
    size_t ago = 0;

    put_int(w, event->function ? event->key : HARMONY_NO_KEY);
    put_uint(w, event->function ? event->role : HARMONY_PLAIN);
    while (ago < most &&
           strcmp(recent[(*known - 1 - ago) % FUNCTION_WINDOW], text) != 0)
        ago++;
    put_uint(w, ago < most ? ago + 1 : 0);
    if (ago < most)
        return;
    put_text(w, text);
    recent[(*known)++ % FUNCTION_WINDOW] = text;
}

/* An event names its chord by how many new chords ago it was first written,
 * or writes a new one. */
static void put_chords(struct writer *w, const struct solo *solo)
{
    size_t recent[CHORD_WINDOW];
    const char *functions[FUNCTION_WINDOW];
    size_t known = 0, known_functions = 0;
    int32_t bar = 0;

    put_uint(w, solo->chord_count);
    for (size_t i = 0; i < solo->chord_count; i++) {
        const struct chord_event *event = &solo->chords[i];
        size_t ago = 0, most = known < CHORD_WINDOW ? known : CHORD_WINDOW;

        put_int(w, event->bar - bar);
        put_int(w, event->onset);
        put_int(w, event->takes_effect - event->onset);
        put_function(w, event, functions, &known_functions);
        bar = event->bar;
        while (ago < most &&
               !same_chord(&solo->chords[recent[(known - 1 - ago) %
                                                CHORD_WINDOW]],
                           event))
            ago++;
        put_uint(w, ago < most ? ago + 1 : 0);
        if (ago < most)
            continue;
        put_chord(w, event);
        recent[known++ % CHORD_WINDOW] = i;
    }
}

/* The spelling of P fits a nibble: -2..2 semitones, else -1. */
static int spelling_code(struct pitch p, int midi)
{
    if (p.alter % 100 != 0 || p.alter < -200 || p.alter > 200 ||
        pitch_midi(p) != midi)
        return -1;
    return p.alter / 100 + 2;
}

static void put_note(struct writer *w, const struct note *note, bool phrase,
                     int *moved)
{
    int written = pitch_midi(note->written);
    int a = spelling_code(note->sounding, note->midi);
    int b = spelling_code(note->written, written);
    bool full = a < 0 || b < 0;
    int move = written - note->midi;
    unsigned int flags = (note->rest_before ? NOTE_REST : 0u) |
                         (note->grace ? NOTE_GRACE : 0u) |
                         (full ? NOTE_SPELLED : 0u) |
                         (!full && move != *moved ? NOTE_MOVED : 0u) |
                         (phrase ? NOTE_PHRASE : 0u);

    put_byte(w, note->midi);
    put_byte(w, flags | (full ? 0u : (unsigned int)a << 4));
    if (note->grace)
        put_byte(w, note->grace);
    if (full) {
        put_pitch(w, note->sounding);
        put_pitch(w, note->written);
        return;
    }
    put_byte(w, (unsigned int)b);
    if (move != *moved)
        put_int(w, move);
    *moved = move;
}

static void put_notes(struct writer *w, const struct solo *solo)
{
    int32_t bar = 0;
    int moved = 0;

    put_uint(w, solo->note_count);
    for (size_t i = 0; i < solo->note_count; i++) {
        const struct note *note = &solo->notes[i];

        put_note(w, note, solo_starts_phrase(solo, i), &moved);
        put_uint(w, (uint64_t)(note->bar - bar));
        put_int(w, note->onset);
        put_int(w, note->duration);
        bar = note->bar;
    }
}

/* Plays are runs of written neighbours: first bar, length. */
static void put_plays(struct writer *w, const struct solo *solo)
{
    size_t i = 0;

    put_uint(w, solo->play_count);
    while (i < solo->play_count) {
        size_t run = 1;

        while (i + run < solo->play_count &&
               solo->plays[i + run] == solo->plays[i] + (int32_t)run)
            run++;
        put_uint(w, (uint64_t)solo->plays[i]);
        put_uint(w, run);
        i += run;
    }
}

/* The plan tells the whole form. */
static void put_form(struct writer *w, const struct solo *solo)
{
    const struct form_plan *plan = &solo->form.plan;

    put_int(w, plan->length);
    if (plan->length == 0)
        return;
    put_int(w, plan->first_play);
    put_int(w, plan->tail);
    put_int(w, plan->confidence);
    put_uint(w, (unsigned int)plan->source);
    put_uint(w, plan->part_count);
    for (size_t i = 0; i < plan->part_count; i++) {
        put_text(w, plan->parts[i].letter);
        put_int(w, plan->parts[i].bars);
    }
}

static void put_rest(struct writer *w, const struct solo *solo)
{
    put_uint(w, solo->remark_count);
    for (size_t i = 0; i < solo->remark_count; i++) {
        put_uint(w, (uint64_t)solo->remarks[i].bar);
        put_int(w, solo->remarks[i].onset);
        put_text(w, solo->remarks[i].text);
    }
    put_plays(w, solo);
    put_form(w, solo);
    put_uint(w, solo->warning_count);
    for (size_t i = 0; i < solo->warning_count; i++) {
        put_text(w, solo->warnings[i].part);
        put_text(w, solo->warnings[i].bar);
        put_text(w, solo->warnings[i].element);
        put_text(w, solo->warnings[i].message);
    }
}

enum status solo_encode(const struct solo *solo, unsigned char **out,
                        size_t *size, struct fault *why)
{
    struct writer w = { 0 };

    put_byte(&w, CODEC_VERSION);
    put_facts(&w, solo);
    put_bars(&w, solo);
    put_chords(&w, solo);
    put_notes(&w, solo);
    put_rest(&w, solo);
    if (w.failed) {
        free(w.bytes);
        *out = NULL;
        return fault_nomem(why);
    }
    *out = w.bytes;
    *size = w.size;
    return ST_OK;
}
