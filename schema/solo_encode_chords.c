/* schema/solo_encode_chords.c - the chords of a solo into bytes. */
#include <string.h>

#include "schema/harmony.h"
#include "schema/solo_writer.h"

/* What was written of chords so far. */
struct chord_writer {
    const struct chord_event *entries[ENTRY_WINDOW];
    size_t new_entries;
    struct codec_quality qualities[QUALITY_WINDOW];
    size_t new_qualities;
};

/* A chord that was not analysed has no key, no function and no role. */
static int event_key(const struct chord_event *event)
{
    return event->function ? event->key : HARMONY_NO_KEY;
}

static unsigned int event_role(const struct chord_event *event)
{
    return event->function ? event->role : (unsigned int)HARMONY_PLAIN;
}

static const char *event_function(const struct chord_event *event)
{
    return event->function ? event->function : "";
}

static bool is_same_chord(const struct chord *a, const struct chord *b)
{
    return a->root_pc == b->root_pc && a->class == b->class &&
           a->kind == b->kind && a->tones == b->tones &&
           a->tensions == b->tensions && a->bass_pc == b->bass_pc &&
           a->has_root == b->has_root && a->altered == b->altered &&
           a->sus == b->sus && writer_same_pitch(a->root, b->root) &&
           writer_same_pitch(a->bass, b->bass) &&
           strcmp(a->symbol, b->symbol) == 0;
}

static bool is_same_entry(const struct chord_event *a,
                          const struct chord_event *b)
{
    return is_same_chord(&a->chord, &b->chord) &&
           event_key(a) == event_key(b) && event_role(a) == event_role(b) &&
           strcmp(event_function(a), event_function(b)) == 0 &&
           strcmp(a->kind_text, b->kind_text) == 0;
}

static bool is_same_quality(const struct codec_quality *a,
                            const struct codec_quality *b)
{
    return a->kind == b->kind && a->class == b->class &&
           a->altered == b->altered && a->sus == b->sus &&
           a->tones == b->tones && a->tensions == b->tensions &&
           strcmp(a->suffix, b->suffix) == 0 &&
           strcmp(a->kind_text, b->kind_text) == 0;
}

static void put_quality(struct writer *w, struct chord_writer *chords,
                        const struct codec_quality *quality)
{
    size_t known = chords->new_qualities, ago = 0;
    size_t most = known < QUALITY_WINDOW ? known : QUALITY_WINDOW;
    bool named =
        strcmp(quality->kind_text, chord_kind_name(quality->kind)) == 0;

    while (ago < most &&
           !is_same_quality(
               &chords->qualities[(known - 1 - ago) % QUALITY_WINDOW], quality))
        ago++;
    writer_uint(w, ago < most ? ago + 1 : 0);
    if (ago < most)
        return;
    chords->qualities[chords->new_qualities++ % QUALITY_WINDOW] = *quality;
    writer_byte(w, quality->class | (quality->altered ? QUALITY_ALTERED : 0u) |
                       (quality->sus ? QUALITY_SUS : 0u) |
                       (named ? QUALITY_NAMED : 0u) |
                       (quality->tensions ? QUALITY_TENSIONS : 0u));
    writer_uint(w, quality->kind);
    writer_uint(w, quality->tones);
    if (quality->tensions)
        writer_uint(w, quality->tensions);
    if (!named)
        writer_text(w, quality->kind_text);
    writer_text(w, quality->suffix);
}

/* What follows the name of the root in the symbol of CHORD; NULL where that
 * does not begin with it. */
static const char *chord_suffix(const struct chord *chord)
{
    char root[PITCH_TEXT_SIZE] = "";
    size_t length;

    if (chord->has_root)
        pitch_class_text(root, chord->root);
    length = strlen(root);
    return strncmp(chord->symbol, root, length) == 0 ? chord->symbol + length
                                                     : NULL;
}

static void put_chord(struct writer *w, struct chord_writer *chords,
                      const struct chord_event *event)
{
    const struct chord *c = &event->chord;
    const char *suffix = chord_suffix(c);
    struct codec_quality quality = { .kind = c->kind,
                                     .class = c->class,
                                     .altered = c->altered,
                                     .sus = c->sus,
                                     .tones = c->tones,
                                     .tensions = c->tensions,
                                     .kind_text = event->kind_text,
                                     .suffix = suffix ? suffix : "" };
    bool same_bass = writer_same_pitch(c->root, c->bass);
    bool same_classes = c->root_pc == codec_pitch_class(c->root) &&
                        c->bass_pc == codec_pitch_class(c->bass);
    unsigned int flags =
        (c->has_root ? 0u : ROOT_ABSENT) | (same_bass ? 0u : ROOT_BASS) |
        (same_classes ? 0u : ROOT_CLASSES) | (suffix ? 0u : ROOT_SYMBOL);

    writer_pitch(w, c->root, flags ? PITCH_UNUSUAL : 0u);
    if (flags)
        writer_byte(w, flags);
    if (flags & ROOT_BASS)
        writer_pitch(w, c->bass, 0);
    if (flags & ROOT_CLASSES) {
        writer_byte(w, c->root_pc);
        writer_byte(w, c->bass_pc);
    }
    if (flags & ROOT_SYMBOL)
        writer_text(w, c->symbol);
    put_quality(w, chords, &quality);
}

/* How many new entries ago that of EVENT was written, from 1; 0 where it was
 * not. */
static unsigned int find_entry(const struct chord_writer *chords,
                               const struct chord_event *event)
{
    size_t known = chords->new_entries, ago = 1;
    size_t most = known < ENTRY_WINDOW ? known : ENTRY_WINDOW;

    while (ago <= most &&
           !is_same_entry(chords->entries[(known - ago) % ENTRY_WINDOW], event))
        ago++;
    return ago <= most ? (unsigned int)ago : 0;
}

static void put_entry(struct writer *w, struct chord_writer *chords,
                      const struct chord_event *event)
{
    chords->entries[chords->new_entries++ % ENTRY_WINDOW] = event;
    writer_byte(w, (unsigned int)(event_key(event) - HARMONY_NO_KEY) *
                           HARMONY_ROLES +
                       event_role(event));
    writer_text(w, event_function(event));
    put_chord(w, chords, event);
}

/* STEP: bars from the event before; INSIDE: see enum codec_place. */
static unsigned int event_place(const struct chord_event *event, int32_t step,
                                int64_t inside)
{
    if (event->takes_effect != event->onset)
        return PLACE_STACKED;
    if (step == 1 && event->onset == 0)
        return PLACE_DOWNBEAT;
    return step == 0 && event->onset == inside ? PLACE_INSIDE : PLACE_ONSET;
}

void solo_encode_chords(struct writer *w, const struct solo *solo)
{
    struct chord_writer chords = { .new_entries = 0 };
    int64_t inside = 0;
    int32_t bar = -1;

    writer_uint(w, solo->chord_count);
    for (size_t i = 0; i < solo->chord_count; i++) {
        const struct chord_event *event = &solo->chords[i];
        int32_t step = event->bar - bar;
        unsigned int place = event_place(event, step, inside);
        unsigned int ago = find_entry(&chords, event);

        bar = event->bar;
        writer_byte(w, place | ago << PLACE_BITS);
        if (place == PLACE_ONSET || place == PLACE_STACKED) {
            writer_int(w, step);
            writer_int(w, event->onset);
            inside = step == 0 ? event->onset : inside;
        }
        if (place == PLACE_STACKED)
            writer_int(w, event->takes_effect - event->onset);
        if (ago == 0)
            put_entry(w, &chords, event);
    }
}
