#include "tests/demo/score.h"

#include <stdio.h>

/* The score being written.  A failed write shows at the end of the
 * document, so the small writers below do not test each call. */
struct pen {
    xmlTextWriterPtr x;
    const struct solo_spec *spec;
    const struct chart *chart;
    const struct line *line;
    int next_span; /* first chord that is not written yet */
};

static const xmlChar *u(const char *text)
{
    return (const xmlChar *)text;
}

static void open_tag(struct pen *p, const char *name)
{
    xmlTextWriterStartElement(p->x, u(name));
}

static void close_tag(struct pen *p)
{
    xmlTextWriterEndElement(p->x);
}

static void attribute(struct pen *p, const char *name, const char *value)
{
    xmlTextWriterWriteAttribute(p->x, u(name), u(value));
}

static void text(struct pen *p, const char *name, const char *value)
{
    xmlTextWriterWriteElement(p->x, u(name), u(value));
}

static void number(struct pen *p, const char *name, int value)
{
    xmlTextWriterWriteFormatElement(p->x, u(name), "%d", value);
}

static void empty(struct pen *p, const char *name)
{
    open_tag(p, name);
    close_tag(p);
}

/* <NAME KEY="VALUE"/> */
static void mark(struct pen *p, const char *name, const char *key,
                 const char *value)
{
    open_tag(p, name);
    attribute(p, key, value);
    close_tag(p);
}

void score_key_name(const struct solo_spec *spec, char *out, size_t size)
{
    bool minor = tunes[spec->tune].minor;
    char tonic[8];

    spelling_name(spec->fifths + (minor ? 3 : 0), tonic, sizeof tonic);
    snprintf(out, size, "%s %s", tonic, minor ? "minor" : "major");
}

static void write_identification(struct pen *p)
{
    const struct tune *tune = &tunes[p->spec->tune];

    open_tag(p, "work");
    text(p, "work-title", tune->title);
    close_tag(p);
    open_tag(p, "identification");
    open_tag(p, "creator");
    attribute(p, "type", "composer");
    xmlTextWriterWriteString(p->x, u(tune->composer));
    close_tag(p);
    open_tag(p, "creator");
    attribute(p, "type", "performer");
    xmlTextWriterWriteString(p->x, u(players[p->spec->player].name));
    close_tag(p);
    text(p, "rights", "Invented for demonstration. MIT licence.");
    open_tag(p, "encoding");
    text(p, "software", "compose, the generator of this demo corpus");
    close_tag(p);
    close_tag(p);
}

static void write_part_list(struct pen *p)
{
    const struct instrument *i = &instruments[p->spec->instrument];

    open_tag(p, "part-list");
    open_tag(p, "score-part");
    attribute(p, "id", "P1");
    text(p, "part-name", i->name);
    text(p, "part-abbreviation", i->abbreviation);
    open_tag(p, "score-instrument");
    attribute(p, "id", "P1-I1");
    text(p, "instrument-name", i->name);
    text(p, "instrument-sound", i->sound);
    close_tag(p);
    close_tag(p);
    close_tag(p);
}

static void write_transpose(struct pen *p, const struct instrument *i)
{
    if (i->chromatic == 0)
        return;
    open_tag(p, "transpose");
    number(p, "diatonic", i->diatonic);
    number(p, "chromatic", i->chromatic);
    if (i->octave)
        number(p, "octave-change", i->octave);
    close_tag(p);
}

static void write_attributes(struct pen *p)
{
    const struct instrument *i = &instruments[p->spec->instrument];
    const struct tune *tune = &tunes[p->spec->tune];
    int up;

    open_tag(p, "attributes");
    number(p, "divisions", DIVISIONS);
    open_tag(p, "key");
    number(p, "fifths", notate_key(p->spec, &up));
    text(p, "mode", tune->minor ? "minor" : "major");
    close_tag(p);
    open_tag(p, "time");
    number(p, "beats", tune->beats);
    number(p, "beat-type", 4);
    close_tag(p);
    open_tag(p, "clef");
    text(p, "sign", i->clef);
    number(p, "line", i->clef_line);
    if (i->clef_octave)
        number(p, "clef-octave-change", i->clef_octave);
    close_tag(p);
    write_transpose(p, i);
    close_tag(p);
}

static void write_tempo(struct pen *p)
{
    open_tag(p, "direction");
    attribute(p, "placement", "above");
    open_tag(p, "direction-type");
    open_tag(p, "words");
    attribute(p, "font-weight", "bold");
    xmlTextWriterWriteString(p->x, u(p->spec->feel));
    close_tag(p);
    close_tag(p);
    open_tag(p, "direction-type");
    open_tag(p, "metronome");
    attribute(p, "parentheses", "no");
    text(p, "beat-unit", "quarter");
    number(p, "per-minute", p->spec->tempo);
    close_tag(p);
    close_tag(p);
    open_tag(p, "sound");
    xmlTextWriterWriteFormatAttribute(p->x, u("tempo"), "%d",
                                      p->spec->tempo);
    open_tag(p, "swing");
    number(p, "first", 2);
    number(p, "second", 1);
    text(p, "swing-type", "eighth");
    close_tag(p);
    close_tag(p);
    close_tag(p);
}

/* A direction of one text element: words or rehearsal. */
static void write_direction(struct pen *p, const char *element,
                            const char *value)
{
    open_tag(p, "direction");
    attribute(p, "placement", "above");
    open_tag(p, "direction-type");
    text(p, element, value);
    close_tag(p);
    close_tag(p);
}

/* <PREFIX-step> and <PREFIX-alter> of a sounding spelling, as written. */
static void write_root(struct pen *p, const char *prefix, int fifths)
{
    char name[24], step[2] = { 0, 0 };
    int written = notate_root(p->spec, fifths);

    step[0] = "CDEFGAB"[spelling_letter(written)];
    snprintf(name, sizeof name, "%s-step", prefix);
    open_tag(p, prefix);
    text(p, name, step);
    if (spelling_alter(written)) {
        snprintf(name, sizeof name, "%s-alter", prefix);
        number(p, name, spelling_alter(written));
    }
    close_tag(p);
}

static void write_kind(struct pen *p, const struct chord *chord)
{
    open_tag(p, "kind");
    attribute(p, "text", chord->silent ? "N.C." : chord->quality->text);
    xmlTextWriterWriteString(p->x, u(chord->silent ? "none"
                                     : chord->quality->kind));
    close_tag(p);
}

static void write_degree(struct pen *p, const struct chord *chord,
                         const struct alteration *a)
{
    /* "sus4" in the text already says what the added seventh is for. */
    bool hidden = chord->quality->family == FAM_SUSPENDED;

    open_tag(p, "degree");
    if (hidden)
        attribute(p, "print-object", "no");
    number(p, "degree-value", a->value);
    number(p, "degree-alter", a->alter);
    open_tag(p, "degree-type");
    attribute(p, "text", "");
    xmlTextWriterWriteString(p->x, u(a->type));
    close_tag(p);
    close_tag(p);
}

/* OFFSET is in ticks from where the score stands now. */
static void write_chord(struct pen *p, const struct chord *chord, int offset)
{
    open_tag(p, "harmony");
    if (chord->silent) {
        open_tag(p, "root");
        open_tag(p, "root-step");
        attribute(p, "text", "");
        xmlTextWriterWriteString(p->x, u("C"));
        close_tag(p);
        close_tag(p);
    } else {
        write_root(p, "root", chord->root);
    }
    write_kind(p, chord);
    if (!chord->silent && chord->bass != NO_BASS)
        write_root(p, "bass", chord->bass);
    for (int i = 0; !chord->silent && i < chord->quality->nalterations; i++)
        write_degree(p, chord, &chord->quality->alteration[i]);
    if (offset)
        number(p, "offset", offset);
    close_tag(p);
}

/* The chords that fall inside the sign that starts at TICK. */
static void write_chords(struct pen *p, int tick, int duration)
{
    const struct chart *c = p->chart;

    for (; p->next_span < c->nspans
           && c->span[p->next_span].start < tick + duration; p->next_span++) {
        const struct span *span = &c->span[p->next_span];

        if (span->shown)
            write_chord(p, &span->chord, span->start - tick);
    }
}

static void write_pitch(struct pen *p, const struct sign *s)
{
    int alter = spelling_alter(s->fifths);
    char step[2] = { 0, 0 };

    step[0] = "CDEFGAB"[spelling_letter(s->fifths)];
    open_tag(p, "pitch");
    text(p, "step", step);
    if (alter)
        number(p, "alter", alter);
    number(p, "octave", (s->midi - alter) / 12 - 1);
    close_tag(p);
}

static void write_accidental(struct pen *p, const struct sign *s)
{
    static const char *const names[] = { "flat", "natural", "sharp" };

    if (s->accidental)
        text(p, "accidental", names[spelling_alter(s->fifths) + 1]);
}

static void write_tuplet_time(struct pen *p, const struct sign *s)
{
    if (s->tuplet == TUPLET_NONE)
        return;
    open_tag(p, "time-modification");
    number(p, "actual-notes", 3);
    number(p, "normal-notes", 2);
    text(p, "normal-type",
         s->tuplet == TUPLET_EIGHTH ? "eighth" : "quarter");
    close_tag(p);
}

static void write_notations(struct pen *p, const struct sign *s)
{
    if (!s->tie_stop && !s->tie_start && !s->tuplet_start && !s->tuplet_stop)
        return;
    open_tag(p, "notations");
    if (s->tie_stop)
        mark(p, "tied", "type", "stop");
    if (s->tie_start)
        mark(p, "tied", "type", "start");
    if (s->tuplet_start) {
        open_tag(p, "tuplet");
        attribute(p, "type", "start");
        attribute(p, "bracket",
                  s->tuplet == TUPLET_QUARTER || !s->beam[0] ? "yes" : "no");
        close_tag(p);
    }
    if (s->tuplet_stop)
        mark(p, "tuplet", "type", "stop");
    close_tag(p);
}

static void write_sign_head(struct pen *p, const struct sign *s)
{
    if (s->grace)
        mark(p, "grace", "slash", "yes");
    if (s->rest && s->whole_bar)
        mark(p, "rest", "measure", "yes");
    else if (s->rest)
        empty(p, "rest");
    else
        write_pitch(p, s);
    if (!s->grace)
        number(p, "duration", s->duration);
    if (s->tie_stop)
        mark(p, "tie", "type", "stop");
    if (s->tie_start)
        mark(p, "tie", "type", "start");
}

static void write_sign(struct pen *p, const struct sign *s)
{
    open_tag(p, "note");
    write_sign_head(p, s);
    number(p, "voice", 1);
    if (s->type)
        text(p, "type", s->type);
    for (int i = 0; i < s->dots; i++)
        empty(p, "dot");
    if (!s->rest)
        write_accidental(p, s);
    write_tuplet_time(p, s);
    for (int level = 0; level < 2; level++)
        if (s->beam[level]) {
            open_tag(p, "beam");
            xmlTextWriterWriteFormatAttribute(p->x, u("number"), "%d",
                                              level + 1);
            xmlTextWriterWriteString(p->x, u(s->beam[level]));
            close_tag(p);
        }
    write_notations(p, s);
    close_tag(p);
}

static void write_ending(struct pen *p, int which, const char *type)
{
    open_tag(p, "ending");
    xmlTextWriterWriteFormatAttribute(p->x, u("number"), "%d", which);
    attribute(p, "type", type);
    close_tag(p);
}

static void write_left(struct pen *p, const struct bar *bar)
{
    if (!bar->repeat_start && !bar->ending)
        return;
    open_tag(p, "barline");
    attribute(p, "location", "left");
    if (bar->repeat_start)
        text(p, "bar-style", "heavy-light");
    if (bar->ending)
        write_ending(p, bar->ending, "start");
    if (bar->repeat_start)
        mark(p, "repeat", "direction", "forward");
    close_tag(p);
}

static void write_right(struct pen *p, int at)
{
    const struct bar *bar = &p->chart->bar[at];
    bool last = at == p->chart->nbars - 1, twice;
    enum marks marks = p->spec->marks;

    twice = (bar->section_end && marks != MARKS_NONE && marks != MARKS_CHORUS)
        || (bar->chorus_end && marks != MARKS_NONE);
    if (!last && !bar->repeat_end && !bar->ending_end && !twice)
        return;
    open_tag(p, "barline");
    attribute(p, "location", "right");
    text(p, "bar-style", last || bar->repeat_end ? "light-heavy"
                         : twice ? "light-light" : "regular");
    if (bar->ending_end)
        write_ending(p, bar->repeat_end ? 1 : 2,
                     bar->repeat_end ? "stop" : "discontinue");
    if (bar->repeat_end)
        mark(p, "repeat", "direction", "backward");
    close_tag(p);
}

static void write_bar_marks(struct pen *p, int at)
{
    const struct bar *bar = &p->chart->bar[at];
    char words[32];

    if (p->spec->marks == MARKS_LETTERS && bar->letter)
        write_direction(p, "rehearsal", bar->letter);
    if (p->spec->marks == MARKS_CHORUS && bar->chorus_head) {
        snprintf(words, sizeof words, "Chorus %d", bar->chorus + 1);
        write_direction(p, "words", words);
    }
    if (bar->repeat_start && p->spec->repeats == REPEATS_CHORUS)
        write_direction(p, "words", "play twice");
}

/* What stands in bar AT (-1: the pickup) inside <measure> or its part. */
static bool write_bar(struct pen *p, int at)
{
    struct measure m;
    bool first = at == (p->line->sound[0].onset < 0 ? -1 : 0);
    int length = p->chart->beats * DIVISIONS;

    if (!notate_bar(p->spec, p->chart, p->line, at, &m))
        return false;
    if (at > 0 && at % 4 == 0)
        mark(p, "print", "new-system", "yes");
    if (at >= 0)
        write_left(p, &p->chart->bar[at]);
    if (first) {
        write_attributes(p);
        write_tempo(p);
    }
    if (at >= 0)
        write_bar_marks(p, at);
    for (int i = 0; i < m.nsigns; i++) {
        if (at >= 0)
            write_chords(p, at * length + m.sign[i].at, m.sign[i].duration);
        write_sign(p, &m.sign[i]);
    }
    if (at >= 0)
        write_right(p, at);
    return true;
}

static bool write_measures(struct pen *p)
{
    bool timewise = p->spec->packing == PACK_TIMEWISE;
    int at = p->line->sound[0].onset < 0 ? -1 : 0;

    for (; at < p->chart->nbars; at++) {
        open_tag(p, "measure");
        xmlTextWriterWriteFormatAttribute(p->x, u("number"), "%d", at + 1);
        if (at < 0)
            attribute(p, "implicit", "yes");
        if (timewise) {
            open_tag(p, "part");
            attribute(p, "id", "P1");
        }
        if (!write_bar(p, at))
            return false;
        if (timewise)
            close_tag(p);
        close_tag(p);
    }
    return true;
}

static bool write_document(struct pen *p)
{
    bool timewise = p->spec->packing == PACK_TIMEWISE;
    const char *root = timewise ? "score-timewise" : "score-partwise";

    xmlTextWriterSetIndent(p->x, 1);
    xmlTextWriterSetIndentString(p->x, u(" "));
    xmlTextWriterStartDocument(p->x, "1.0", "UTF-8", "no");
    xmlTextWriterWriteDTD(p->x, u(root),
        u(timewise ? "-//Recordare//DTD MusicXML 4.0 Timewise//EN"
                   : "-//Recordare//DTD MusicXML 4.0 Partwise//EN"),
        u(timewise ? "http://www.musicxml.org/dtds/timewise.dtd"
                   : "http://www.musicxml.org/dtds/partwise.dtd"), NULL);
    open_tag(p, root);
    attribute(p, "version", "4.0");
    write_identification(p);
    write_part_list(p);
    if (!timewise) {
        open_tag(p, "part");
        attribute(p, "id", "P1");
    }
    if (!write_measures(p))
        return false;
    return xmlTextWriterEndDocument(p->x) >= 0;
}

xmlBufferPtr score_write(const struct solo_spec *spec,
                         const struct chart *chart, const struct line *line)
{
    xmlBufferPtr buffer = xmlBufferCreate();
    struct pen pen = { NULL, spec, chart, line, 0 };
    bool done = false;

    pen.x = buffer ? xmlNewTextWriterMemory(buffer, 0) : NULL;
    if (pen.x) {
        done = write_document(&pen);
        xmlFreeTextWriter(pen.x);
    }
    if (!done && buffer) {
        xmlBufferFree(buffer);
        buffer = NULL;
    }
    return buffer;
}
