/* schema/solo_encode.c - a solo into bytes. */
#include <stdlib.h>
#include <string.h>

#include "schema/solo_writer.h"

static void put_facts(struct writer *w, const struct solo *solo)
{
    writer_text(w, solo->title);
    writer_text(w, solo->performer);
    writer_text(w, solo->composer);
    writer_text(w, solo->instrument);
    writer_text(w, solo->work_title);
    writer_text(w, solo->movement_title);
    writer_text(w, solo->metre);
    writer_int(w, solo->fifths);
    writer_uint(w, solo->mode | (unsigned int)solo->has_key << 2 |
                       (unsigned int)solo->has_metre << 3 |
                       (unsigned int)solo->has_transpose << 4);
    writer_int(w, solo->transpose);
    writer_int(w, solo->transpose_steps);
    writer_int(w, solo->tempo);
    writer_uint(w, solo->rests);
    writer_uint(w, solo->graces);
    writer_int(w, solo->ticks);
}

/* --- bars ----------------------------------------------------------------- */

/* What of BAR is not as in BEFORE, whose number is NUMBER: enum codec_bar. */
static unsigned int bar_flags(const struct bar *bar, const struct bar *before,
                              int32_t number)
{
    bool next = number >= 0 && codec_number(bar->number) == number + 1;
    bool same_key = bar->fifths == before->fifths && bar->mode == before->mode;
    bool same_length =
        bar->length == before->length && bar->nominal == before->nominal;

    return (next ? 0u : BAR_NUMBER) | (same_length ? 0u : BAR_LENGTH) |
           (same_key ? 0u : BAR_KEY) | (bar->barlines ? BAR_BARLINES : 0u) |
           (strcmp(bar->metre, before->metre) == 0 ? 0u : BAR_METRE) |
           (bar->rehearsal ? BAR_REHEARSAL : 0u) |
           (bar->implicit ? BAR_IMPLICIT : 0u);
}

static void put_bar(struct writer *w, const struct bar *bar, unsigned int flags)
{
    writer_byte(w, BAR_MORE | flags);
    if (flags & BAR_NUMBER)
        writer_text(w, bar->number);
    if (flags & BAR_LENGTH) {
        writer_int(w, bar->length);
        writer_int(w, bar->nominal);
    }
    if (flags & BAR_KEY) {
        writer_int(w, bar->fifths);
        writer_uint(w, bar->mode);
    }
    if (flags & BAR_BARLINES)
        writer_uint(w, bar->barlines);
    if (flags & BAR_METRE)
        writer_text(w, bar->metre);
    if (flags & BAR_REHEARSAL)
        writer_text(w, bar->rehearsal);
}

static void put_bars(struct writer *w, const struct solo *solo)
{
    const struct bar first = codec_bar_start(solo), *before = &first;
    int32_t number = codec_number(first.number);
    unsigned int run = 0; /* usual bars that are still to be said */

    writer_uint(w, solo->bar_count);
    for (size_t i = 0; i < solo->bar_count; i++) {
        const struct bar *bar = &solo->bars[i];
        unsigned int flags = bar_flags(bar, before, number);

        if (run > 0 && (flags || run == BAR_RUN)) {
            writer_byte(w, run);
            run = 0;
        }
        if (flags)
            put_bar(w, bar, flags);
        else
            run++;
        number = codec_number(bar->number);
        before = bar;
    }
    if (run > 0)
        writer_byte(w, run);
}

/* --- the rest ------------------------------------------------------------- */

/* Plays are runs of written neighbours: first bar, length. */
static void put_plays(struct writer *w, const struct solo *solo)
{
    size_t i = 0;

    writer_uint(w, solo->play_count);
    while (i < solo->play_count) {
        size_t run = 1;

        while (i + run < solo->play_count &&
               solo->plays[i + run] == solo->plays[i] + (int32_t)run)
            run++;
        writer_uint(w, (uint64_t)solo->plays[i]);
        writer_uint(w, run);
        i += run;
    }
}

/* The plan tells the whole form. */
static void put_form(struct writer *w, const struct solo *solo)
{
    const struct form_plan *plan = &solo->form.plan;

    writer_int(w, plan->length);
    if (plan->length == 0)
        return;
    writer_int(w, plan->first_play);
    writer_int(w, plan->tail);
    writer_int(w, plan->confidence);
    writer_uint(w, (unsigned int)plan->source);
    writer_uint(w, plan->part_count);
    for (size_t i = 0; i < plan->part_count; i++) {
        writer_text(w, plan->parts[i].letter);
        writer_int(w, plan->parts[i].bars);
    }
}

static void put_rest(struct writer *w, const struct solo *solo)
{
    int32_t bar = 0;

    writer_uint(w, solo->remark_count);
    for (size_t i = 0; i < solo->remark_count; i++) {
        writer_int(w, solo->remarks[i].bar - bar);
        writer_int(w, solo->remarks[i].onset);
        writer_text(w, solo->remarks[i].text);
        bar = solo->remarks[i].bar;
    }
    put_plays(w, solo);
    put_form(w, solo);
    writer_uint(w, solo->warning_count);
    for (size_t i = 0; i < solo->warning_count; i++) {
        writer_text(w, solo->warnings[i].part);
        writer_text(w, solo->warnings[i].bar);
        writer_text(w, solo->warnings[i].element);
        writer_text(w, solo->warnings[i].message);
    }
}

enum status solo_encode(const struct solo *solo, unsigned char **out,
                        size_t *size, struct fault *why)
{
    struct writer w = { .new_texts = 0 };

    w.new_texts = codec_texts_start(w.texts);
    writer_byte(&w, CODEC_VERSION);
    put_facts(&w, solo);
    put_bars(&w, solo);
    solo_encode_chords(&w, solo);
    solo_encode_notes(&w, solo);
    put_rest(&w, solo);
    for (int i = 0; i < SUM_SIZE; i++)
        writer_byte(&w, 0);
    if (w.failed) {
        free(w.bytes);
        *out = NULL;
        return fault_nomem(why);
    }
    codec_seal(w.bytes, w.size);
    *out = w.bytes;
    *size = w.size;
    return ST_OK;
}
