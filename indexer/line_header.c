/* indexer/line_header.c - bars, words, names and facts of the melody part. */
#include <ctype.h>
#include <stdlib.h>
#include <string.h>

#include "indexer/line.h"

/* Beginnings of words that name an instrument or a staff, not a person. */
static bool is_instrument_word(const char *word, size_t len)
{
    static const char *const stems[] = {
        "accord",  "alto",   "banjo",  "barit",  "bass",    "brass",
        "cello",   "choir",  "clar",   "cornet", "drum",    "flugel",
        "flute",   "guitar", "harm",   "harp",   "horn",    "instr",
        "keyb",    "klav",   "lead",   "mandol", "marimba", "melod",
        "music",   "oboe",   "organ",  "part",   "percus",  "pian",
        "record",  "sax",    "score",  "solo",   "sopr",    "staff",
        "string",  "synth",  "tenor",  "tromb",  "trump",   "tuba",
        "ukulele", "vib",    "viol",   "voc",    "voice",   "whistle",
        "wind",    "wood",   "xylo",
    };

    for (size_t i = 0; i < sizeof stems / sizeof *stems; i++)
        if (len >= strlen(stems[i]) &&
            strncasecmp(word, stems[i], strlen(stems[i])) == 0)
            return true;
    return false;
}

/* Two words or more, each begun by a capital, and none an instrument: a part
 * that is named after who plays it. */
static bool is_person(const char *name)
{
    static const char gaps[] = " .,-()/";
    int words = 0;

    while (*(name += strspn(name, gaps))) {
        size_t len = strcspn(name, gaps);

        if (is_instrument_word(name, len) || islower((unsigned char)*name) ||
            isdigit((unsigned char)*name))
            return false;
        words++;
        name += len;
    }
    return words >= 2;
}

static void read_names(struct line *line)
{
    const struct raw_part *part = line->melody;
    struct solo *solo = line->score->solo;

    if (*solo->performer == '\0' && is_person(part->name)) {
        solo->performer = part->name;
        solo->instrument = part->instrument;
    } else {
        solo->instrument = *part->name ? part->name : part->instrument;
    }
}

/* What is in force while the bars are gone through. */
struct in_force {
    const char *metre;
    int8_t fifths;
    uint8_t mode;
};

static void read_key(struct solo *solo, struct in_force *now,
                     const struct raw_event *event)
{
    if (event->staff > 1 || !event->key.traditional)
        return;
    now->fifths = (int8_t)event->key.fifths;
    now->mode = event->key.mode;
    if (solo->has_key)
        return;
    solo->has_key = true;
    solo->fifths = now->fifths;
    solo->mode = now->mode;
}

static void read_time(struct solo *solo, struct in_force *now,
                      const struct raw_event *event)
{
    if (event->staff > 1)
        return;
    now->metre = event->metre;
    if (solo->has_metre)
        return;
    solo->has_metre = true;
    solo->metre = now->metre;
}

static void read_transpose(struct solo *solo, const struct raw_event *event)
{
    if (solo->has_transpose || event->staff > 1)
        return;
    solo->has_transpose = true;
    solo->transpose = (int16_t)(event->transpose.chromatic.num /
                                event->transpose.chromatic.den);
    solo->transpose_steps = (int16_t)event->transpose.diatonic;
}

static void read_event(struct line *line, struct bar *bar,
                       struct in_force *now, const struct raw_event *event)
{
    struct solo *solo = line->score->solo;

    switch (event->kind) {
    case RAW_KEY:
        read_key(solo, now, event);
        break;
    case RAW_TIME:
        read_time(solo, now, event);
        break;
    case RAW_TRANSPOSE:
        read_transpose(solo, event);
        break;
    case RAW_TEMPO:
        if (solo->tempo == 0)
            solo->tempo = event->tempo;
        break;
    case RAW_BARLINE:
        bar->barlines |= (uint16_t)event->barline.flags;
        break;
    default:
        break;
    }
}

static void read_bars(struct line *line)
{
    const struct raw_part *part = line->melody;
    struct solo *solo = line->score->solo;
    struct in_force now = { "", 0, MODE_UNKNOWN };

    for (size_t i = 0; i < solo->bar_count; i++) {
        struct bar *bar = &solo->bars[i];
        const struct raw_part *from =
            i < part->bar_count ? part : line->harmony;

        for (size_t k = 0; from == part && k < part->bars[i].count; k++)
            read_event(line, bar, &now,
                       &part->events[part->bars[i].first + k]);
        bar->number = from->bars[i].number;
        bar->implicit = from->bars[i].implicit;
        bar->metre = now.metre;
        bar->fifths = now.fifths;
        bar->mode = now.mode;
    }
}

/* --- words ------------------------------------------------------------ */

static void add_remark(struct line *line, size_t *room, size_t bar,
                       struct step step, struct cursor *c,
                       const struct raw_event *event)
{
    struct solo *solo = line->score->solo;
    struct rational at = rational_add(
        step.onset, cursor_quarters(c, event->words.offset));
    struct rational ticks =
        rational_mul(at, rational_make(solo->ticks, 1));
    struct remark *remark;

    if (solo->remark_count == *room)
        return;
    remark = &solo->remarks[solo->remark_count++];
    remark->bar = (int32_t)bar;
    remark->onset = ticks.num / ticks.den;
    remark->text = event->words.text;
    if (event->words.rehearsal && !solo->bars[bar].rehearsal)
        solo->bars[bar].rehearsal = event->words.text;
}

static void read_words_of(struct line *line, const struct raw_part *part,
                          size_t *room)
{
    struct cursor c;

    cursor_start(&c, line->score, part, true);
    for (size_t bar = 0;
         bar < part->bar_count && bar < line->score->solo->bar_count; bar++) {
        cursor_start_bar(&c, bar, RAW_WORDS);
        for (size_t i = 0; i < part->bars[bar].count; i++) {
            const struct raw_event *event =
                &part->events[part->bars[bar].first + i];
            struct step step = cursor_pass(&c, event);

            if (event->kind == RAW_WORDS)
                add_remark(line, room, bar, step, &c, event);
        }
    }
}

static size_t count_words(const struct raw_part *part)
{
    size_t count = 0;

    for (size_t i = 0; i < part->event_count; i++)
        count += part->events[i].kind == RAW_WORDS;
    return count;
}

/* Rehearsal marks and directions often stand in the first part only. */
static void read_words(struct line *line)
{
    const struct raw_part *first = &line->score->parts[0];
    struct solo *solo = line->score->solo;
    size_t room = count_words(line->melody);

    if (first != line->melody)
        room += count_words(first);
    solo->remarks = solo_alloc(solo, (room + 1) * sizeof *solo->remarks);
    if (!solo->remarks) {
        line->score->nomem = true;
        return;
    }
    /* Most scores say nothing; then there is no need to know where. */
    if (room == 0)
        return;
    read_words_of(line, line->melody, &room);
    if (first != line->melody)
        read_words_of(line, first, &room);
}

void line_read_header(struct line *line)
{
    read_names(line);
    read_bars(line);
    read_words(line);
}
