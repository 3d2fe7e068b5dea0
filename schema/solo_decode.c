/* schema/solo_decode.c - bytes back into a solo. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "schema/harmony.h"
#include "schema/solo_codec.h"

/* A reader that has failed gives zeros and empty texts from then on, so that
 * only the end needs a check. */
struct reader {
    const unsigned char *at, *end;
    struct solo *solo;
    bool damaged, nomem;
};

static unsigned int get_byte(struct reader *r)
{
    if (r->at == r->end) {
        r->damaged = true;
        return 0;
    }
    return *r->at++;
}

static uint64_t get_long_uint(struct reader *r)
{
    uint64_t value = 0;
    unsigned int byte, shift = 0;

    do {
        byte = get_byte(r);
        if (shift > 63) {
            r->damaged = true;
            return 0;
        }
        value |= (uint64_t)(byte & 0x7f) << shift;
        shift += 7;
    } while (byte & 0x80);
    return value;
}

static inline uint64_t get_uint(struct reader *r)
{
    /* Most numbers are a byte long. */
    if (r->at != r->end && *r->at < 0x80)
        return *r->at++;
    return get_long_uint(r);
}

static inline int64_t get_int(struct reader *r)
{
    uint64_t value = get_uint(r);

    return (int64_t)(value >> 1) ^ -(int64_t)(value & 1);
}

/* A number that must lie in LOW..HIGH. */
static inline int64_t get_within(struct reader *r, int64_t low, int64_t high)
{
    int64_t value = get_int(r);

    if (value >= low && value <= high)
        return value;
    r->damaged = true;
    return low > 0 || high < 0 ? low : 0;
}

static uint64_t get_below(struct reader *r, uint64_t limit)
{
    uint64_t value = get_uint(r);

    if (value < limit)
        return value;
    r->damaged = true;
    return 0;
}

/* A count of things that take at least one byte each. */
static size_t get_count(struct reader *r)
{
    return (size_t)get_below(r, (uint64_t)(r->end - r->at) + 1);
}

static const char *get_text(struct reader *r)
{
    size_t len = get_count(r);
    const char *text;

    if (len > (size_t)(r->end - r->at)) {
        r->damaged = true;
        return "";
    }
    text = solo_copy(r->solo, (const char *)r->at, len);
    r->at += len;
    if (text)
        return text;
    r->nomem = true;
    return "";
}

/* An array whose items are of no meaning yet. */
static void *get_array(struct reader *r, size_t *count, size_t item)
{
    size_t n = get_count(r);
    void *array = solo_room(r->solo, (n ? n : 1) * item);

    *count = array ? n : 0;
    if (!array)
        r->nomem = true;
    return array;
}

static struct pitch get_pitch(struct reader *r)
{
    struct pitch p;

    p.step = (int8_t)get_within(r, 0, 6);
    p.octave = (int8_t)get_within(r, INT8_MIN, INT8_MAX);
    p.alter = (int16_t)get_within(r, INT16_MIN, INT16_MAX);
    return p;
}

static void get_facts(struct reader *r)
{
    struct solo *solo = r->solo;
    uint64_t flags;

    solo->title = get_text(r);
    solo->performer = get_text(r);
    solo->composer = get_text(r);
    solo->instrument = get_text(r);
    solo->work_title = get_text(r);
    solo->movement_title = get_text(r);
    solo->metre = get_text(r);
    solo->fifths = (int8_t)get_within(r, INT8_MIN, INT8_MAX);
    solo->mode = (uint8_t)get_below(r, MODE_OTHER + 1);
    flags = get_below(r, 8);
    solo->has_key = flags & 1;
    solo->has_metre = flags >> 1 & 1;
    solo->has_transpose = flags >> 2 & 1;
    solo->transpose = (int16_t)get_within(r, INT16_MIN, INT16_MAX);
    solo->transpose_steps = (int16_t)get_within(r, INT16_MIN, INT16_MAX);
    solo->tempo = (int32_t)get_within(r, 0, INT32_MAX);
    solo->rests = (uint32_t)get_below(r, UINT32_MAX);
    solo->graces = (uint32_t)get_below(r, UINT32_MAX);
    solo->ticks = get_within(r, 1, INT32_MAX);
}

/* Times are bounded so that sums of two of them cannot overflow. */
enum { TIME_BITS = 61 };
static const int64_t time_max = (int64_t)1 << TIME_BITS;

static void get_bars(struct reader *r)
{
    struct solo *solo = r->solo;
    const char *metre = "";
    int64_t start = 0;

    solo->bars = get_array(r, &solo->bar_count, sizeof *solo->bars);
    for (size_t i = 0; i < solo->bar_count && !r->damaged; i++) {
        struct bar *bar = &solo->bars[i];
        uint64_t flags = get_below(r, 8);

        bar->start = start;
        bar->implicit = flags & 1;
        bar->number = get_text(r);
        bar->length = get_within(r, 0, time_max);
        bar->nominal = get_within(r, 0, time_max);
        bar->fifths = (int8_t)get_within(r, INT8_MIN, INT8_MAX);
        bar->mode = (uint8_t)get_below(r, MODE_OTHER + 1);
        bar->barlines = (uint16_t)get_below(r, UINT16_MAX);
        if (!(flags & 2))
            metre = get_text(r);
        bar->metre = metre;
        bar->rehearsal = flags & 4 ? get_text(r) : NULL;
        start += bar->length;
        if (start > time_max)
            r->damaged = true;
    }
}

static void get_chord(struct reader *r, struct chord_event *event)
{
    struct chord *c = &event->chord;
    const char *symbol;
    uint64_t flags;

    c->root = get_pitch(r);
    c->bass = get_pitch(r);
    c->root_pc = (uint8_t)get_below(r, 12);
    c->bass_pc = (uint8_t)get_below(r, 12);
    flags = get_below(r, 8);
    c->has_root = flags & 1;
    c->altered = flags >> 1 & 1;
    c->sus = flags >> 2 & 1;
    c->kind = (uint8_t)get_below(r, KIND_FOREIGN + 1);
    c->class = (uint8_t)get_below(r, CHORD_CLASSES);
    c->tones = (uint16_t)get_below(r, 1 << 12);
    c->tensions = (uint16_t)get_below(r, 1 << 12);
    symbol = get_text(r);
    if (strlen(symbol) < sizeof c->symbol)
        strcpy(c->symbol, symbol);
    else
        r->damaged = true;
    event->kind_text = get_text(r);
}

static int32_t get_bar_step(struct reader *r, int32_t bar)
{
    int64_t next = bar + get_within(r, -INT32_MAX, INT32_MAX);

    if (next >= 0 && next < (int64_t)r->solo->bar_count)
        return (int32_t)next;
    r->damaged = true;
    return 0;
}

static void get_function(struct reader *r, struct chord_event *event,
                         const char *recent[FUNCTION_WINDOW], size_t *known)
{
    size_t most = *known < FUNCTION_WINDOW ? *known : FUNCTION_WINDOW, ago;

    event->key = (int8_t)get_within(r, HARMONY_NO_KEY, HARMONY_KEYS - 1);
    event->role = (uint8_t)get_below(r, HARMONY_ROLES);
    ago = (size_t)get_below(r, most + 1);
    if (ago > 0) {
        event->function = recent[(*known - ago) % FUNCTION_WINDOW];
        return;
    }
    event->function = get_text(r);
    recent[(*known)++ % FUNCTION_WINDOW] = event->function;
}

static void get_chords(struct reader *r)
{
    struct solo *solo = r->solo;
    size_t recent[CHORD_WINDOW] = { 0 };
    const char *functions[FUNCTION_WINDOW] = { 0 };
    size_t known = 0, known_functions = 0;
    int32_t bar = 0;

    solo->chords = get_array(r, &solo->chord_count, sizeof *solo->chords);
    for (size_t i = 0; i < solo->chord_count && !r->damaged; i++) {
        struct chord_event *event = &solo->chords[i];
        size_t most = known < CHORD_WINDOW ? known : CHORD_WINDOW, ago;

        event->bar = bar = get_bar_step(r, bar);
        if (r->damaged)
            break;
        event->onset = get_within(r, -time_max, time_max);
        event->takes_effect = event->onset + get_within(r, 0, time_max);
        event->start = solo->bars[bar].start + event->takes_effect;
        get_function(r, event, functions, &known_functions);
        ago = (size_t)get_below(r, most + 1);
        if (ago > 0) {
            size_t old = recent[(known - ago) % CHORD_WINDOW];

            event->chord = solo->chords[old].chord;
            event->kind_text = solo->chords[old].kind_text;
        } else {
            get_chord(r, event);
            recent[known++ % CHORD_WINDOW] = i;
        }
    }
}

/* The pitch of MIDI with the alteration of a nibble. */
static struct pitch pitch_from_code(struct reader *r, int midi,
                                    unsigned int code)
{
    static const int8_t step_of[12] = { 0,  -1, 1, -1, 2, 3,
                                        -1, 4, -1, 5,  -1, 6 };
    /* No pitch lies more octaves below C-1; from there a division is one of
     * numbers without a sign. */
    enum { OCTAVES = 32 };
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

static void get_note(struct reader *r, struct note *note, int32_t *phrase,
                     int *moved)
{
    unsigned int flags, code, sounding;

    note->midi = (uint8_t)(get_byte(r) & 0x7f);
    flags = get_byte(r);
    note->rest_before = flags & NOTE_REST;
    *phrase += flags & NOTE_PHRASE ? 1 : 0;
    note->phrase = *phrase;
    note->grace = flags & NOTE_GRACE ? (uint8_t)get_byte(r) : 0;
    if (flags & NOTE_SPELLED) {
        note->sounding = get_pitch(r);
        note->written = get_pitch(r);
        return;
    }
    sounding = flags >> 4 & 7;
    note->sounding = pitch_from_code(r, note->midi, sounding);
    code = get_byte(r);
    if (flags & NOTE_MOVED)
        *moved = (int)get_within(r, -300, 300);
    /* Most instruments write what sounds. */
    note->written = *moved == 0 && code == sounding
                        ? note->sounding
                        : pitch_from_code(r, note->midi + *moved, code);
}

static void get_notes(struct reader *r)
{
    struct solo *solo = r->solo;
    int64_t bar = 0;
    int32_t phrase = 0;
    int moved = 0;

    solo->notes = get_array(r, &solo->note_count, sizeof *solo->notes);
    for (size_t i = 0; i < solo->note_count && !r->damaged; i++) {
        struct note *note = &solo->notes[i];

        get_note(r, note, &phrase, &moved);
        bar += (int64_t)get_below(r, INT32_MAX);
        if (bar >= (int64_t)solo->bar_count) {
            r->damaged = true;
            break;
        }
        note->bar = (int32_t)bar;
        note->onset = get_within(r, -time_max, time_max);
        note->duration = get_within(r, 0, time_max);
        note->start = solo->bars[bar].start + note->onset;
    }
}

static void get_plays(struct reader *r)
{
    struct solo *solo = r->solo;
    uint64_t most = (uint64_t)1 << 20;

    solo->play_count = (size_t)get_below(r, most);
    solo->plays = solo_room(solo, (solo->play_count + 1) *
                                      sizeof *solo->plays);
    if (!solo->plays) {
        r->nomem = true;
        return;
    }
    for (size_t i = 0; i < solo->play_count && !r->damaged;) {
        uint64_t first = get_below(r, solo->bar_count);
        uint64_t run = get_below(r, solo->bar_count - first + 1);

        if (run == 0 || run > solo->play_count - i)
            r->damaged = true;
        for (uint64_t k = 0; k < run && !r->damaged; k++)
            solo->plays[i++] = (int32_t)(first + k);
    }
}

static void get_form(struct reader *r)
{
    struct form_part parts[FORM_PARTS_MAX];
    struct form_plan plan = { .length = (int32_t)get_within(r, 0, INT32_MAX),
                              .parts = parts };
    enum status st;

    if (plan.length == 0 || r->damaged)
        return;
    plan.first_play = (int32_t)get_within(r, 0, INT32_MAX);
    plan.tail = (int32_t)get_within(r, 0, INT32_MAX);
    plan.confidence = (int32_t)get_within(r, 0, 100);
    plan.source = (int)get_below(r, FORM_USER + 1);
    plan.part_count = (size_t)get_below(r, FORM_PARTS_MAX + 1);
    for (size_t i = 0; i < plan.part_count; i++) {
        const char *letter = get_text(r);

        snprintf(parts[i].letter, FORM_LETTER_SIZE, "%s", letter);
        parts[i].bars = (int32_t)get_within(r, 1, INT32_MAX);
    }
    if (r->damaged)
        return;
    st = form_lay_out(r->solo, &plan, NULL);
    r->nomem |= st == ST_NOMEM;
    r->damaged |= st != ST_OK && st != ST_NOMEM;
}

static void get_rest(struct reader *r)
{
    struct solo *solo = r->solo;

    solo->remarks = get_array(r, &solo->remark_count, sizeof *solo->remarks);
    for (size_t i = 0; i < solo->remark_count && !r->damaged; i++) {
        solo->remarks[i].bar = (int32_t)get_below(r, solo->bar_count);
        solo->remarks[i].onset = get_within(r, -time_max, time_max);
        solo->remarks[i].text = get_text(r);
    }
    get_plays(r);
    if (!r->damaged && !r->nomem)
        get_form(r);
    solo->warnings =
        get_array(r, &solo->warning_count, sizeof *solo->warnings);
    for (size_t i = 0; i < solo->warning_count && !r->damaged; i++) {
        solo->warnings[i].part = get_text(r);
        solo->warnings[i].bar = get_text(r);
        solo->warnings[i].element = get_text(r);
        solo->warnings[i].message = get_text(r);
    }
}

enum status solo_decode(struct solo **out, const unsigned char *bytes,
                        size_t size, struct fault *why)
{
    struct reader r = { bytes, bytes + size, solo_new(), false, false };

    *out = NULL;
    if (!r.solo)
        return fault_nomem(why);
    if (get_byte(&r) != CODEC_VERSION)
        r.damaged = true;
    if (!r.damaged)
        get_facts(&r);
    if (!r.damaged)
        get_bars(&r);
    if (!r.damaged)
        get_chords(&r);
    if (!r.damaged)
        get_notes(&r);
    if (!r.damaged)
        get_rest(&r);
    if (r.damaged || r.nomem || r.at != r.end) {
        solo_free(r.solo);
        if (r.nomem)
            return fault_nomem(why);
        return fault_set(why, ST_LIBRARY,
                         "the notes of a solo in the index are damaged; "
                         "run cellar-index --full");
    }
    solo_place_notes(r.solo);
    *out = r.solo;
    return ST_OK;
}
