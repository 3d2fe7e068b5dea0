/* query/tension_words.c - see tension_words.h. */
#include "query/tension_words.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "query/rank.h"
#include "query/words.h"

/* Join those of the COUNT PARTS that are not "", BETWEEN them. */
static char *join(char *out, size_t size, const char *const *parts,
                  size_t count, const char *between)
{
    size_t used = 0;

    out[0] = '\0';
    for (size_t i = 0; i < count && used < size; i++) {
        int n = 0;

        if (*parts[i])
            n = snprintf(out + used, size - used, "%s%s", used ? between : "",
                         parts[i]);
        used += n > 0 ? (size_t)n : 0;
    }
    return out;
}

/* --- what was asked ------------------------------------------------------- */

/* Other names of the same note: " (also #9)". */
static char *other_names(char *out, size_t size, int semitones,
                         const char *given)
{
    static const char *const names[12][3] = {
        { NULL },        { "b9", "b2" },      { "9", "2" },    { "b3", "#9" },
        { NULL },        { "11", "4" },       { "#11", "b5" }, { NULL },
        { "b13", "#5" }, { "13", "6", "bb7" }
    };
    const char *others[3] = { "", "", "" };
    char list[32];

    for (int i = 0; i < 3 && names[semitones][i]; i++)
        if (strcmp(names[semitones][i], given) != 0)
            others[i] = names[semitones][i];
    join(list, sizeof list, others, 3, ", ");
    out[0] = '\0';
    if (*list)
        snprintf(out, size, " (also %s)", list);
    return out;
}

static char *say_over(char out[2 * OVER_WORDS_SIZE], const struct over *over)
{
    const struct over_chord *chord = &over->chords[0];
    char text[OVER_WORDS_SIZE];

    if (over->count == 0)
        return strcpy(out, "any chord");
    over_chord_describe(text, chord);
    snprintf(out, 2 * OVER_WORDS_SIZE, "%s%s", text,
             chord->function[0] ? " of the key" : "");
    return out;
}

/* The value under which a length is written, in words. */
static char *say_length(char out[3 * WORDS_SIZE],
                        const struct tension_query *query)
{
    char low[WORDS_SIZE], high[WORDS_SIZE];

    out[0] = '\0';
    words_duration(low, query->shortest);
    words_duration(high, query->longest);
    if (query->has_shortest && query->has_longest && strcmp(low, high) == 0)
        snprintf(out, 3 * WORDS_SIZE, "%s notes", low);
    else if (query->has_shortest && query->has_longest)
        snprintf(out, 3 * WORDS_SIZE, "from %s to %s in length", low, high);
    else if (query->has_shortest)
        snprintf(out, 3 * WORDS_SIZE, "%s or longer", low);
    else if (query->has_longest)
        snprintf(out, 3 * WORDS_SIZE, "%s or shorter", high);
    return out;
}

/* "approached by step from below", "left by leap up". */
static char *say_way(char out[WORDS_SIZE], const struct tension_way *way,
                     bool departing)
{
    static const char *const moves[] = { "", "", " by a semitone", " by step",
                                         " by leap" };
    const char *direction = "";

    out[0] = '\0';
    if (way->move == TENSION_REPEATED)
        return strcpy(out, departing ? "then repeated"
                                     : "repeating the note before");
    if (way->direction)
        direction = departing ? (way->direction > 0 ? " upwards" : " downwards")
                    : way->direction > 0 ? " from below"
                                         : " from above";
    if (way->move != TENSION_MOVE_ANY || way->direction)
        snprintf(out, WORDS_SIZE, "%s%s%s", departing ? "left" : "approached",
                 moves[way->move], direction);
    return out;
}

static char *say_resolution(char out[WORDS_SIZE],
                            const struct tension_query *query)
{
    static const char *const degrees[] = {
        "1", "b9", "9", "b3", "3", "11", "#11", "5", "b13", "13", "b7", "7"
    };

    out[0] = '\0';
    if (query->has_resolution && query->resolution == TENSION_ANY)
        strcpy(out, "leading into the next chord");
    else if (query->has_resolution)
        snprintf(out, WORDS_SIZE, "resolving to %s of the next chord",
                 degrees[query->resolution]);
    return out;
}

char *tension_describe(char *out, size_t size,
                       const struct tension_query *query, const char *degree)
{
    static const char *const accents[] = {
        "on the bar line or in the middle of the bar", "on a weak beat",
        "between the beats"
    };
    static const char *const in_phrases[] = { "first of its phrase",
                                              "last of its phrase",
                                              "highest of its phrase" };
    char over[2 * OVER_WORDS_SIZE], also[48] = "", first[256];
    char length[3 * WORDS_SIZE], resolution[WORDS_SIZE];
    char approach[WORDS_SIZE], departure[WORDS_SIZE];
    const char *parts[] = { first,
                            say_length(length, query),
                            query->accent >= 0 ? accents[query->accent] : "",
                            query->in_phrase >= 0 ? in_phrases[query->in_phrase]
                                                  : "",
                            say_way(approach, &query->approach, false),
                            say_way(departure, &query->departure, true),
                            say_resolution(resolution, query) };

    if (degree)
        other_names(also, sizeof also, query->degree, degree);
    snprintf(first, sizeof first, "%.32s%s over %s",
             degree ? degree : "tensions", also, say_over(over, &query->over));
    return join(out, size, parts, sizeof parts / sizeof *parts, "; ");
}

/* --- one note ------------------------------------------------------------- */

char *tension_move_word(char *out, size_t size, int semitones, bool departing)
{
    int distance = abs(semitones);

    if (distance == 0)
        snprintf(out, size, "repeated");
    else
        snprintf(out, size, "%s %s",
                 distance == 1   ? "chromatic"
                 : distance == 2 ? "step"
                                 : "leap",
                 departing       ? (semitones > 0 ? "up" : "down")
                 : semitones > 0 ? "from below"
                                 : "from above");
    return out;
}

static char *say_approach(char out[2 * WORDS_SIZE],
                          const struct tension_note *note)
{
    char interval[WORDS_SIZE];

    out[0] = '\0';
    if (note->has_before && note->before == 0)
        strcpy(out, "repeated");
    else if (note->has_before)
        snprintf(out, 2 * WORDS_SIZE, "from %s %s",
                 words_interval(interval, abs(note->before)),
                 note->before > 0 ? "below" : "above");
    return out;
}

/* The next chord is called by its function. */
static char *say_departure(char out[3 * WORDS_SIZE], const struct solo *solo,
                           const struct tension_note *note)
{
    char interval[WORDS_SIZE], move[2 * WORDS_SIZE];

    out[0] = '\0';
    if (!note->has_after)
        return out;
    if (note->after == 0)
        snprintf(move, sizeof move, "then repeated");
    else
        snprintf(move, sizeof move, "%s %s", note->after > 0 ? "up" : "down",
                 words_interval(interval, abs(note->after)));
    if (!note->resolves)
        strcpy(out, move);
    else
        snprintf(out, 3 * WORDS_SIZE, "%s %s %s of %s", move,
                 note->after == 0 ? "as" : "to", note->to_degree,
                 rank_chord_name(&solo->chords[note->to_chord]));
    return out;
}

char *tension_moves(char *out, size_t size, const struct solo *solo,
                    const struct tension_note *note)
{
    char approach[2 * WORDS_SIZE], departure[3 * WORDS_SIZE];
    const char *parts[] = { say_approach(approach, note),
                            say_departure(departure, solo, note) };

    return join(out, size, parts, 2, ", ");
}

static const char *peak_words(enum tension_peak peak)
{
    static const char *const words[] = { "", "a peak of the line",
                                         "highest of its phrase" };

    return words[peak];
}

char *tension_reason(char *out, size_t size, const struct solo *solo,
                     const struct tension_note *note)
{
    char bar[RANK_REASON_SIZE], over[RANK_REASON_SIZE];
    const char *parts[] = {
        rank_bar_words(bar, sizeof bar, solo, note->index),
        rank_over_words(over, sizeof over, solo, note->chord),
        peak_words(note->peak),
        note->end == TENSION_ENDS ? "ends its phrase" : ""
    };

    return join(out, size, parts, sizeof parts / sizeof *parts, " \u00b7 ");
}

/* "beat 0.900 x 0.25: in the middle of the bar\n". */
static void add_part(char *out, size_t size, const char *name, int part,
                     int weight, const char *words)
{
    char value[RANK_NUMBER_SIZE], factor[RANK_NUMBER_SIZE];
    size_t used = strlen(out);

    snprintf(out + used, size - used, "%s %s x %s: %s\n", name,
             rank_part_text(value, part), rank_weight_text(factor, weight),
             words);
}

char *tension_explain(char *out, size_t size, const struct solo *solo,
                      const struct tension_note *note)
{
    static const char *const ends[] = { "inside its phrase",
                                        "starts its phrase",
                                        "ends its phrase" };
    const struct tension_parts *parts = &note->parts;
    char score[RANK_NUMBER_SIZE], length[WORDS_SIZE];

    snprintf(out, size, "score %s\n", rank_score_text(score, parts->score));
    words_duration(length,
                   solo_quarters(solo, solo->notes[note->index].duration));
    add_part(out, size, "length", parts->length, TENSION_WEIGHT_LENGTH, length);
    add_part(out, size, "beat", parts->beat, TENSION_WEIGHT_BEAT,
             rank_strength_words(note->strength));
    add_part(out, size, "peak", parts->peak, TENSION_WEIGHT_PEAK,
             note->peak ? peak_words(note->peak) : "no peak");
    add_part(out, size, "end", parts->end, TENSION_WEIGHT_END, ends[note->end]);
    return out;
}
