/* indexer/line.c - from parts to the melody line of a solo. */
#include "indexer/line.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "schema/grow.h"

void raw_score_free(struct raw_score *score)
{
    for (size_t i = 0; i < score->part_count; i++) {
        free(score->parts[i].bars);
        free(score->parts[i].events);
    }
    free(score->parts);
    free(score->warnings);
}

/* The last place is kept for the line that says how many more there were. */
static const char *crowded(struct raw_score *score)
{
    enum { SIZE = 64 };
    struct warning *last = &score->warnings[WARNINGS_MAX - 1];
    int more = atoi(last->message) + 1;

    /* One text, whatever their number: a file may have millions. */
    if (!score->crowded)
        score->crowded = solo_alloc(score->solo, SIZE);
    if (!score->crowded)
        return NULL;
    snprintf(score->crowded, SIZE, "%d more warnings are not listed", more);
    return score->crowded;
}

void score_warn(struct raw_score *score, const char *part, const char *bar,
                const char *element, const char *format, ...)
{
    struct warning *warning;
    char text[256], safe[256];
    va_list args;

    if (!score->warnings)
        score->warnings = calloc(WARNINGS_MAX, sizeof *score->warnings);
    if (!score->warnings) {
        score->nomem = true;
        return;
    }
    va_start(args, format);
    vsnprintf(text, sizeof text, format, args);
    va_end(args);
    text_make_safe(safe, sizeof safe, text);
    if (score->warning_count < WARNINGS_MAX) {
        warning = &score->warnings[score->warning_count++];
        if (score->warning_count == WARNINGS_MAX)
            snprintf(safe, sizeof safe, "1 more warnings are not listed");
        warning->part = part;
        warning->bar = bar;
        warning->element = element;
        warning->message = solo_copy(score->solo, safe, strlen(safe));
    } else {
        warning = &score->warnings[WARNINGS_MAX - 1];
        warning->part = warning->bar = warning->element = "";
        warning->message = crowded(score);
    }
    if (!warning->message) {
        warning->message = "";
        score->nomem = true;
    }
}

void *line_grow(struct line *line, void *array, size_t count, size_t *room,
                size_t item)
{
    void *grown = grow_room(array, count, room, item);

    if (!grown)
        line->nomem = true;
    return grown;
}

void line_sort(void *array, size_t count, size_t item,
               int (*compare)(const void *, const void *))
{
    const char *at = array;
    size_t i = 1;

    /* What is in order in the file mostly is in order here. */
    while (i < count && compare(at + (i - 1) * item, at + i * item) <= 0)
        i++;
    if (i < count)
        qsort(array, count, item, compare);
}

/* --- the cursor ------------------------------------------------------- */

void cursor_start(struct cursor *c, struct raw_score *score,
                  const struct raw_part *part, bool quiet)
{
    memset(c, 0, sizeof *c);
    c->score = score;
    c->part = part;
    c->quiet = quiet;
    c->divisions = rational_make(1, 1);
    for (int i = 0; i <= STAVES_MAX; i++)
        c->transpose[i].chromatic = rational_make(0, 1);
    /* The first value found holds from the start. */
    for (size_t i = 0; i < part->event_count; i++) {
        if (part->events[i].kind == RAW_DIVISIONS) {
            c->divisions = part->events[i].amount;
            return;
        }
    }
    if (part->event_count > 0 && !quiet)
        score_warn(score, part->id, "", "divisions",
                   "none given; a duration of 1 is taken as a quarter note");
}

void cursor_start_bar(struct cursor *c, size_t bar, enum raw_kind wanted)
{
    c->bar = bar;
    c->at = c->furthest = c->last_onset = rational_make(0, 1);
    c->last_voice = 1;
    if (c->quiet && bar < c->part->bar_count && c->part->event_count > 0) {
        const struct raw_bar *b = &c->part->bars[bar];
        const struct raw_event *first = &c->part->events[b->first];

        c->still_from = first + b->count;
        while (c->still_from > first && c->still_from[-1].kind != wanted)
            c->still_from--;
    }
}

static void cursor_warn(const struct cursor *c, const char *element,
                        const char *message)
{
    if (!c->quiet)
        score_warn(c->score, c->part->id, c->part->bars[c->bar].number,
                   element, "%s", message);
}

static struct rational work_out_quarters(const struct cursor *c,
                                         struct rational amount)
{
    struct rational quarters = rational_div(amount, c->divisions);

    if ((quarters.num > -QUARTERS_MAX && quarters.num < QUARTERS_MAX) ||
        llabs(quarters.num) / quarters.den < QUARTERS_MAX)
        return quarters;
    cursor_warn(c, "duration", "too long to be true; taken as 0");
    return rational_make(0, 1);
}

struct rational cursor_quarters(struct cursor *c, struct rational amount)
{
    size_t at = (size_t)amount.num % LENGTHS_KEPT;

    /* Larger ones may be worth a warning, each of them. */
    if (amount.den != 1 || amount.num < 0 || amount.num >= QUARTERS_MAX ||
        c->divisions.den != 1)
        return work_out_quarters(c, amount);
    if (!c->lengths[at].met || c->lengths[at].amount != amount.num) {
        c->lengths[at].met = true;
        c->lengths[at].amount = amount.num;
        c->lengths[at].quarters = work_out_quarters(c, amount);
    }
    return c->lengths[at].quarters;
}

static void set_divisions(struct cursor *c, struct rational divisions)
{
    c->divisions = divisions;
    memset(c->lengths, 0, sizeof c->lengths);
}

/* The bar is at least so long. */
static void reach(struct cursor *c, struct rational end)
{
    if (rational_compare(end, c->furthest) > 0)
        c->furthest = end;
}

static void move(struct cursor *c, struct rational by, bool back)
{
    c->at = back ? rational_sub(c->at, by) : rational_add(c->at, by);
    if (c->at.num < 0) {
        cursor_warn(c, "backup",
                    "goes back before the bar line; the bar line is taken");
        c->at = rational_make(0, 1);
    }
    reach(c, c->at);
}

static void set_transposition(struct cursor *c, const struct raw_event *event)
{
    struct transposition t = { event->transpose.chromatic,
                               event->transpose.diatonic };

    for (int staff = 0; staff <= STAVES_MAX; staff++)
        if (event->staff == 0 || event->staff == staff)
            c->transpose[staff] = t;
}

struct transposition cursor_transposition(const struct cursor *c, int staff)
{
    /* A note that names no staff stands on the first. */
    if (staff == 0)
        staff = 1;
    return c->transpose[staff <= STAVES_MAX ? staff : 0];
}

static struct step pass_note(struct cursor *c, const struct raw_event *event)
{
    struct step step = { c->at, rational_make(0, 1), event->note.voice };

    if (!(event->note.flags & RAW_GRACE))
        step.duration = cursor_quarters(c, event->note.duration);
    if (event->note.flags & RAW_CHORD_MEMBER) {
        step.onset = c->last_onset;
        step.voice = c->last_voice;
        /* It does not move the cursor, but stands there, also where the note
         * it should belong to is missing. */
        reach(c, rational_add(step.onset, step.duration));
        return step;
    }
    c->last_voice = step.voice;
    c->last_onset = c->at;
    move(c, step.duration, false);
    return step;
}

/* Does it not matter any more in this bar what time it is? */
static bool is_still(const struct cursor *c, const struct raw_event *event)
{
    return c->quiet && event >= c->still_from;
}

struct step cursor_pass(struct cursor *c, const struct raw_event *event)
{
    struct step step;

    if (event->kind == RAW_NOTE && !is_still(c, event))
        return pass_note(c, event);
    step = (struct step){ c->at, rational_make(0, 1), 1 };
    switch (event->kind) {
    case RAW_BACKUP:
    case RAW_FORWARD:
        if (!is_still(c, event))
            move(c, cursor_quarters(c, event->amount),
                 event->kind == RAW_BACKUP);
        break;
    case RAW_DIVISIONS:
        set_divisions(c, event->amount);
        break;
    case RAW_KEY:
        if (event->key.traditional) {
            c->fifths = event->key.fifths;
            c->mode = event->key.mode;
        }
        break;
    case RAW_TRANSPOSE:
        set_transposition(c, event);
        break;
    default:
        break;
    }
    return step;
}

/* --- which parts ------------------------------------------------------ */

static const struct raw_part *part_wanted(const struct raw_score *score,
                                          const char *wanted)
{
    for (size_t i = 0; i < score->part_count; i++)
        if (strcasecmp(score->parts[i].id, wanted) == 0 ||
            strcasecmp(score->parts[i].name, wanted) == 0)
            return &score->parts[i];
    return NULL;
}

static enum status choose_parts(struct line *line, const char *wanted,
                                struct fault *why)
{
    const struct raw_score *score = line->score;

    if (score->part_count == 0)
        return fault_set(why, ST_INPUT, "the score has no parts");
    if (wanted && *wanted) {
        char safe[100];

        line->melody = part_wanted(score, wanted);
        if (!line->melody)
            return fault_set(why, ST_INPUT, "no part is called \"%s\"",
                             text_make_safe(safe, sizeof safe, wanted));
    }
    for (size_t i = 0; i < score->part_count; i++) {
        const struct raw_part *part = &score->parts[i];

        if (!line->melody && part->has_melody)
            line->melody = part;
        if (!line->harmony && part->has_harmony)
            line->harmony = part;
    }
    if (!line->melody)
        line->melody = &score->parts[0];
    if (line->melody->has_harmony || !line->harmony)
        line->harmony = line->melody;
    return ST_OK;
}

/* --- what was left out ------------------------------------------------ */

static void warn_left_out(struct line *line)
{
    struct raw_score *score = line->score;
    const char *id = line->melody->id;
    size_t others = 0;

    for (size_t i = 0; i < score->part_count; i++)
        others += &score->parts[i] != line->melody &&
                  score->parts[i].has_melody;
    if (others > 0)
        score_warn(score, "", "", "part",
                   "%zu other part%s with notes %s not in the line (choose "
                   "one with --part)", others, others == 1 ? "" : "s",
                   others == 1 ? "is" : "are");
    if (line->other_voices > 0)
        score_warn(score, id, "", "voice",
                   "%zu note%s of other voices not in the line",
                   line->other_voices, line->other_voices == 1 ? "" : "s");
    if (line->cues > 0)
        score_warn(score, id, "", "cue", "%zu cue note%s not in the line",
                   line->cues, line->cues == 1 ? "" : "s");
    if (line->unpitched > 0)
        score_warn(score, id, "", "unpitched",
                   "%zu unpitched note%s not in the line", line->unpitched,
                   line->unpitched == 1 ? "" : "s");
    if (line->out_of_range > 0)
        score_warn(score, id, "", "pitch",
                   "%zu note%s outside of MIDI 0 to 127 not in the line",
                   line->out_of_range, line->out_of_range == 1 ? "" : "s");
    if (line->note_count == 0)
        score_warn(score, id, "", "note", "no notes were found");
    else if (line->chord_count == 0)
        score_warn(score, id, "", "harmony", "no chord symbols were found");
}

enum status line_make(struct raw_score *score, const char *wanted,
                      struct fault *why)
{
    struct line line = { .score = score };
    enum status st = choose_parts(&line, wanted, why);

    if (st == ST_OK) {
        line_read_notes(&line);
        line_read_chords(&line);
        warn_left_out(&line);
        st = line.nomem || score->nomem ? fault_nomem(why) : ST_OK;
    }
    if (st == ST_OK)
        st = line_to_solo(&line, why);
    if (st == ST_OK) {
        line_read_header(&line);
        st = playorder_make(score, line.melody, why);
    }
    if (st == ST_OK && score->nomem)
        st = fault_nomem(why);
    free(line.notes);
    free(line.onsets);
    free(line.chords);
    free(line.bars);
    free(line.placed);
    return st;
}
