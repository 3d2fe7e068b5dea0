/* schema/solo_decode_chords.c - bytes back into the chords of a solo. */
#include <limits.h>
#include <string.h>

#include "schema/harmony.h"
#include "schema/solo_reader.h"

/* What was read of chords so far. */
struct chord_reader {
    size_t entries[ENTRY_WINDOW]; /* the chords they were first said of */
    size_t new_entries;
    struct codec_quality qualities[QUALITY_WINDOW];
    size_t new_qualities;
};

static struct codec_quality get_new_quality(struct reader *r)
{
    struct codec_quality q;
    unsigned int flags = reader_byte(r);

    if ((flags & QUALITY_CLASS) >= CHORD_CLASSES)
        r->damaged = true;
    q.class = flags & QUALITY_CLASS;
    q.altered = flags & QUALITY_ALTERED;
    q.sus = flags & QUALITY_SUS;
    q.kind = (uint8_t)reader_below(r, KIND_FOREIGN + 1);
    q.tones = (uint16_t)reader_below(r, 1 << 12);
    q.tensions =
        flags & QUALITY_TENSIONS ? (uint16_t)reader_below(r, 1 << 12) : 0;
    q.kind_text =
        flags & QUALITY_NAMED ? chord_kind_name(q.kind) : reader_text(r);
    q.suffix = reader_text(r);
    return q;
}

static struct codec_quality get_quality(struct reader *r,
                                        struct chord_reader *chords)
{
    size_t known = chords->new_qualities;
    size_t most = known < QUALITY_WINDOW ? known : QUALITY_WINDOW;
    size_t ago = (size_t)reader_below(r, most + 1);

    if (ago > 0)
        return chords->qualities[(known - ago) % QUALITY_WINDOW];
    return chords->qualities[chords->new_qualities++ % QUALITY_WINDOW] =
               get_new_quality(r);
}

/* The symbol of C: FIRST and then SUFFIX. */
static void set_symbol(struct reader *r, struct chord *c, const char *first,
                       const char *suffix)
{
    size_t a = strlen(first), b = strlen(suffix);

    if (a >= sizeof c->symbol || b >= sizeof c->symbol - a) {
        r->damaged = true;
        return;
    }
    memcpy(c->symbol, first, a);
    memcpy(c->symbol + a, suffix, b + 1);
}

static void get_chord(struct reader *r, struct chord_reader *chords,
                      struct chord_event *event)
{
    struct chord *c = &event->chord;
    unsigned int first = reader_byte(r), flags;
    char root[PITCH_TEXT_SIZE] = "";
    struct codec_quality q;
    const char *symbol = NULL;

    c->root = reader_rest_of_pitch(r, first);
    flags =
        first & PITCH_UNUSUAL ? (unsigned int)reader_below(r, ROOT_ALL + 1) : 0;
    c->has_root = !(flags & ROOT_ABSENT);
    c->bass = flags & ROOT_BASS ? reader_pitch(r) : c->root;
    c->root_pc = flags & ROOT_CLASSES ? (uint8_t)reader_below(r, 12)
                                      : codec_pitch_class(c->root);
    c->bass_pc = flags & ROOT_CLASSES ? (uint8_t)reader_below(r, 12)
                                      : codec_pitch_class(c->bass);
    if (flags & ROOT_SYMBOL)
        symbol = reader_text(r);
    else if (c->has_root)
        symbol = pitch_class_text(root, c->root);
    q = get_quality(r, chords);
    c->altered = q.altered;
    c->sus = q.sus;
    c->kind = q.kind;
    c->class = q.class;
    c->tones = q.tones;
    c->tensions = q.tensions;
    event->kind_text = q.kind_text;
    set_symbol(r, c, symbol ? symbol : "", q.suffix);
}

enum {
    KEYS_AND_ROLES = (HARMONY_KEYS - HARMONY_NO_KEY) * (int)HARMONY_ROLES
};
_Static_assert((int)KEYS_AND_ROLES <= UCHAR_MAX, "a byte holds key and role");

/* What an event says that may be said again: key, role, function, chord. */
static void get_entry(struct reader *r, struct chord_reader *chords,
                      size_t index, size_t ago)
{
    struct chord_event *event = &r->solo->chords[index];
    size_t known = chords->new_entries;
    const struct chord_event *old;

    if (ago > known) {
        r->damaged = true;
    } else if (ago > 0) {
        old = &r->solo->chords[chords->entries[(known - ago) % ENTRY_WINDOW]];
        event->key = old->key;
        event->role = old->role;
        event->function = old->function;
        event->chord = old->chord;
        event->kind_text = old->kind_text;
    } else {
        unsigned int key_and_role = reader_byte(r);

        if (key_and_role >= KEYS_AND_ROLES)
            r->damaged = true;
        event->key =
            (int8_t)(HARMONY_NO_KEY + (int)(key_and_role / HARMONY_ROLES));
        event->role = (uint8_t)(key_and_role % HARMONY_ROLES);
        event->function = reader_text(r);
        get_chord(r, chords, event);
        chords->entries[chords->new_entries++ % ENTRY_WINDOW] = index;
    }
}

/* Where EVENT stands, after an event in the bar BEFORE. */
static void get_event_place(struct reader *r, struct chord_event *event,
                            unsigned int place, int32_t before, int64_t *inside)
{
    int64_t step = place == PLACE_DOWNBEAT ? 1 : 0, later = 0;

    event->onset = place == PLACE_INSIDE ? *inside : 0;
    if (place == PLACE_ONSET || place == PLACE_STACKED) {
        step = reader_within(r, -INT32_MAX, INT32_MAX);
        event->onset = reader_within(r, -time_max, time_max);
        *inside = step == 0 ? event->onset : *inside;
    }
    if (place == PLACE_STACKED)
        later = reader_within(r, 0, time_max);
    event->takes_effect = event->onset + later;
    event->bar = reader_bar_step(r, before, step);
    if (!r->damaged)
        event->start = r->solo->bars[event->bar].start + event->takes_effect;
}

void solo_decode_chords(struct reader *r)
{
    struct solo *solo = r->solo;
    struct chord_reader chords;
    int64_t inside = 0;
    int32_t bar = -1;
    size_t count = reader_count(r);

    chords.new_entries = chords.new_qualities = 0;
    solo->chords =
        reader_array(r, &solo->chord_count, count, sizeof *solo->chords);
    for (size_t i = 0; i < solo->chord_count && !r->damaged; i++) {
        unsigned int first = reader_byte(r);

        get_event_place(r, &solo->chords[i], first % (1 << PLACE_BITS), bar,
                        &inside);
        bar = solo->chords[i].bar;
        if (!r->damaged)
            get_entry(r, &chords, i, first >> PLACE_BITS);
    }
}
