/* schema/solo_decode.c - bytes back into a solo. */
#include <stdlib.h>
#include <string.h>

#include "schema/solo_reader.h"

static void get_facts(struct reader *r)
{
    struct solo *solo = r->solo;
    uint64_t flags;

    solo->title = reader_text(r);
    solo->performer = reader_text(r);
    solo->composer = reader_text(r);
    solo->instrument = reader_text(r);
    solo->work_title = reader_text(r);
    solo->movement_title = reader_text(r);
    solo->metre = reader_text(r);
    solo->fifths = (int8_t)reader_within(r, INT8_MIN, INT8_MAX);
    flags = reader_below(r, 32);
    solo->mode = flags & 3;
    solo->has_key = flags >> 2 & 1;
    solo->has_metre = flags >> 3 & 1;
    solo->has_transpose = flags >> 4 & 1;
    solo->transpose = (int16_t)reader_within(r, INT16_MIN, INT16_MAX);
    solo->transpose_steps = (int16_t)reader_within(r, INT16_MIN, INT16_MAX);
    solo->tempo = (int32_t)reader_within(r, 0, INT32_MAX);
    solo->rests = (uint32_t)reader_below(r, (uint64_t)UINT32_MAX + 1);
    solo->graces = (uint32_t)reader_below(r, (uint64_t)UINT32_MAX + 1);
    solo->ticks = reader_within(r, 1, INT32_MAX);
}

/* --- bars ----------------------------------------------------------------- */

/* What the next bar is like where nothing else is said. */
struct bar_reader {
    struct bar usual;
    int32_t number; /* of the bar before, or -1 */
    char *room;     /* for the texts of numbers, which fill it from its end */
    size_t left;    /* bytes of it */
};

enum {
    NUMBER_SIZE = 10, /* of CODEC_NUMBER_MAX as text */
    NUMBERS_ROOM = 256
};

/* The text of the number after that of the bar before. */
static const char *get_next_number(struct reader *r, struct bar_reader *bars)
{
    if (bars->number < 0 || bars->number == CODEC_NUMBER_MAX) {
        r->damaged = true;
        return "";
    }
    if (bars->left < NUMBER_SIZE) {
        bars->room = solo_room(r->solo, NUMBERS_ROOM);
        if (!bars->room) {
            r->nomem = r->damaged = true;
            return "";
        }
        bars->left = NUMBERS_ROOM;
    }
    bars->room[--bars->left] = '\0';
    for (int32_t value = ++bars->number; value > 0; value /= 10)
        bars->room[--bars->left] = (char)('0' + value % 10);
    return bars->room + bars->left;
}

/* A bar with what FLAGS say to be different; enum codec_bar. */
static struct bar get_bar(struct reader *r, struct bar_reader *bars,
                          unsigned int flags)
{
    struct bar *usual = &bars->usual, bar;
    unsigned int barlines;

    if (flags & BAR_NUMBER) {
        usual->number = reader_text(r);
        bars->number = codec_number(usual->number);
    } else {
        usual->number = get_next_number(r, bars);
    }
    if (flags & BAR_LENGTH) {
        usual->length = reader_within(r, 0, time_max);
        usual->nominal = reader_within(r, 0, time_max);
    }
    if (flags & BAR_KEY) {
        usual->fifths = (int8_t)reader_within(r, INT8_MIN, INT8_MAX);
        usual->mode = (uint8_t)reader_below(r, MODE_OTHER + 1);
    }
    barlines = flags & BAR_BARLINES
                   ? (unsigned int)reader_below(r, UINT16_MAX + 1)
                   : 0;
    if (flags & BAR_METRE)
        usual->metre = reader_text(r);
    bar = *usual;
    bar.barlines = (uint16_t)barlines;
    bar.rehearsal = flags & BAR_REHEARSAL ? reader_text(r) : NULL;
    bar.implicit = flags & BAR_IMPLICIT;
    return bar;
}

static void get_bars(struct reader *r)
{
    struct solo *solo = r->solo;
    struct bar_reader bars = { .usual = codec_bar_start(solo) };
    size_t count =
        (size_t)reader_below(r, (uint64_t)(r->end - r->at) * BAR_RUN + 1);
    unsigned int flags = 0, run = 0;
    int64_t start = 0;

    bars.number = codec_number(bars.usual.number);
    solo->bars = reader_array(r, &solo->bar_count, count, sizeof *solo->bars);
    for (size_t i = 0; i < solo->bar_count && !r->damaged; i++) {
        if (run == 0) {
            run = reader_byte(r);
            flags = run & BAR_MORE ? run - BAR_MORE : 0;
            run = run & BAR_MORE ? 1 : run;
            if (run == 0 || run > BAR_RUN || run > solo->bar_count - i) {
                r->damaged = true;
                break;
            }
        }
        run--;
        solo->bars[i] = get_bar(r, &bars, flags);
        solo->bars[i].start = start;
        start += solo->bars[i].length;
        if (start > time_max)
            r->damaged = true;
    }
}

/* --- the rest ------------------------------------------------------------- */

static void get_plays(struct reader *r)
{
    struct solo *solo = r->solo;
    uint64_t most = (uint64_t)1 << 20;

    solo->play_count = (size_t)reader_below(r, most);
    solo->plays = solo_room(solo, (solo->play_count + 1) * sizeof *solo->plays);
    if (!solo->plays) {
        r->nomem = true;
        return;
    }
    for (size_t i = 0; i < solo->play_count && !r->damaged;) {
        uint64_t first = reader_below(r, solo->bar_count);
        uint64_t run = reader_below(r, solo->bar_count - first + 1);

        if (run == 0 || run > solo->play_count - i)
            r->damaged = true;
        for (uint64_t k = 0; k < run && !r->damaged; k++)
            solo->plays[i++] = (int32_t)(first + k);
    }
}

static void get_form(struct reader *r)
{
    struct form_part parts[FORM_PARTS_MAX];
    struct form_plan plan = { .length = (int32_t)reader_within(r, 0, INT32_MAX),
                              .parts = parts };
    enum status st;

    if (plan.length == 0 || r->damaged)
        return;
    plan.first_play = (int32_t)reader_within(r, 0, INT32_MAX);
    plan.tail = (int32_t)reader_within(r, 0, INT32_MAX);
    plan.confidence = (int32_t)reader_within(r, 0, 100);
    plan.source = (int)reader_below(r, FORM_USER + 1);
    plan.part_count = (size_t)reader_below(r, FORM_PARTS_MAX + 1);
    for (size_t i = 0; i < plan.part_count; i++) {
        const char *letter = reader_text(r);

        if (strlen(letter) >= FORM_LETTER_SIZE) {
            r->damaged = true;
            return;
        }
        strcpy(parts[i].letter, letter);
        parts[i].bars = (int32_t)reader_within(r, 1, INT32_MAX);
    }
    if (r->damaged)
        return;
    st = form_lay_out(r->solo, &plan, NULL);
    r->nomem |= st == ST_NOMEM;
    r->damaged |= st != ST_OK && st != ST_NOMEM;
}

static void get_remarks(struct reader *r)
{
    struct solo *solo = r->solo;
    size_t count = reader_count(r);
    int32_t bar = 0;

    solo->remarks =
        reader_array(r, &solo->remark_count, count, sizeof *solo->remarks);
    for (size_t i = 0; i < solo->remark_count && !r->damaged; i++) {
        int64_t step = reader_within(r, -INT32_MAX, INT32_MAX);

        bar = reader_bar_step(r, bar, step);
        solo->remarks[i].bar = bar;
        solo->remarks[i].onset = reader_within(r, -time_max, time_max);
        solo->remarks[i].text = reader_text(r);
    }
}

static void get_warnings(struct reader *r)
{
    struct solo *solo = r->solo;
    size_t count = reader_count(r);

    solo->warnings =
        reader_array(r, &solo->warning_count, count, sizeof *solo->warnings);
    for (size_t i = 0; i < solo->warning_count && !r->damaged; i++) {
        solo->warnings[i].part = reader_text(r);
        solo->warnings[i].bar = reader_text(r);
        solo->warnings[i].element = reader_text(r);
        solo->warnings[i].message = reader_text(r);
    }
}

static void get_rest(struct reader *r)
{
    get_remarks(r);
    get_plays(r);
    if (!r->damaged && !r->nomem)
        get_form(r);
    get_warnings(r);
}

/* Do the SIZE bytes end with the sum of those before? */
static bool is_whole(const unsigned char *bytes, size_t size)
{
    uint32_t sum;

    if (size < SUM_SIZE)
        return false;
    sum = codec_sum(bytes, size - SUM_SIZE);
    for (int i = 0; i < SUM_SIZE; i++)
        if (bytes[size - SUM_SIZE + (size_t)i] != (sum >> (8 * i) & 0xff))
            return false;
    return true;
}

enum status solo_decode(struct solo **out, const unsigned char *bytes,
                        size_t size, struct fault *why)
{
    struct reader r = { .at = bytes, .end = bytes, .solo = solo_new() };

    *out = NULL;
    if (!r.solo)
        return fault_nomem(why);
    r.new_texts = codec_texts_start(r.texts);
    if (is_whole(bytes, size))
        r.end = bytes + (size - SUM_SIZE);
    if (reader_byte(&r) != CODEC_VERSION)
        r.damaged = true;
    if (!r.damaged)
        get_facts(&r);
    if (!r.damaged)
        get_bars(&r);
    if (!r.damaged)
        solo_decode_chords(&r);
    if (!r.damaged)
        solo_decode_notes(&r);
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
