/* query/handout_musicxml.c - a handout as MusicXML 4.0.
 *
 * One part.  Each excerpt restates key, metre and chord, so that it reads the
 * same wherever it stands, and ends with a double bar.
 */
#include <libxml/xmlwriter.h>
#include <stdlib.h>
#include <string.h>

#include "indexer/container.h"
#include "query/accidentals.h"
#include "query/handout.h"
#include "schema/version.h"

enum {
    DIVISIONS_MAX = 1 << 24,
    TEXT_SIZE = 1024
};

struct xml_page {
    xmlTextWriterPtr xml;
    const struct handout *handout;
    const struct excerpt *excerpt;
    struct notation notation; /* of the excerpt */
    size_t index;      /* of the excerpt */
    int64_t divisions; /* of a quarter, in the whole file */
    bool failed;
};

/* --- elements ------------------------------------------------------------- */

static void open_element(struct xml_page *p, const char *name)
{
    if (xmlTextWriterStartElement(p->xml, BAD_CAST name) < 0)
        p->failed = true;
}

static void close_element(struct xml_page *p)
{
    if (xmlTextWriterEndElement(p->xml) < 0)
        p->failed = true;
}

static void attribute(struct xml_page *p, const char *name, const char *value)
{
    if (xmlTextWriterWriteAttribute(p->xml, BAD_CAST name, BAD_CAST value) < 0)
        p->failed = true;
}

static void element(struct xml_page *p, const char *name, const char *value)
{
    if (xmlTextWriterWriteElement(p->xml, BAD_CAST name, BAD_CAST value) < 0)
        p->failed = true;
}

static void number_element(struct xml_page *p, const char *name, int64_t value)
{
    char text[24];

    snprintf(text, sizeof text, "%lld", (long long)value);
    element(p, name, text);
}

static void empty_element(struct xml_page *p, const char *name,
                          const char *type)
{
    open_element(p, name);
    if (type)
        attribute(p, "type", type);
    close_element(p);
}

/* An element with text from a file. */
static void said_element(struct xml_page *p, const char *name,
                         const char *value)
{
    char safe[TEXT_SIZE];

    element(p, name, text_make_safe(safe, sizeof safe, value));
}

/* TICKS of the notation in divisions; to the nearest where they are finer. */
static int64_t in_divisions(const struct xml_page *p, int64_t ticks)
{
    int64_t n = ticks * p->divisions;

    return (n + p->notation.ticks / 2) / p->notation.ticks;
}

/* --- pitches and chords --------------------------------------------------- */

static void step_and_alter(struct xml_page *p, const char *prefix,
                           struct pitch pitch)
{
    char name[32], step[2] = { "CDEFGAB"[pitch.step], '\0' };
    char alter[24];

    snprintf(name, sizeof name, "%sstep", prefix);
    element(p, name, step);
    if (pitch.alter == 0)
        return;
    snprintf(name, sizeof name, "%salter", prefix);
    if (pitch.alter % 100 == 0)
        snprintf(alter, sizeof alter, "%d", pitch.alter / 100);
    else
        snprintf(alter, sizeof alter, "%s%d.%02d", pitch.alter < 0 ? "-" : "",
                 abs(pitch.alter) / 100, abs(pitch.alter) % 100);
    element(p, name, alter);
}

static void write_pitch(struct xml_page *p, struct pitch pitch)
{
    open_element(p, "pitch");
    step_and_alter(p, "", pitch);
    number_element(p, "octave", pitch.octave);
    close_element(p);
}

static void write_degree(struct xml_page *p, const struct chord_degree *degree)
{
    static const char *const types[] = { "add", "alter", "subtract" };

    open_element(p, "degree");
    number_element(p, "degree-value", degree->value);
    number_element(p, "degree-alter", degree->alter);
    element(p, "degree-type", types[degree->change]);
    close_element(p);
}

/* The symbol of CHORD without root and bass. */
static const char *suffix_of(char *out, size_t size, const struct chord *chord)
{
    char root[PITCH_TEXT_SIZE], *slash;

    snprintf(out, size, "%s",
             chord->has_root
                 ? chord->symbol + strlen(pitch_class_text(root, chord->root))
                 : chord->symbol);
    slash = chord->has_root && chord->bass_pc != chord->root_pc
                ? strrchr(out, '/')
                : NULL;
    if (slash)
        *slash = '\0';
    return out;
}

static void write_harmony(struct xml_page *p, const struct sign_chord *sign,
                          int64_t cursor)
{
    const struct chord *chord = &sign->chord;
    struct chord_degree degrees[CHORD_DEGREES_MAX];
    char suffix[CHORD_TEXT_SIZE];
    int count = 0;
    int kind = chord->class == CHORD_NONE
                   ? KIND_NONE
                   : chord_nearest_kind(chord, degrees, &count);

    open_element(p, "harmony");
    open_element(p, "root");
    step_and_alter(p, "root-", chord->root);
    close_element(p);
    open_element(p, "kind");
    attribute(p, "text", suffix_of(suffix, sizeof suffix, chord));
    xmlTextWriterWriteString(p->xml, BAD_CAST chord_kind_name(kind));
    close_element(p);
    if (chord->has_root && chord->bass_pc != chord->root_pc) {
        open_element(p, "bass");
        step_and_alter(p, "bass-", chord->bass);
        close_element(p);
    }
    for (int i = 0; i < count; i++)
        write_degree(p, &degrees[i]);
    if (sign->at != cursor)
        number_element(p, "offset",
                       in_divisions(p, sign->at) - in_divisions(p, cursor));
    close_element(p);
}

/* --- notes ---------------------------------------------------------------- */

static const char *value_name(int value)
{
    static const char *const names[] = { "breve",  "whole", "half", "quarter",
                                         "eighth", "16th",  "32nd", "64th",
                                         "128th",  "256th" };

    return names[value + 1];
}

static void write_notations(struct xml_page *p, const struct sign *sign,
                            bool tied_from)
{
    if (!tied_from && !sign->tied && !sign->tuplet_start && !sign->tuplet_stop)
        return;
    open_element(p, "notations");
    if (tied_from)
        empty_element(p, "tied", "stop");
    if (sign->tied)
        empty_element(p, "tied", "start");
    if (sign->tuplet_start)
        empty_element(p, "tuplet", "start");
    if (sign->tuplet_stop)
        empty_element(p, "tuplet", "stop");
    close_element(p);
}

static void write_beams(struct xml_page *p, const struct sign *sign)
{
    static const char *const words[] = {
        "", "begin", "continue", "end", "forward hook", "backward hook"
    };

    for (int level = 0; level < BEAM_LEVELS && sign->beams[level]; level++) {
        char number[4];

        snprintf(number, sizeof number, "%d", level + 1);
        open_element(p, "beam");
        attribute(p, "number", number);
        xmlTextWriterWriteString(p->xml, BAD_CAST words[sign->beams[level]]);
        close_element(p);
    }
}

static void write_value(struct xml_page *p, const struct sign *sign)
{
    if (sign->whole_bar)
        return;
    element(p, "type", value_name(sign->value));
    for (int i = 0; i < sign->dots; i++)
        empty_element(p, "dot", NULL);
}

static void write_lyric(struct xml_page *p, const char *text)
{
    open_element(p, "lyric");
    attribute(p, "number", "1");
    attribute(p, "placement", "below");
    element(p, "syllabic", "single");
    element(p, "text", text);
    close_element(p);
}

static void write_note(struct xml_page *p, const struct sign *sign,
                       struct accidentals *seen, bool tied_from)
{
    const char *accidental;

    open_element(p, "note");
    if (sign->note >= 0) {
        write_pitch(p, sign->pitch);
    } else {
        open_element(p, "rest");
        if (sign->whole_bar)
            attribute(p, "measure", "yes");
        close_element(p);
    }
    number_element(p, "duration",
                   in_divisions(p, sign->at + sign->duration) -
                       in_divisions(p, sign->at));
    if (tied_from)
        empty_element(p, "tie", "stop");
    if (sign->tied)
        empty_element(p, "tie", "start");
    element(p, "voice", "1");
    write_value(p, sign);
    accidental =
        sign->note >= 0 ? accidentals_needed(seen, sign->pitch, tied_from) : "";
    if (*accidental)
        element(p, "accidental", accidental);
    if (sign->actual > 0) {
        open_element(p, "time-modification");
        number_element(p, "actual-notes", sign->actual);
        number_element(p, "normal-notes", sign->normal);
        close_element(p);
    }
    write_beams(p, sign);
    write_notations(p, sign, tied_from);
    if (sign->degree)
        write_lyric(p, sign->degree);
    close_element(p);
}

/* --- what stands above and around ----------------------------------------- */

static void write_words(struct xml_page *p, const char *text, bool bold)
{
    char safe[TEXT_SIZE];

    open_element(p, "direction");
    attribute(p, "placement", "above");
    open_element(p, "direction-type");
    open_element(p, "words");
    if (bold)
        attribute(p, "font-weight", "bold");
    xmlTextWriterWriteString(p->xml,
                             BAD_CAST text_make_safe(safe, sizeof safe, text));
    close_element(p);
    close_element(p);
    close_element(p);
}

/* A bracket above the fragment, from its first note to its last. */
static void write_bracket(struct xml_page *p, const char *type)
{
    open_element(p, "direction");
    attribute(p, "placement", "above");
    open_element(p, "direction-type");
    open_element(p, "bracket");
    attribute(p, "type", type);
    attribute(p, "number", "1");
    attribute(p, "line-end", "down");
    attribute(p, "line-type", "solid");
    close_element(p);
    close_element(p);
    close_element(p);
}

/* One time element: 3+2/8 as it stands; another spelling is left out. */
static void write_time(struct xml_page *p, const char *metre)
{
    const char *slash = strchr(metre, '/');
    char beats[32];

    open_element(p, "time");
    if (slash && strspn(metre, "0123456789+/") == strlen(metre)) {
        snprintf(beats, sizeof beats, "%.*s", (int)(slash - metre), metre);
        element(p, "beats", beats);
        element(p, "beat-type", slash + 1);
    } else {
        element(p, "senza-misura", "");
    }
    close_element(p);
}

static void write_key(struct xml_page *p, const struct notation_bar *bar)
{
    open_element(p, "key");
    number_element(p, "fifths", bar->fifths);
    if (bar->mode == MODE_MAJOR || bar->mode == MODE_MINOR)
        element(p, "mode", bar->mode == MODE_MAJOR ? "major" : "minor");
    close_element(p);
}

static void write_clef(struct xml_page *p)
{
    bool bass = p->notation.view.bass_clef;

    open_element(p, "clef");
    element(p, "sign", bass ? "F" : "G");
    element(p, "line", bass ? "4" : "2");
    close_element(p);
}

/* From written to sounding. */
static void write_transpose(struct xml_page *p, const struct notation_bar *bar)
{
    int chromatic = -p->notation.view.chromatic, diatonic = -bar->diatonic;
    int octaves = chromatic / 12;

    open_element(p, "transpose");
    number_element(p, "diatonic", diatonic - 7 * octaves);
    number_element(p, "chromatic", chromatic - 12 * octaves);
    if (octaves != 0)
        number_element(p, "octave-change", octaves);
    close_element(p);
}

/* What changed since the bar BEFORE; everything where it is NULL. */
static void write_attributes(struct xml_page *p, const struct notation_bar *bar,
                             const struct notation_bar *before)
{
    const struct bar *bars = p->notation.solo->bars;
    const char *metre = bars[bar->bar].metre;
    bool key = !before || bar->fifths != before->fifths;
    bool time = !before || strcmp(metre, bars[before->bar].metre) != 0;
    bool moved = !before || bar->diatonic != before->diatonic;

    if (!key && !time && !moved)
        return;
    open_element(p, "attributes");
    if (!before && p->index == 0)
        number_element(p, "divisions", p->divisions);
    if (key)
        write_key(p, bar);
    if (time)
        write_time(p, metre);
    if (!before && p->index == 0)
        write_clef(p);
    if (moved)
        write_transpose(p, bar);
    close_element(p);
}

static void write_barline(struct xml_page *p, bool last)
{
    open_element(p, "barline");
    attribute(p, "location", "right");
    element(p, "bar-style", last ? "light-heavy" : "light-light");
    close_element(p);
}

static void write_heading(struct xml_page *p)
{
    const struct excerpt *e = p->excerpt;
    char cite[TEXT_SIZE];

    if (*e->heading &&
        (p->index == 0 || strcmp(e->heading, e[-1].heading) != 0))
        write_words(p, e->heading, true);
    write_words(p, handout_cite(cite, sizeof cite, p->handout, p->index),
                false);
    if (*e->remark)
        write_words(p, e->remark, false);
}

/* --- bars ----------------------------------------------------------------- */

static void write_signs(struct xml_page *p, const struct notation_bar *bar,
                        bool tied_from)
{
    struct accidentals seen;
    size_t chord = 0;

    accidentals_start(&seen, bar->fifths);
    for (size_t i = 0; i < bar->sign_count; i++) {
        const struct sign *sign = &bar->signs[i];
        size_t note = (size_t)sign->note;

        while (chord < bar->chord_count &&
               bar->chords[chord].at < sign->at + sign->duration)
            write_harmony(p, &bar->chords[chord++], sign->at);
        if (sign->marked && sign->starts && note == p->excerpt->passage.first)
            write_bracket(p, "start");
        write_note(p, sign, &seen, tied_from);
        if (sign->marked && !sign->tied && note == p->excerpt->passage.last)
            write_bracket(p, "stop");
        tied_from = sign->tied;
    }
    while (chord < bar->chord_count)
        write_harmony(p, &bar->chords[chord++], bar->length);
}

static bool ends_tied(const struct notation_bar *bar)
{
    return bar->sign_count > 0 && bar->signs[bar->sign_count - 1].tied;
}

static void write_bar(struct xml_page *p, size_t index)
{
    const struct notation *n = &p->notation;
    const struct notation_bar *bar = &n->bars[index];
    const struct bar *printed = &n->solo->bars[bar->bar];
    bool last = index + 1 == n->bar_count;
    char number[TEXT_SIZE];

    open_element(p, "measure");
    attribute(p, "number",
              text_make_safe(number, sizeof number, printed->number));
    if (printed->implicit)
        attribute(p, "implicit", "yes");
    if (index == 0 && p->index > 0) {
        open_element(p, "print");
        attribute(p, "new-system", "yes");
        close_element(p);
    }
    write_attributes(p, bar, index > 0 ? &n->bars[index - 1] : NULL);
    if (index == 0)
        write_heading(p);
    write_signs(p, bar, index > 0 && ends_tied(&n->bars[index - 1]));
    if (last)
        write_barline(p, p->index + 1 == p->handout->count);
    close_element(p);
}

/* --- the file ------------------------------------------------------------- */

static void write_front(struct xml_page *p)
{
    open_element(p, "work");
    said_element(p, "work-title", p->handout->title);
    close_element(p);
    open_element(p, "identification");
    element(p, "rights", handout_rights);
    open_element(p, "encoding");
    element(p, "software", "Cellar " CELLAR_VERSION);
    close_element(p);
    close_element(p);
    open_element(p, "part-list");
    open_element(p, "score-part");
    attribute(p, "id", "P1");
    element(p, "part-name", "Excerpts");
    close_element(p);
    close_element(p);
}

/* Make a quarter divided by PARTS a whole number of divisions; where they would
 * be too many, as many as there may be, and times are rounded. */
static void refine(struct xml_page *p, int64_t parts)
{
    int64_t more = parts / rational_gcd(p->divisions, parts);

    if (more > DIVISIONS_MAX / p->divisions)
        p->divisions = DIVISIONS_MAX;
    else
        p->divisions *= more;
}

/* The least number of divisions in which every time of the excerpts is a whole
 * number.  A length that no value has is written as several, and the last may
 * be finer than any time of the solo. */
static enum status choose_divisions(struct xml_page *p, struct fault *why)
{
    enum status st = ST_OK;

    /* Ties divide notes at beats, which may be finer than the notes. */
    p->divisions = 16;
    for (size_t i = 0; i < p->handout->count && st == ST_OK; i++) {
        const struct passage *passage = &p->handout->excerpts[i].passage;
        struct notation n;

        refine(p, passage->solo->ticks);
        st = notation_make(&n, passage, &p->handout->view, why);
        for (size_t bar = 0; bar < n.bar_count && st == ST_OK; bar++)
            for (size_t k = 0; k < n.bars[bar].sign_count; k++)
                refine(p, n.ticks / rational_gcd(n.bars[bar].signs[k].duration,
                                                 n.ticks));
        notation_free(&n);
    }
    return st;
}

static enum status write_excerpts(struct xml_page *p, struct fault *why)
{
    enum status st = ST_OK;

    for (size_t i = 0; i < p->handout->count && st == ST_OK; i++) {
        p->index = i;
        p->excerpt = &p->handout->excerpts[i];
        st = notation_make(&p->notation, &p->excerpt->passage,
                           &p->handout->view, why);
        for (size_t bar = 0; bar < p->notation.bar_count && st == ST_OK; bar++)
            write_bar(p, bar);
        notation_free(&p->notation);
    }
    return st;
}

static enum status write_document(struct xml_page *p, struct fault *why)
{
    enum status st;

    xmlTextWriterSetIndent(p->xml, 1);
    xmlTextWriterStartDocument(p->xml, NULL, NULL, NULL); /* UTF-8 */
    xmlTextWriterWriteDTD(
        p->xml, BAD_CAST "score-partwise",
        BAD_CAST "-//Recordare//DTD MusicXML 4.0 Partwise//EN",
        BAD_CAST "http://www.musicxml.org/dtds/partwise.dtd", NULL);
    open_element(p, "score-partwise");
    attribute(p, "version", "4.0");
    write_front(p);
    open_element(p, "part");
    attribute(p, "id", "P1");
    st = write_excerpts(p, why);
    xmlTextWriterEndDocument(p->xml);
    return st == ST_OK && p->failed ? fault_nomem(why) : st;
}

static int put_bytes(void *context, const char *bytes, int count)
{
    return (int)fwrite(bytes, 1, (size_t)count, context);
}

enum status handout_musicxml(FILE *out, const struct handout *handout,
                             struct fault *why)
{
    struct xml_page page = { .handout = handout };
    xmlOutputBufferPtr buffer;
    enum status st;

    xml_watch();
    buffer = xmlOutputBufferCreateIO(put_bytes, NULL, out, NULL);
    page.xml = buffer ? xmlNewTextWriter(buffer) : NULL;
    if (!page.xml) {
        xmlOutputBufferClose(buffer);
        return fault_nomem(why);
    }
    st = choose_divisions(&page, why);
    if (st == ST_OK)
        st = write_document(&page, why);
    xmlFreeTextWriter(page.xml);
    return xml_ran_out() ? fault_nomem(why) : st;
}
