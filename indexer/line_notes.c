/* indexer/line_notes.c - the top line of the first voice, ties joined. */
#include <limits.h>
#include <stdlib.h>
#include <string.h>

#include "indexer/line.h"

static bool in_line(const struct placed *p)
{
    return (p->event->note.flags & RAW_PITCHED) &&
           !(p->event->note.flags & (RAW_GRACE | RAW_CUE));
}

static bool is_rest(const struct placed *p)
{
    return (p->event->note.flags & RAW_REST) &&
           !(p->event->note.flags & (RAW_GRACE | RAW_CUE));
}

/* Sounding = written + transposition, in cents, rounded half up. */
static int sounding_midi(struct pitch written, struct rational chromatic)
{
    struct rational moved =
        chromatic.num == 0 ? chromatic
                           : rational_mul(chromatic, rational_make(100, 1));
    int64_t cents = (written.octave + 1) * 1200 +
                    pitch_step_semitones(written.step) * 100 + written.alter +
                    moved.num / moved.den + 50;

    return (int)(cents >= 0 ? cents / 100 : -((-cents + 99) / 100));
}

static void place(struct line *line, struct cursor *c,
                  const struct raw_event *event, struct step step)
{
    struct placed *p = line_grow(line, line->placed, line->placed_count,
                                 &line->placed_room, sizeof *p);
    struct transposition t = cursor_transposition(c, event->staff);

    if (!p)
        return;
    line->placed = p;
    p += line->placed_count++;
    p->event = event;
    p->onset = step.onset;
    p->duration = step.duration;
    p->voice = step.voice;
    p->midi = 0;
    if (!(event->note.flags & RAW_PITCHED))
        return;
    p->midi = sounding_midi(event->note.pitch, t.chromatic);
    p->sounding = pitch_transpose(event->note.pitch,
                                  (int)(t.chromatic.num / t.chromatic.den),
                                  t.diatonic);
}

/* The lowest voice of the bar that has a note or rest. */
static int lead_voice(const struct line *line)
{
    int voice = INT_MAX;

    for (size_t i = 0; i < line->placed_count; i++)
        if (line->placed[i].voice < voice)
            voice = line->placed[i].voice;
    return voice;
}

/* By onset; at one onset grace notes first, then the highest note first, and
 * rests last. */
static int compare_placed(const void *left, const void *right)
{
    const struct placed *a = left, *b = right;
    int order = rational_compare(a->onset, b->onset);
    bool grace_a = a->event->note.flags & RAW_GRACE;
    bool grace_b = b->event->note.flags & RAW_GRACE;

    if (order != 0)
        return order;
    if (grace_a != grace_b)
        return grace_a ? -1 : 1;
    if (in_line(a) != in_line(b))
        return in_line(a) ? -1 : 1;
    if (a->midi != b->midi)
        return a->midi > b->midi ? -1 : 1;
    return a->event < b->event ? -1 : a->event > b->event;
}

static void remember_onset(struct line *line, size_t bar,
                           const struct placed *p)
{
    struct onset_event *o = line_grow(line, line->onsets, line->onset_count,
                                      &line->onset_room, sizeof *o);

    if (!o)
        return;
    line->onsets = o;
    o += line->onset_count++;
    o->bar = bar;
    o->onset = p->onset;
    o->duration = p->duration;
}

static void add_note(struct line *line, size_t bar, const struct placed *p)
{
    struct line_note *last =
        line->note_count ? &line->notes[line->note_count - 1] : NULL;
    bool tied_on = p->event->note.flags & RAW_TIE_START;
    struct line_note *n;

    remember_onset(line, bar, p);
    if (last && last->tied_on && !line->rest_pending &&
        last->midi == p->midi) {
        last->duration = rational_add(last->duration, p->duration);
        last->tied_on = tied_on;
        return;
    }
    n = line_grow(line, line->notes, line->note_count, &line->note_room,
                  sizeof *n);
    if (!n)
        return;
    line->notes = n;
    n += line->note_count++;
    memset(n, 0, sizeof *n);
    n->bar = bar;
    n->onset = p->onset;
    n->duration = p->duration;
    n->sounding = p->sounding;
    n->written = p->event->note.pitch;
    n->midi = p->midi;
    n->grace = line->grace_pending;
    n->rest_before = line->rest_pending;
    n->tied_on = tied_on;
    line->rest_pending = false;
    line->grace_pending = 0;
}

static void count_left_out(struct line *line, const struct placed *p,
                           int voice)
{
    unsigned int flags = p->event->note.flags;

    if ((flags & RAW_GRACE) || (flags & RAW_REST))
        return;
    if (flags & RAW_CUE)
        line->cues++;
    else if (flags & RAW_UNPITCHED)
        line->unpitched++;
    else if (p->voice != voice)
        line->other_voices++;
}

/* One event an onset: the highest sounding pitch. */
static void take_bar(struct line *line, size_t bar)
{
    const struct placed *taken = NULL;
    int voice = lead_voice(line);

    line_sort(line->placed, line->placed_count, sizeof *line->placed,
              compare_placed);
    for (size_t i = 0; i < line->placed_count; i++) {
        const struct placed *p = &line->placed[i];

        count_left_out(line, p, voice);
        if (p->event->note.flags & RAW_GRACE)
            line->score->solo->graces++;
        if (p->voice != voice)
            continue;
        if (p->event->note.flags & RAW_GRACE) {
            line->grace_pending++;
        } else if (is_rest(p)) {
            line->score->solo->rests++;
            line->rest_pending = true;
        } else if (in_line(p) &&
                   (!taken ||
                    rational_compare(taken->onset, p->onset) != 0)) {
            if (p->midi < 0 || p->midi > 127) {
                line->out_of_range++;
                continue;
            }
            taken = p;
            add_note(line, bar, p);
        }
    }
}

/* The bar is as long as what stands in it; an empty one as its metre. */
static void end_bar(struct line *line, const struct cursor *c, size_t bar,
                    struct rational nominal)
{
    struct line_bar *b = &line->bars[bar];

    b->nominal = nominal;
    b->length = c->furthest.num > 0 ? c->furthest : b->nominal;
    line->lost |= c->furthest.lost;
}

/* Room for the notes of a usual part at once: to grow means to move. */
static void make_room(struct line *line)
{
    enum { USUAL = 4096 };
    size_t room = line->melody->event_count;

    room = room < USUAL ? room + 1 : USUAL;
    line->notes = malloc(room * sizeof *line->notes);
    line->onsets = malloc(room * sizeof *line->onsets);
    line->note_room = line->notes ? room : 0;
    line->onset_room = line->onsets ? room : 0;
}

void line_read_notes(struct line *line)
{
    const struct raw_part *part = line->melody;
    size_t bars = part->bar_count > line->harmony->bar_count
                      ? part->bar_count
                      : line->harmony->bar_count;
    struct rational nominal = metre_quarters("");
    struct cursor c;

    line->bars = calloc(bars + 1, sizeof *line->bars);
    if (!line->bars) {
        line->nomem = true;
        return;
    }
    make_room(line);
    cursor_start(&c, line->score, part, false);
    for (size_t bar = 0; bar < bars && !line->nomem; bar++) {
        cursor_start_bar(&c, bar, RAW_NOTE);
        line->placed_count = 0;
        for (size_t i = 0; bar < part->bar_count && i < part->bars[bar].count;
             i++) {
            const struct raw_event *event =
                &part->events[part->bars[bar].first + i];
            struct step step = cursor_pass(&c, event);

            if (event->kind == RAW_NOTE)
                place(line, &c, event, step);
            else if (event->kind == RAW_TIME && event->staff <= 1)
                nominal = metre_quarters(event->metre);
        }
        take_bar(line, bar);
        end_bar(line, &c, bar, nominal);
    }
}
