/* check_solo_codec.c - solos into bytes and back. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "indexer/form.h"
#include "indexer/phrase.h"
#include "schema/harmony.h"
#include "schema/solo_codec.h"
#include "tests/unit/score_text.h"
#include "tests/unit/suites.h"

/* --- solos from scores --------------------------------------------------- */

static unsigned int seed = 1;

static int roll(int n)
{
    seed = seed * 1103515245u + 12345u;
    return (int)((seed >> 16) % (unsigned int)n);
}

/* A random form, where one fits. */
static void give_form(struct solo *solo)
{
    struct form_part parts[3] = { { "A", 1 + roll(9) }, { "B", 1 + roll(9) },
                                  { "Tag", 1 + roll(9) } };
    struct form_plan plan = { .length = roll(9), .first_play = roll(3),
                              .tail = roll(3), .confidence = roll(101),
                              .source = FORM_HARMONY + roll(3),
                              .parts = parts, .part_count = (size_t)roll(4) };

    ck_assert(form_lay_out(solo, &plan, NULL) != ST_NOMEM);
}

/* A score of random notes, ties, rests, chords, metres and words. */
static struct solo *random_solo(void)
{
    static const char *const kinds[] = { "dominant", "minor-seventh", "none",
                                         "strange", "major-seventh" };
    static char xml[60000];
    size_t used = 0;
    int bars = roll(12);

    xml[0] = '\0';
    for (int bar = 0; bar < bars; bar++) {
        used += (size_t)snprintf(
            xml + used, sizeof xml - used,
            "<measure number=\"%d\"%s><attributes><divisions>%d</divisions>"
            "<key><fifths>%d</fifths></key><transpose><chromatic>%d"
            "</chromatic></transpose></attributes><direction>"
            "<direction-type><rehearsal>%c</rehearsal></direction-type>"
            "</direction>%s", roll(9), roll(4) ? "" : " implicit=\"yes\"",
            1 + roll(12), roll(15) - 7, roll(25) - 12, 'A' + roll(4),
            roll(3) ? "" : "<barline><repeat direction=\"backward\"/>"
                           "</barline>");
        for (int i = roll(9); i > 0; i--)
            used += (size_t)snprintf(
                xml + used, sizeof xml - used,
                "%s<harmony><root><root-step>%c</root-step></root><kind>%s"
                "</kind><offset>%d</offset></harmony><note>%s<pitch>"
                "<step>%c</step><alter>%s</alter><octave>%d</octave></pitch>"
                "<duration>%d</duration>%s</note>",
                roll(3) ? "" : REST(1), 'A' + roll(7), kinds[roll(5)],
                roll(5) - 2, roll(5) ? "" : "<chord/>", 'A' + roll(7),
                roll(9) ? (roll(2) ? "1" : "-1") : "0.5", 3 + roll(3),
                1 + roll(5), roll(3) ? "" : "<tie type=\"start\"/>");
        used += (size_t)snprintf(xml + used, sizeof xml - used, "</measure>");
    }
    return score_measures(xml);
}

/* --- solos of anything --------------------------------------------------- */

static const int64_t far_time = ((int64_t)1 << 61) - 1;

/* Mostly small, at times as far as it goes; not less than LOW. */
static int64_t any_time(int64_t low)
{
    int64_t time = roll(3) ? 6 * roll(4) : roll(60);

    if (roll(40) == 0)
        time = (int64_t)roll(30000) << roll(46);
    if (roll(100) == 0)
        time = far_time;
    return low < 0 && roll(4) == 0 ? -time : time;
}

static const char *any_text(void)
{
    static const char *const texts[] = { "", "A", "ii7", "4/4", "V7/ii", "7",
                                         "m7", "3/4", "12", "012", "Blues" };
    static char many[200][12], longest[3000];

    if (roll(30) == 0) {
        memset(longest, 'x', sizeof longest - 1);
        return longest;
    }
    if (roll(4) == 0) {
        char *text = many[roll(200)];

        snprintf(text, sizeof *many, "t%d", (int)(text - *many));
        return text;
    }
    return texts[roll((int)(sizeof texts / sizeof *texts))];
}

static struct pitch any_pitch(void)
{
    return (struct pitch){
        .step = (int8_t)roll(7),
        .octave = (int8_t)(roll(9) ? roll(9) : roll(256) - 128),
        .alter = (int16_t)(roll(9)   ? 100 * (roll(5) - 2)
                           : roll(9) ? 50 * (roll(9) - 4)
                                     : roll(65536) - 32768),
    };
}

static void any_facts(struct solo *solo)
{
    solo->title = any_text();
    solo->performer = any_text();
    solo->composer = any_text();
    solo->instrument = any_text();
    solo->work_title = any_text();
    solo->movement_title = any_text();
    solo->metre = any_text();
    solo->fifths = (int8_t)(roll(256) - 128);
    solo->mode = (uint8_t)roll(MODE_OTHER + 1);
    solo->has_key = roll(2);
    solo->has_metre = roll(2);
    solo->has_transpose = roll(2);
    solo->transpose = (int16_t)(roll(3) ? 0 : roll(65536) - 32768);
    solo->transpose_steps = (int16_t)(roll(3) ? 0 : roll(65536) - 32768);
    solo->tempo = roll(2) ? 12000 : INT32_MAX;
    solo->rests = roll(2) ? 3 : UINT32_MAX;
    solo->graces = roll(2) ? 3 : UINT32_MAX;
    solo->ticks = roll(9) ? 12 : INT32_MAX;
}

static void any_bars(struct solo *solo)
{
    int64_t start = 0, length = 48;
    int number = roll(3);
    char text[12];

    solo->bar_count = (size_t)(1 + roll(60));
    solo->bars = solo_alloc(solo, solo->bar_count * sizeof *solo->bars);
    for (size_t i = 0; i < solo->bar_count; i++) {
        struct bar *bar = &solo->bars[i];

        if (roll(8) == 0)
            length = any_time(0);
        if (roll(60) == 0)
            number = 999999998; /* two more do not fit nine digits */
        if (length > far_time - start)
            length = 0;
        number += roll(9) ? 1 : roll(4);
        snprintf(text, sizeof text, roll(9) ? "%d" : "%03d", number);
        *bar = (struct bar){
            .start = start,
            .length = length,
            .nominal = roll(9) ? 48 : any_time(0),
            .number = roll(9) ? solo_copy(solo, text, strlen(text))
                              : any_text(),
            .metre = i > 0 && roll(9) ? bar[-1].metre : any_text(),
            .rehearsal = roll(5) ? NULL : any_text(),
            .fifths = (int8_t)(roll(9) ? 2 : roll(256) - 128),
            .mode = (uint8_t)(roll(9) ? 1 : roll(MODE_OTHER + 1)),
            .implicit = roll(5) == 0,
            .barlines = (uint16_t)(roll(5) ? 0 : roll(65536)),
        };
        start += length;
    }
}

static void any_chord(struct chord *chord)
{
    char root[PITCH_TEXT_SIZE];

    chord->root = any_pitch();
    chord->root.octave = (int8_t)(roll(9) ? 0 : 3);
    chord->bass = roll(3) ? chord->root : any_pitch();
    chord->root_pc = (uint8_t)(roll(2) ? roll(12)
                                       : codec_pitch_class(chord->root));
    chord->bass_pc = codec_pitch_class(chord->bass);
    chord->has_root = roll(4) > 0;
    chord->kind = (uint8_t)roll(KIND_FOREIGN + 1);
    chord->class = (uint8_t)roll(CHORD_CLASSES);
    chord->altered = roll(2);
    chord->sus = roll(2);
    chord->tones = (uint16_t)roll(1 << 12);
    chord->tensions = (uint16_t)(roll(2) ? 0 : roll(1 << 12));
    snprintf(chord->symbol, sizeof chord->symbol, "%.20s%.20s",
             roll(3) ? pitch_class_text(root, chord->root) : "", any_text());
}

/* Change one thing of EVENT. */
static void change_chord(struct chord_event *event)
{
    struct chord *chord = &event->chord;
    struct chord other = { .root_pc = 0 };

    any_chord(&other);
    switch (roll(15)) {
    case 0: chord->root = other.root; break;
    case 1: chord->bass = other.bass; break;
    case 2: chord->root_pc = other.root_pc; break;
    case 3: chord->bass_pc = other.bass_pc; break;
    case 4: chord->has_root = !chord->has_root; break;
    case 5: chord->kind = other.kind; break;
    case 6: chord->class = other.class; break;
    case 7: chord->altered = !chord->altered; break;
    case 8: chord->sus = !chord->sus; break;
    case 9: chord->tones ^= 1; break;
    case 10: chord->tensions ^= 1; break;
    case 11: strcpy(chord->symbol, other.symbol); break;
    case 12: event->kind_text = any_text(); break;
    case 13: event->key = (int8_t)roll(HARMONY_KEYS); break;
    default: event->function = any_text(); break;
    }
}

static void any_chords(struct solo *solo)
{
    int32_t bar = 0;

    solo->chord_count = (size_t)roll(150);
    solo->chords = solo_alloc(solo, (solo->chord_count + 1) *
                                        sizeof *solo->chords);
    for (size_t i = 0; i < solo->chord_count; i++) {
        struct chord_event *event = &solo->chords[i];
        bool said = i > 0 && roll(3);

        if (said)
            *event = solo->chords[roll((int)i)];
        else
            any_chord(&event->chord);
        if (said && roll(4) == 0)
            change_chord(event);
        if (bar + 1 < (int32_t)solo->bar_count)
            bar += roll(9) ? roll(2) : roll((int)solo->bar_count - bar);
        event->bar = bar;
        event->onset = roll(2) ? 0 : any_time(-1);
        event->takes_effect = event->onset + (roll(9) ? 0 : any_time(0));
        event->start = solo->bars[bar].start + event->takes_effect;
        if (said)
            continue;
        event->kind_text = roll(2) ? chord_kind_name(event->chord.kind)
                                   : any_text();
        event->key = (int8_t)(roll(HARMONY_KEYS + 1) + HARMONY_NO_KEY);
        event->role = (uint8_t)roll(HARMONY_ROLES);
        event->function = roll(5) ? any_text() : NULL;
    }
}

static void any_notes(struct solo *solo)
{
    int32_t bar = 0, phrase = 0;
    int64_t end = 0;

    solo->note_count = (size_t)roll(300);
    solo->notes = solo_alloc(solo, (solo->note_count + 1) *
                                       sizeof *solo->notes);
    for (size_t i = 0; i < solo->note_count; i++) {
        struct note *note = &solo->notes[i];

        while (bar + 1 < (int32_t)solo->bar_count &&
               (end >= solo->bars[bar + 1].start || roll(30) == 0))
            bar++;
        note->bar = bar;
        note->onset = end - solo->bars[bar].start;
        if (roll(6) == 0 || note->onset > far_time || note->onset < -far_time)
            note->onset = any_time(-1);
        note->start = solo->bars[bar].start + note->onset;
        note->duration = i > 0 && roll(2) ? note[-1].duration : any_time(0);
        end = note->start + note->duration;
        note->midi = (uint8_t)roll(128);
        note->grace = (uint8_t)(roll(9) ? 0 : roll(256));
        note->rest_before = roll(9) == 0;
        phrase += i == 0 || roll(9) == 0;
        note->phrase = phrase;
        note->sounding = roll(3) ? pitch_spell(note->midi, 0) : any_pitch();
        note->written = roll(3) ? note->sounding : any_pitch();
    }
}

static void any_words(struct solo *solo)
{
    solo->remark_count = (size_t)roll(90);
    solo->remarks = solo_alloc(solo, (solo->remark_count + 1) *
                                         sizeof *solo->remarks);
    for (size_t i = 0; i < solo->remark_count; i++)
        solo->remarks[i] =
            (struct remark){ .bar = roll((int)solo->bar_count),
                             .onset = any_time(-1),
                             .text = any_text() };
    solo->warning_count = (size_t)roll(40);
    solo->warnings = solo_alloc(solo, (solo->warning_count + 1) *
                                          sizeof *solo->warnings);
    for (size_t i = 0; i < solo->warning_count; i++)
        solo->warnings[i] = (struct warning){ any_text(), any_text(),
                                              any_text(), any_text() };
    solo->play_count = (size_t)roll(80);
    solo->plays = solo_alloc(solo, (solo->play_count + 1) *
                                       sizeof *solo->plays);
    for (size_t i = 0; i < solo->play_count; i++)
        solo->plays[i] = roll((int)solo->bar_count);
}

/* A solo that holds anything a solo may hold, as far as it goes. */
static struct solo *any_solo(void)
{
    struct solo *solo = solo_new();

    ck_assert_ptr_nonnull(solo);
    any_facts(solo);
    any_bars(solo);
    any_chords(solo);
    any_notes(solo);
    any_words(solo);
    solo_place_notes(solo);
    give_form(solo);
    return solo;
}

/* --- the same ------------------------------------------------------------ */

static void check_same_form(const struct solo *a, const struct solo *b)
{
    const struct form_plan *x = &a->form.plan, *y = &b->form.plan;

    ck_assert_int_eq(x->length, y->length);
    ck_assert_int_eq(x->first_play, y->first_play);
    ck_assert_int_eq(x->tail, y->tail);
    ck_assert_int_eq(x->confidence, y->confidence);
    ck_assert_int_eq(x->source, y->source);
    ck_assert_uint_eq(x->part_count, y->part_count);
    for (size_t i = 0; i < x->part_count; i++) {
        ck_assert_str_eq(x->parts[i].letter, y->parts[i].letter);
        ck_assert_int_eq(x->parts[i].bars, y->parts[i].bars);
    }
    ck_assert_uint_eq(a->form.chorus_count, b->form.chorus_count);
    for (size_t i = 0; i < a->bar_count; i++) {
        const struct form_place *p = form_place_of(a, (int32_t)i);
        const struct form_place *q = form_place_of(b, (int32_t)i);

        ck_assert_int_eq(p->chorus, q->chorus);
        ck_assert_int_eq(p->chorus_bar, q->chorus_bar);
        ck_assert_pstr_eq(p->section ? p->section->letter : NULL,
                          q->section ? q->section->letter : NULL);
    }
}

static void check_same_notes(const struct solo *a, const struct solo *b)
{
    ck_assert_uint_eq(a->note_count, b->note_count);
    for (size_t i = 0; i < a->note_count; i++) {
        const struct note *x = &a->notes[i], *y = &b->notes[i];

        ck_assert_int_eq(x->start, y->start);
        ck_assert_int_eq(x->onset, y->onset);
        ck_assert_int_eq(x->duration, y->duration);
        ck_assert_int_eq(x->bar, y->bar);
        ck_assert_int_eq(x->chord, y->chord);
        ck_assert_int_eq(x->heard, y->heard);
        ck_assert_int_eq(x->midi, y->midi);
        ck_assert_int_eq(x->grace, y->grace);
        ck_assert_int_eq(x->rest_before, y->rest_before);
        ck_assert_int_eq(x->phrase, y->phrase);
        ck_assert_mem_eq(&x->sounding, &y->sounding, sizeof x->sounding);
        ck_assert_mem_eq(&x->written, &y->written, sizeof x->written);
    }
}

static void check_same_chord(const struct chord *a, const struct chord *b)
{
    ck_assert_mem_eq(&a->root, &b->root, sizeof a->root);
    ck_assert_mem_eq(&a->bass, &b->bass, sizeof a->bass);
    ck_assert_int_eq(a->root_pc, b->root_pc);
    ck_assert_int_eq(a->bass_pc, b->bass_pc);
    ck_assert_int_eq(a->has_root, b->has_root);
    ck_assert_int_eq(a->kind, b->kind);
    ck_assert_int_eq(a->class, b->class);
    ck_assert_int_eq(a->altered, b->altered);
    ck_assert_int_eq(a->sus, b->sus);
    ck_assert_int_eq(a->tones, b->tones);
    ck_assert_int_eq(a->tensions, b->tensions);
    ck_assert_str_eq(a->symbol, b->symbol);
}

static void check_same_chords(const struct solo *a, const struct solo *b)
{
    ck_assert_uint_eq(a->chord_count, b->chord_count);
    for (size_t i = 0; i < a->chord_count; i++) {
        const struct chord_event *x = &a->chords[i], *y = &b->chords[i];

        ck_assert_int_eq(x->bar, y->bar);
        ck_assert_int_eq(x->onset, y->onset);
        ck_assert_int_eq(x->takes_effect, y->takes_effect);
        ck_assert_int_eq(x->start, y->start);
        check_same_chord(&x->chord, &y->chord);
        ck_assert_str_eq(x->kind_text, y->kind_text);
        if (!x->function) /* not analysed */
            continue;
        ck_assert_str_eq(x->function, y->function);
        ck_assert_int_eq(x->key, y->key);
        ck_assert_int_eq(x->role, y->role);
    }
}

static void check_same_bars(const struct solo *a, const struct solo *b)
{
    ck_assert_uint_eq(a->bar_count, b->bar_count);
    for (size_t i = 0; i < a->bar_count; i++) {
        const struct bar *x = &a->bars[i], *y = &b->bars[i];

        ck_assert_int_eq(x->start, y->start);
        ck_assert_int_eq(x->length, y->length);
        ck_assert_int_eq(x->nominal, y->nominal);
        ck_assert_str_eq(x->number, y->number);
        ck_assert_str_eq(x->metre, y->metre);
        ck_assert_pstr_eq(x->rehearsal, y->rehearsal);
        ck_assert_int_eq(x->fifths, y->fifths);
        ck_assert_int_eq(x->mode, y->mode);
        ck_assert_int_eq(x->implicit, y->implicit);
        ck_assert_int_eq(x->barlines, y->barlines);
    }
    ck_assert_uint_eq(a->play_count, b->play_count);
    for (size_t i = 0; i < a->play_count; i++)
        ck_assert_int_eq(a->plays[i], b->plays[i]);
}

static void check_same_words(const struct solo *a, const struct solo *b)
{
    ck_assert_uint_eq(a->remark_count, b->remark_count);
    for (size_t i = 0; i < a->remark_count; i++) {
        ck_assert_int_eq(a->remarks[i].bar, b->remarks[i].bar);
        ck_assert_int_eq(a->remarks[i].onset, b->remarks[i].onset);
        ck_assert_str_eq(a->remarks[i].text, b->remarks[i].text);
    }
    ck_assert_uint_eq(a->warning_count, b->warning_count);
    for (size_t i = 0; i < a->warning_count; i++) {
        ck_assert_str_eq(a->warnings[i].part, b->warnings[i].part);
        ck_assert_str_eq(a->warnings[i].bar, b->warnings[i].bar);
        ck_assert_str_eq(a->warnings[i].element, b->warnings[i].element);
        ck_assert_str_eq(a->warnings[i].message, b->warnings[i].message);
    }
}

static void check_same_facts(const struct solo *a, const struct solo *b)
{
    ck_assert_str_eq(a->title, b->title);
    ck_assert_str_eq(a->performer, b->performer);
    ck_assert_str_eq(a->composer, b->composer);
    ck_assert_str_eq(a->instrument, b->instrument);
    ck_assert_str_eq(a->work_title, b->work_title);
    ck_assert_str_eq(a->movement_title, b->movement_title);
    ck_assert_str_eq(a->metre, b->metre);
    ck_assert_int_eq(a->fifths, b->fifths);
    ck_assert_int_eq(a->mode, b->mode);
    ck_assert_int_eq(a->has_key, b->has_key);
    ck_assert_int_eq(a->has_metre, b->has_metre);
    ck_assert_int_eq(a->has_transpose, b->has_transpose);
    ck_assert_int_eq(a->transpose, b->transpose);
    ck_assert_int_eq(a->transpose_steps, b->transpose_steps);
    ck_assert_int_eq(a->tempo, b->tempo);
    ck_assert_uint_eq(a->rests, b->rests);
    ck_assert_uint_eq(a->graces, b->graces);
    ck_assert_int_eq(a->ticks, b->ticks);
}

/* SOLO is the same after it was bytes. */
static void check_survives(const struct solo *solo)
{
    struct solo *back;
    unsigned char *bytes;
    size_t size;

    ck_assert_int_eq(solo_encode(solo, &bytes, &size, NULL), ST_OK);
    ck_assert_int_eq(solo_decode(&back, bytes, size, NULL), ST_OK);
    check_same_facts(solo, back);
    check_same_bars(solo, back);
    check_same_chords(solo, back);
    check_same_notes(solo, back);
    check_same_words(solo, back);
    check_same_form(solo, back);
    free(bytes);
    solo_free(back);
}

START_TEST(solos_survive_the_codec)
{
    int forms = 0;

    seed = 7;
    for (int i = 0; i < 500; i++) {
        struct solo *solo = random_solo();

        give_form(solo);
        forms += solo->form.chorus_count > 1;
        if (roll(2))
            ck_assert_int_eq(phrase_mark(solo, NULL), ST_OK);
        check_survives(solo);
        solo_free(solo);
    }
    ck_assert_int_gt(forms, 100);
}
END_TEST

START_TEST(so_do_solos_of_anything)
{
    seed = 19;
    for (int i = 0; i < 300; i++) {
        struct solo *solo = any_solo();

        check_survives(solo);
        solo_free(solo);
    }
}
END_TEST

/* What the index has room for (DEVELOPERS.md): 100 bars of eighths, which are
 * numbered on and spelled as the key has it. */
START_TEST(a_plain_line_takes_a_byte_a_note)
{
    struct solo *solo = solo_new();
    unsigned char *bytes;
    size_t size;

    solo->ticks = 2;
    solo->note_count = 800;
    solo->notes = solo_alloc(solo, 800 * sizeof *solo->notes);
    solo->bar_count = 100;
    solo->bars = solo_alloc(solo, 100 * sizeof *solo->bars);
    for (int i = 0; i < 100; i++) {
        char number[12];

        snprintf(number, sizeof number, "%d", i + 1);
        solo->bars[i] = (struct bar){ .start = 8 * i,
                                      .length = 8,
                                      .nominal = 8,
                                      .metre = "4/4",
                                      .number = solo_copy(solo, number,
                                                          strlen(number)) };
    }
    for (int i = 0; i < 800; i++)
        solo->notes[i] = (struct note){ .start = i,
                                        .onset = i % 8,
                                        .bar = i / 8,
                                        .duration = 1,
                                        .midi = (uint8_t)(50 + i % 30) };
    for (int i = 0; i < 800; i++)
        solo->notes[i].sounding = solo->notes[i].written =
            pitch_spell(solo->notes[i].midi, 0);
    solo_place_notes(solo);
    ck_assert_int_eq(solo_encode(solo, &bytes, &size, NULL), ST_OK);
    ck_assert_uint_lt(size, 800 + 100 / 10 + 50);
    free(bytes);
    check_survives(solo);
    solo_free(solo);
}
END_TEST

/* Whatever a file holds, its form is looked for without harm. */
START_TEST(any_solo_is_looked_at_for_its_form)
{
    seed = 23;
    for (int i = 0; i < 300; i++) {
        struct solo *solo = random_solo();

        ck_assert_int_eq(form_find(solo, NULL), ST_OK);
        solo_free(solo);
    }
}
END_TEST

/* --- damage -------------------------------------------------------------- */

/* Decode a copy of the LEN bytes, which are sealed anew where SEALED, with some
 * of them CHANGED.  The copy has the exact size, so that a sanitiser sees every
 * step beyond it. */
static bool reads(const unsigned char *bytes, size_t len, int changed,
                  bool sealed)
{
    unsigned char *damaged = malloc(len ? len : 1);
    struct fault why;
    struct solo *back;
    enum status st;

    memcpy(damaged, bytes, len);
    for (int n = changed; n > 0 && len > 0; n--)
        damaged[roll((int)len)] = (unsigned char)roll(256);
    if (sealed && len >= SUM_SIZE)
        codec_seal(damaged, len);
    st = solo_decode(&back, damaged, len, &why);
    ck_assert(st == ST_OK || st == ST_LIBRARY);
    ck_assert((st == ST_OK) == (back != NULL));
    if (back) {
        ck_assert_uint_le(back->bar_count, len * BAR_RUN);
        ck_assert_uint_le(back->note_count, len);
        ck_assert_uint_le(back->chord_count, len);
    }
    solo_free(back);
    free(damaged);
    return st == ST_OK;
}

START_TEST(damaged_bytes_are_refused_or_read_but_never_crash)
{
    int read = 0;

    seed = 11;
    for (int i = 0; i < 300; i++) {
        struct solo *solo = roll(2) ? random_solo() : any_solo();
        unsigned char *bytes;
        size_t size;

        give_form(solo);
        ck_assert_int_eq(phrase_mark(solo, NULL), ST_OK);
        ck_assert_int_eq(solo_encode(solo, &bytes, &size, NULL), ST_OK);
        for (int k = 0; k < 10; k++)
            ck_assert(!reads(bytes, (size_t)roll((int)size), 0, false));
        for (int k = 0; k < 10; k++)
            reads(bytes, (size_t)roll((int)size), 0, true);
        for (int k = 0; k < 20; k++)
            read += reads(bytes, size, 1 + roll(4), true);
        free(bytes);
        solo_free(solo);
    }
    ck_assert_int_gt(read, 100);
}
END_TEST

START_TEST(no_changed_byte_is_missed)
{
    struct solo *solo;
    unsigned char *bytes;
    size_t size;

    seed = 3;
    solo = any_solo();
    ck_assert_int_eq(solo_encode(solo, &bytes, &size, NULL), ST_OK);
    ck_assert(reads(bytes, size, 0, false));
    for (size_t i = 0; i < size; i++) {
        unsigned char change = (unsigned char)(1 << roll(8));

        bytes[i] ^= change;
        ck_assert(!reads(bytes, size, 0, false));
        bytes[i] ^= change;
    }
    free(bytes);
    solo_free(solo);
}
END_TEST

Suite *solo_codec_suite(void)
{
    Suite *s = suite_create("solo_codec");
    TCase *t = tcase_create("bytes");

    tcase_add_test(t, solos_survive_the_codec);
    tcase_add_test(t, so_do_solos_of_anything);
    tcase_add_test(t, a_plain_line_takes_a_byte_a_note);
    tcase_add_test(t, any_solo_is_looked_at_for_its_form);
    tcase_add_test(t, damaged_bytes_are_refused_or_read_but_never_crash);
    tcase_add_test(t, no_changed_byte_is_missed);
    suite_add_tcase(s, t);
    return s;
}
