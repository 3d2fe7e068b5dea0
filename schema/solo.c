/* schema/solo.c - memory of a solo, and where its notes stand. */
#include "schema/solo.h"

#include <stdlib.h>
#include <string.h>

/* Memory is handed out from blocks and freed all at once. */
struct arena_block {
    struct arena_block *next;
    size_t used, size;
    max_align_t data[];
};

struct solo_arena {
    struct arena_block *blocks;
};

enum { ARENA_BLOCK = 16 * 1024 };

struct solo *solo_new(void)
{
    struct solo *solo = calloc(1, sizeof *solo);

    if (!solo)
        return NULL;
    solo->arena = calloc(1, sizeof *solo->arena);
    if (!solo->arena) {
        free(solo);
        return NULL;
    }
    solo->title = solo->performer = solo->composer = solo->instrument = "";
    solo->work_title = solo->movement_title = "";
    solo->metre = "";
    solo->ticks = 1;
    return solo;
}

void solo_free(struct solo *solo)
{
    struct arena_block *block, *next;

    if (!solo)
        return;
    for (block = solo->arena->blocks; block; block = next) {
        next = block->next;
        free(block);
    }
    free(solo->arena);
    free(solo);
}

/* A block with room for SIZE bytes.  One that this takes up stands behind the
 * first, so that what is left there is not lost. */
static struct arena_block *arena_grow(struct solo_arena *arena, size_t size)
{
    size_t room = size > ARENA_BLOCK ? size : ARENA_BLOCK;
    struct arena_block *block;

    if (room > SIZE_MAX - sizeof *block)
        return NULL;
    block = malloc(sizeof *block + room);
    if (!block)
        return NULL;
    block->used = 0;
    block->size = room;
    if (size > ARENA_BLOCK && arena->blocks) {
        block->next = arena->blocks->next;
        arena->blocks->next = block;
    } else {
        block->next = arena->blocks;
        arena->blocks = block;
    }
    return block;
}

/* SIZE bytes at a multiple of UNIT bytes, which is a power of two and no more
 * than a block is aligned to. */
static void *arena_take(struct solo_arena *arena, size_t size, size_t unit)
{
    struct arena_block *block = arena->blocks;
    size_t at = block ? (block->used + unit - 1) & ~(unit - 1) : 0;

    if (!block || at > block->size || block->size - at < size) {
        block = arena_grow(arena, size);
        at = 0;
    }
    if (!block)
        return NULL;
    block->used = at + size;
    return (unsigned char *)block->data + at;
}

void *solo_room(struct solo *solo, size_t size)
{
    return arena_take(solo->arena, size, _Alignof(max_align_t));
}

void *solo_alloc(struct solo *solo, size_t size)
{
    void *bytes = solo_room(solo, size);

    return bytes ? memset(bytes, 0, size) : NULL;
}

const char *solo_copy(struct solo *solo, const char *text, size_t len)
{
    char *copy = arena_take(solo->arena, len + 1, 1);

    if (!copy)
        return NULL;
    if (len > 0)
        memcpy(copy, text, len);
    copy[len] = '\0';
    return copy;
}

static bool chord_sounds(const struct solo *solo, int32_t index)
{
    return index != SOLO_NO_CHORD &&
           solo->chords[index].chord.class != CHORD_NONE;
}

/* Does the symbol INDEX differ from the one before it? */
static bool chord_changes(const struct solo *solo, size_t index)
{
    return index == 0 || !chord_equal(&solo->chords[index - 1].chord,
                                      &solo->chords[index].chord);
}

/* The last chord change that NOTE anticipates; NEXT is the first symbol
 * after its onset. */
static int32_t anticipated(const struct solo *solo, const struct note *note,
                           size_t next)
{
    int32_t heard = note->chord;

    for (size_t i = next; i < solo->chord_count; i++) {
        int64_t ahead = solo->chords[i].start - note->start;

        if (ahead > solo->ticks / 2 || note->duration <= ahead)
            break;
        if (chord_changes(solo, i) && chord_sounds(solo, (int32_t)i))
            heard = (int32_t)i;
    }
    return heard;
}

/* When the symbol INDEX starts; later than any note behind the last one. */
static int64_t chord_start(const struct solo *solo, size_t index)
{
    return index < solo->chord_count ? solo->chords[index].start : INT64_MAX;
}

void solo_place_notes(struct solo *solo)
{
    int64_t half = solo->ticks / 2, start = chord_start(solo, 0);
    size_t next = 0;

    for (size_t i = 0; i < solo->note_count; i++) {
        struct note *note = &solo->notes[i];

        while (start <= note->start)
            start = chord_start(solo, ++next);
        note->chord = (int32_t)next - 1; /* SOLO_NO_CHORD before the first */
        /* Few notes are near a change. */
        note->heard = start - half > note->start
                          ? note->chord
                          : anticipated(solo, note, next);
    }
}

void solo_concert_key(const struct solo *solo, int *fifths, int *mode)
{
    /* An interval of c semitones and d steps is 7c - 12d fifths: a fifth up
     * is 7 * 7 - 12 * 4 = 1. */
    int moved = solo->fifths + 7 * solo->transpose -
                12 * solo->transpose_steps;

    *mode = solo->mode;
    if (moved < -7 || moved > 7)
        moved = pitch_modulo(moved + 5, 12) - 5;
    *fifths = moved;
}

char *solo_key_text(char out[KEY_TEXT_SIZE], int fifths, int mode)
{
    /* The line of fifths from Fb to B#: major tonics start at Cb (-7). */
    static const char *const line[] = {
        "Cb", "Gb", "Db", "Ab", "Eb", "Bb", "F",  "C",  "G",
        "D",  "A",  "E",  "B",  "F#", "C#", "G#", "D#", "A#",
    };
    int at = fifths + 7 + (mode == MODE_MINOR ? 3 : 0);

    if (at < 0 || at >= (int)(sizeof line / sizeof *line)) {
        out[0] = '\0';
        return out;
    }
    strcpy(out, line[at]);
    return strcat(out, mode == MODE_MINOR ? " minor" : " major");
}

int solo_times_played(const struct solo *solo, int first, int last)
{
    int count = 0;
    size_t span = last > first ? (size_t)(last - first) : 0;

    for (size_t i = 0; i + span < solo->play_count; i++) {
        size_t k = 0;

        while (k <= span && solo->plays[i + k] == first + (int)k)
            k++;
        count += k > span;
    }
    return count;
}

static void digest_add(uint64_t *digest, int64_t value)
{
    for (int i = 0; i < 8; i++) {
        *digest ^= (uint64_t)value >> (8 * i) & 0xff;
        *digest *= UINT64_C(0x100000001b3);
    }
}

int64_t solo_harmony_digest(const struct solo *solo)
{
    uint64_t digest = UINT64_C(0xcbf29ce484222325);

    for (size_t i = 0; i < solo->chord_count; i++) {
        const struct chord_event *event = &solo->chords[i];
        struct rational onset = solo_quarters(solo, event->takes_effect);

        /* Bars are counted from the chord before, so that a bar put in front
         * changes nothing. */
        digest_add(&digest, i ? event->bar - event[-1].bar : 0);
        digest_add(&digest, onset.num);
        digest_add(&digest, onset.den);
        digest_add(&digest, event->chord.root_pc);
        digest_add(&digest, event->chord.class);
        digest_add(&digest, event->chord.tones);
    }
    return (int64_t)digest;
}

bool solo_starts_phrase(const struct solo *solo, size_t index)
{
    int32_t phrase = solo->notes[index].phrase;

    return phrase > 0 &&
           (index == 0 || solo->notes[index - 1].phrase != phrase);
}

bool solo_ends_phrase(const struct solo *solo, size_t index)
{
    int32_t phrase = solo->notes[index].phrase;

    return phrase > 0 && (index + 1 == solo->note_count ||
                          solo->notes[index + 1].phrase != phrase);
}

struct rational solo_quarters(const struct solo *solo, int64_t ticks)
{
    return rational_make(ticks, solo->ticks);
}

/* --- the bar's own beats --------------------------------------------- */

struct metre {
    int64_t beat; /* ticks */
    int64_t beats;
};

/* The two numbers of a metre; of "4/4", which almost all are, this is asked
 * for every note. */
static void metre_numbers(const char *text, long *sum, long *unit)
{
    char *end = NULL;

    if (text[0] >= '0' && text[0] <= '9' && text[1] == '/' &&
        text[2] >= '0' && text[2] <= '9' && text[3] == '\0') {
        *sum = text[0] - '0';
        *unit = text[2] - '0';
        return;
    }
    *sum = 0;
    do {
        *sum += strtol(end ? end + 1 : text, &end, 10);
    } while (*end == '+');
    *unit = *end == '/' ? strtol(end + 1, NULL, 10) : 0;
}

/* The beats of METRE ("4/4", "3+2/8"): compound metres count in threes. */
static struct metre metre_read(const struct solo *solo, const char *text)
{
    struct metre m = { solo->ticks, 0 };
    long sum, unit;

    metre_numbers(text, &sum, &unit);
    if (sum <= 0 || unit <= 0 || unit > 1024 || sum > 1024)
        return m;
    if (unit >= 8 && sum % 3 == 0 && sum > 3 && !strchr(text, '+')) {
        m.beat = 4 * solo->ticks * 3 / unit;
        m.beats = sum / 3;
    } else {
        m.beat = 4 * solo->ticks / unit;
        m.beats = sum;
    }
    if (m.beat <= 0)
        m.beat = solo->ticks;
    return m;
}

void solo_metre(const struct solo *solo, int32_t bar, int64_t *beat,
                int64_t *beats)
{
    struct metre m = metre_read(solo, solo->bars[bar].metre);

    *beat = m.beat;
    *beats = m.beats;
}

int solo_onset_strength(const struct solo *solo, const struct note *note)
{
    struct metre m;

    if (note->onset == 0)
        return 4;
    m = metre_read(solo, solo->bars[note->bar].metre);
    if (m.beats > 0 && m.beats % 2 == 0 &&
        note->onset == m.beat * (m.beats / 2))
        return 3;
    if (note->onset % m.beat == 0)
        return 2;
    return note->onset * 2 % m.beat == 0 ? 1 : 0;
}

int64_t solo_counted_onset(const struct solo *solo, const struct note *note)
{
    const struct bar *bar = &solo->bars[note->bar];
    int64_t onset = note->onset;

    /* A pickup is counted as the end of the bar it belongs to. */
    if (bar->implicit && bar->length < bar->nominal)
        onset += bar->nominal - bar->length;
    return onset;
}

struct rational solo_beat(const struct solo *solo, const struct note *note)
{
    struct metre m = metre_read(solo, solo->bars[note->bar].metre);

    return rational_add(rational_make(solo_counted_onset(solo, note), m.beat),
                        rational_make(1, 1));
}

/* --- the chord of a window ------------------------------------------- */

/* How many of the N notes from FIRST, up to the first that is not, are heard
 * under the symbol of the first. */
static size_t same_symbol(const struct solo *solo, size_t first, size_t n)
{
    size_t count = 0;

    while (count < n &&
           solo->notes[first + count].heard == solo->notes[first].heard)
        count++;
    return count;
}

/* How many of the N notes from FIRST are heard under the chord MINE, which
 * sounds. */
static size_t count_votes(const struct solo *solo, size_t first, size_t n,
                          int32_t mine)
{
    int32_t other = mine;
    bool equal = true;
    size_t votes = 0;

    for (size_t i = first; i < first + n; i++) {
        if (solo->notes[i].heard != other) {
            other = solo->notes[i].heard;
            equal = other == mine ||
                    (chord_sounds(solo, other) &&
                     chord_equal(&solo->chords[mine].chord,
                                 &solo->chords[other].chord));
        }
        votes += equal;
    }
    return votes;
}

/* What the first of the N notes from FIRST that have the strongest onset is
 * heard under. */
static int32_t heard_strongest(const struct solo *solo, size_t first, size_t n)
{
    int32_t best = SOLO_NO_CHORD;
    int best_strength = -1;

    for (size_t i = first; i < first + n; i++) {
        int strength = solo_onset_strength(solo, &solo->notes[i]);

        if (strength > best_strength) {
            best = solo->notes[i].heard;
            best_strength = strength;
        }
    }
    return best;
}

/* The chord of the N notes from FIRST, the first BEFORE of which are heard
 * under one symbol and the others under another, as in most windows in which
 * the chord changes. */
static int32_t chord_of_two(const struct solo *solo, size_t first, size_t n,
                            size_t before)
{
    int32_t a = solo->notes[first].heard, b = solo->notes[first + n - 1].heard;

    if (!chord_sounds(solo, a) || !chord_sounds(solo, b))
        return chord_sounds(solo, a) ? a
               : chord_sounds(solo, b) ? b
                                       : SOLO_NO_CHORD;
    if (2 * before == n ||
        chord_equal(&solo->chords[a].chord, &solo->chords[b].chord))
        return heard_strongest(solo, first, n);
    return 2 * before > n ? a : b;
}

/* The symbols with the most votes, MOST: of the first of the notes that have
 * the strongest onset. */
static int32_t break_tie(const struct solo *solo, size_t first, size_t n,
                         size_t most)
{
    int32_t best = SOLO_NO_CHORD;
    int best_strength = -1;

    for (size_t i = first; i < first + n; i++) {
        int32_t mine = solo->notes[i].heard;
        int strength;

        if (!chord_sounds(solo, mine) ||
            count_votes(solo, first, n, mine) != most)
            continue;
        strength = solo_onset_strength(solo, &solo->notes[i]);
        if (strength > best_strength) {
            best = mine;
            best_strength = strength;
        }
    }
    return best;
}

static int32_t most_voted(const struct solo *solo, size_t first, size_t n)
{
    int32_t best = SOLO_NO_CHORD, before = SOLO_NO_CHORD;
    size_t most = 0;
    bool tied = false;

    for (size_t i = first; i < first + n; i++) {
        int32_t mine = solo->notes[i].heard;
        size_t votes;

        if (mine == before || !chord_sounds(solo, mine))
            continue;
        before = mine;
        votes = count_votes(solo, first, n, mine);
        if (votes > most) {
            best = mine;
            most = votes;
            tied = false;
        } else if (votes == most && mine != best) {
            tied = true;
        }
    }
    return tied ? break_tie(solo, first, n, most) : best;
}

int32_t solo_window_chord(const struct solo *solo, size_t first, size_t n)
{
    return solo_window_chord_after(solo, first, n,
                                   same_symbol(solo, first, n));
}

size_t solo_same_symbol(const struct solo *solo, size_t first)
{
    return same_symbol(solo, first, solo->note_count - first);
}

int32_t solo_window_chord_after(const struct solo *solo, size_t first,
                                size_t n, size_t same)
{
    if (n == 0)
        return SOLO_NO_CHORD;
    if (same >= n)
        return chord_sounds(solo, solo->notes[first].heard)
                   ? solo->notes[first].heard
                   : SOLO_NO_CHORD;
    if (same + same_symbol(solo, first + same, n - same) == n)
        return chord_of_two(solo, first, n, same);
    return most_voted(solo, first, n);
}
