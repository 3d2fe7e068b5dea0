/* query/rank_words.c - a score in plain words. */
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "query/rank_parts.h"
#include "query/words.h"
#include "schema/harmony.h"

/* Text being put together; what does not fit is cut. */
struct text {
    char *out;
    size_t size, used;
};

static struct text text_start(char *out, size_t size)
{
    if (size > 0)
        out[0] = '\0';
    return (struct text){ out, size, 0 };
}

__attribute__((format(printf, 2, 3))) static void put(struct text *text,
                                                      const char *format, ...)
{
    size_t room = text->size - text->used;
    va_list args;
    int wanted;

    if (room <= 1)
        return;
    va_start(args, format);
    wanted = vsnprintf(text->out + text->used, room, format, args);
    va_end(args);
    if (wanted > 0)
        text->used += (size_t)wanted < room ? (size_t)wanted : room - 1;
}

/* --- words for the reasons ----------------------------------------------- */

/* How the chord of the place stands to the home chord: "as written". */
static void put_relation(struct text *text, const struct rank_harmony *harmony,
                         const struct rank_question *question,
                         const struct rank_place *place)
{
    char title[RELATION_TEXT_SIZE];

    switch (harmony->why_relation) {
    case RANK_NO_CHORD:
        put(text, "no chord");
        break;
    case RANK_NO_HOME:
        put(text, "any chord");
        break;
    case RANK_VERY_TONES:
    case RANK_NAMED:
        put(text, "%s", relation_name(harmony->named));
        break;
    default:
        relation_title(title, sizeof title,
                       relation_key(&question->home,
                                    &place->solo->chords[place->chord].chord));
        put(text, "%s", title);
    }
}

static void put_next(struct text *text, const struct rank_harmony *harmony,
                     const struct solo *solo)
{
    static const char *const words[] = {
        [RANK_NEXT_AS_ASKED] = ", as asked",
        [RANK_NEXT_NOT_AS_ASKED] = ", not as asked",
        [RANK_NEXT_UP_FOURTH] = ", up a fourth",
        [RANK_NEXT_DOWN_SEMITONE] = ", down a semitone",
        [RANK_NEXT_STEP] = ", a step away",
        [RANK_NEXT_OTHER] = "",
        [RANK_NEXT_NONE] = "", /* from no chord, or to none */
    };

    if (harmony->next_chord < 0)
        put(text, "no chord follows");
    else
        put(text, "then %s%s", solo->chords[harmony->next_chord].chord.symbol,
            words[harmony->why_next]);
}

static const char *resolution_words(enum rank_resolution why)
{
    static const char *const words[] = {
        [RANK_RESOLVES_BY_STEP] = "resolves by step",
        [RANK_RESOLVES_BY_LEAP] = "resolves by leap",
        [RANK_CHORD_STAYS] = "goes on over the same chord",
        [RANK_NO_CHORD_TONE] = "goes on to no chord tone",
        [RANK_NOTHING_FOLLOWS] = "nothing to resolve to",
    };

    return words[why];
}

static void put_notes(struct text *text, const struct rank_harmony *harmony)
{
    const struct {
        int count;
        const char *one, *many;
    } kinds[] = { { harmony->chord_tones, "chord tone", "chord tones" },
                  { harmony->tensions, "tension", "tensions" },
                  { harmony->others, "other note", "other notes" } };
    const char *between = "";
    char words[WORDS_SIZE];

    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++) {
        if (kinds[i].count == 0)
            continue;
        put(text, "%s%s", between,
            words_count(words, (uint64_t)kinds[i].count, kinds[i].one,
                        kinds[i].many));
        between = ", ";
    }
    if (!*between)
        put(text, "no note over a chord");
}

static void put_where(struct text *text, const struct rank_position *position)
{
    static const char *const words[] = {
        [RANK_OPENS_CHORUS] = "opens a chorus",
        [RANK_OPENS_SECTION] = "opens a section",
        [RANK_FIRST_OF_FOUR] = "in the first bar of four",
        [RANK_STARTS_PHRASE] = "starts a phrase",
        [RANK_ELSEWHERE] = "at no special place",
        [RANK_BARS_AWAY] = "in the first bar asked",
        [RANK_NO_CHORUS] = "in no chorus",
        [RANK_SECTION_ASKED] = "in the section asked",
        [RANK_OTHER_SECTION] = "in another section",
    };

    if (position->why_where == RANK_BARS_AWAY && position->bars_away > 0)
        put(text, "%d %s from the first bar asked", position->bars_away,
            position->bars_away == 1 ? "bar" : "bars");
    else
        put(text, "%s", words[position->why_where]);
}

const char *rank_strength_words(int strength)
{
    static const char *const words[] = {
        "off the beat",    "between two beats",
        "on a beat",       "in the middle of the bar",
        "on the bar line",
    };

    return words[strength];
}

static const char *metre_words(const struct rank_position *position)
{
    if (position->why_metre == RANK_BEAT_ASKED)
        return "on the beat asked";
    if (position->why_metre == RANK_OTHER_BEAT)
        return "on another beat than asked";
    return rank_strength_words(position->strength);
}

static const char *rhythm_words(const struct rank_question *question,
                                int ratios)
{
    if (!question->has_rhythm)
        return ratios == RANK_WHOLE ? "even notes" : "uneven notes";
    return ratios == RANK_WHOLE ? "note values in the proportions asked"
                                : "note values in other proportions";
}

/* --- the explanation ----------------------------------------------------- */

/* "harmony 0.912 x 0.55: ". */
static void put_part(struct text *text, const char *name, int part, int weight)
{
    char value[RANK_NUMBER_SIZE], factor[RANK_NUMBER_SIZE];

    put(text, "%s %s x %s: ", name, rank_part_text(value, part),
        rank_weight_text(factor, weight));
}

/* " + fit 0.930 x 0.3", with = instead of + for the first. */
static void put_term(struct text *text, char sign, const char *name, int part,
                     int tenths)
{
    char value[RANK_NUMBER_SIZE];

    put(text, " %c %s %s x 0.%d", sign, name, rank_part_text(value, part),
        tenths);
}

static void explain_harmony(struct text *text, const struct rank_parts *parts,
                            const struct rank_question *question,
                            const struct rank_place *place)
{
    const struct rank_harmony *harmony = &parts->harmony;
    char next[RANK_NUMBER_SIZE], resolution[RANK_NUMBER_SIZE];

    put_part(text, "harmony", harmony->total, question->weights.harmony);
    put_relation(text, harmony, question, place);
    if (harmony->why_relation == RANK_NAMED &&
        harmony->named == RELATION_AS_WRITTEN)
        put(text, " with other tones");
    put(text, "; ");
    put_next(text, harmony, place->solo);
    put(text, "; %s; ", resolution_words(harmony->why_resolution));
    put_notes(text, harmony);
    put(text, "\n ");
    put_term(text, '=', "relation", harmony->relation, WORTH_TENTHS_RELATION);
    put_term(text, '+', "follows", harmony->follows, WORTH_TENTHS_FOLLOWS);
    put_term(text, '+', "fit", harmony->fit, WORTH_TENTHS_FIT);
    put(text, "\n  follows is the mean of %s (chord) and %s (line)\n",
        rank_part_text(next, harmony->next),
        rank_part_text(resolution, harmony->resolution));
}

char *rank_explain(char *out, size_t size, const struct rank_parts *parts,
                   const struct rank_question *question,
                   const struct rank_place *place)
{
    const struct rank_position *position = &parts->position;
    struct text text = text_start(out, size);
    char score[RANK_NUMBER_SIZE];

    put(&text, "score %s\n", rank_score_text(score, parts->score));
    explain_harmony(&text, parts, question, place);
    put_part(&text, "position", position->total, question->weights.position);
    put_where(&text, position);
    put(&text, "; %s\n ", metre_words(position));
    put_term(&text, '=', "where", position->where, WORTH_TENTHS_WHERE);
    put_term(&text, '+', "metre", position->metre, WORTH_TENTHS_METRE);
    put(&text, "\n");
    put_part(&text, "rhythm", parts->rhythm.total, question->weights.rhythm);
    put(&text, "%s\n", rhythm_words(question, parts->rhythm.ratios));
    return out;
}

/* --- the reason ---------------------------------------------------------- */

/* A point between what stands already and what comes. */
static void put_point(struct text *text)
{
    if (text->used > 0)
        put(text, " \u00b7 ");
}

/* The bar that the place opens where it opens a chorus or a section, which it
 * may do from the bar before; else its own. */
static int32_t bar_opened(const struct solo *solo, size_t first)
{
    int32_t bar = solo->notes[first].bar;
    const struct form_place *here = form_place_of(solo, bar);

    if (place_opens(solo, first, false))
        return here->chorus_bar == 1 ? bar : bar + 1;
    if (place_opens(solo, first, true))
        return here->section &&
                       form_is_one_bar(solo, here->section->first_bar, bar)
                   ? bar
                   : bar + 1;
    return bar;
}

static void put_bar(struct text *text, const struct solo *solo, size_t first)
{
    int32_t bar = bar_opened(solo, first);
    const struct form_place *here = form_place_of(solo, bar);
    char letter[FORM_LETTER_SIZE];

    if (here->chorus > 0) {
        put_point(text);
        put(text, "bar %d of chorus %d", (int)here->chorus_bar,
            (int)here->chorus);
        if (here->section && here->chorus_bar > 1 &&
            form_is_one_bar(solo, here->section->first_bar, bar))
            put(text, ", where %s starts",
                text_make_safe(letter, sizeof letter, here->section->letter));
    }
    if (solo_starts_phrase(solo, first)) {
        put_point(text);
        put(text, "starts a phrase");
    }
}

const char *rank_chord_name(const struct chord_event *event)
{
    return *event->function ? event->function : event->chord.symbol;
}

/* False where there is no chord. */
static bool put_chord(struct text *text, const struct solo *solo,
                      int32_t chord)
{
    const struct chord_event *event;
    char key[KEY_TEXT_SIZE];
    int fifths, mode;

    if (!follow_sounding(solo, chord))
        return false;
    event = &solo->chords[chord];
    put_point(text);
    put(text, "over %s", rank_chord_name(event));
    solo_concert_key(solo, &fifths, &mode);
    if (*event->function && event->key != HARMONY_NO_KEY)
        put(text, " in %s", harmony_key_short(key, event->key, fifths));
    return true;
}

static void put_over(struct text *text, const struct rank_harmony *harmony,
                     const struct rank_question *question,
                     const struct rank_place *place)
{
    if (!put_chord(text, place->solo, place->chord))
        return;
    if (harmony->why_relation == RANK_NO_HOME)
        return;
    put(text, harmony->why_relation == RANK_NAMED ||
                      harmony->why_relation == RANK_VERY_TONES
                  ? " "
                  : ": ");
    if (harmony->named != RELATION_AS_WRITTEN &&
        harmony->named != RELATION_OTHER)
        put(text, "as ");
    put_relation(text, harmony, question, place);
}

/* A degree as one says what a line starts on: "the root", "the 9th", "the
 * b9". */
static void put_degree(struct text *text, const char *degree)
{
    if (strcmp(degree, "1") == 0)
        put(text, "the root");
    else if (*degree == 'b' || *degree == '#')
        put(text, "the %s", degree);
    else
        put(text, "the %s%s", degree,
            strcmp(degree, "2") == 0   ? "nd"
            : strcmp(degree, "3") == 0 ? "rd"
                                       : "th");
}

static void put_start(struct text *text, const struct rank_place *place)
{
    const struct chord *chord = follow_sounding(place->solo, place->chord);

    if (!chord || !chord->has_root)
        return;
    put_point(text);
    put(text, "starts on ");
    put_degree(text,
               chord_degree_name(chord, place->solo->notes[place->first].midi -
                                            chord->root_pc));
}

static void put_goal(struct text *text, const struct rank_harmony *harmony,
                     const struct rank_place *place)
{
    const struct note *note;
    const struct chord_event *event;

    if (harmony->why_resolution != RANK_RESOLVES_BY_STEP &&
        harmony->why_resolution != RANK_RESOLVES_BY_LEAP)
        return;
    note = &place->solo->notes[place->last + 1];
    event = &place->solo->chords[note->heard];
    put_point(text);
    put(text, "%s to %s of %s",
        harmony->why_resolution == RANK_RESOLVES_BY_STEP ? "resolves" : "leaps",
        chord_degree_name(&event->chord, note->midi - event->chord.root_pc),
        rank_chord_name(event));
}

char *rank_bar_words(char *out, size_t size, const struct solo *solo,
                     size_t index)
{
    struct text text = text_start(out, size);

    put_bar(&text, solo, index);
    return out;
}

char *rank_over_words(char *out, size_t size, const struct solo *solo,
                      int32_t chord)
{
    struct text text = text_start(out, size);

    put_chord(&text, solo, chord);
    return out;
}

char *rank_reason(char *out, size_t size, const struct rank_parts *parts,
                  const struct rank_question *question,
                  const struct rank_place *place)
{
    struct text text = text_start(out, size);

    put_bar(&text, place->solo, place->first);
    put_over(&text, &parts->harmony, question, place);
    put_start(&text, place);
    put_goal(&text, &parts->harmony, place);
    return out;
}
