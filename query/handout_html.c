/* query/handout_html.c - a handout as one page of HTML that needs no network.
 *
 * Everything that comes from a file or a user is escaped where it is written.
 */
#include <inttypes.h>
#include <stdlib.h>
#include <string.h>

#include "page_css.h"
#include "page_js.h"
#include "query/handout.h"
#include "query/handout_engrave.h"

enum {
    CITE_SIZE = 1024,
    DEFAULT_TEMPO = 12000, /* hundredths, where the solo has none */
    PLOT_WIDTH = 320,
    PLOT_HEIGHT = 70, /* of the bars; labels stand below */
    PLOT_PLACES = 256
};

static void put_text(FILE *out, const char *text)
{
    char safe[CITE_SIZE];

    text_make_safe(safe, sizeof safe, text);
    for (const char *c = safe; *c; c++)
        switch (*c) {
        case '<':
            fputs("&lt;", out);
            break;
        case '>':
            fputs("&gt;", out);
            break;
        case '&':
            fputs("&amp;", out);
            break;
        case '"':
            fputs("&quot;", out);
            break;
        case '\'':
            fputs("&#39;", out);
            break;
        default:
            putc(*c, out);
        }
}

/* <TAG>TEXT</TAG>; the text keeps its own direction. */
static void put_element(FILE *out, const char *tag, const char *text)
{
    fprintf(out, "<%s><bdi>", tag);
    put_text(out, text);
    fprintf(out, "</bdi></%s>", tag);
}

/* --- plots -------------------------------------------------------------- */

/* How often something comes at each of COUNT places. */
struct plot {
    const char *title, *what; /* "Bars of the chorus", "bar" */
    int counts[PLOT_PLACES];
    int count;
    const char *const *names; /* of the places; NULL: numbers from 1 */
};

static void put_place(FILE *out, const struct plot *plot, int i)
{
    if (plot->names)
        fputs(plot->names[i], out);
    else
        fprintf(out, "%d", i + 1);
}

/* In words, for those who do not see it: "bar 1: 4, bar 5: 2". */
static void put_plot_words(FILE *out, const struct plot *plot)
{
    fprintf(out, "%s", plot->title);
    for (int i = 0; i < plot->count; i++) {
        if (plot->counts[i] == 0)
            continue;
        fprintf(out, ", %s", plot->what);
        put_place(out, plot, i);
        fprintf(out, ": %d", plot->counts[i]);
    }
}

static void put_plot_bars(FILE *out, const struct plot *plot, int most)
{
    for (int i = 0; i < plot->count; i++) {
        int left = PLOT_WIDTH * i / plot->count;
        int width = PLOT_WIDTH * (i + 1) / plot->count - left;
        int height = PLOT_HEIGHT * plot->counts[i] / most;
        bool label = plot->names || plot->count <= 16 || i % 4 == 0;

        if (plot->counts[i] > 0)
            fprintf(out, "<rect x=\"%d\" y=\"%d\" width=\"%d\" height=\"%d\"/>",
                    left + 1, 10 + PLOT_HEIGHT - height,
                    width > 3 ? width - 2 : width, height);
        if (!label)
            continue;
        fprintf(out, "<text x=\"%d\" y=\"%d\" text-anchor=\"middle\">",
                left + width / 2, PLOT_HEIGHT + 22);
        put_place(out, plot, i);
        fputs("</text>", out);
    }
}

static void put_plot(FILE *out, const struct plot *plot)
{
    int most = 1;

    for (int i = 0; i < plot->count; i++)
        if (plot->counts[i] > most)
            most = plot->counts[i];
    fprintf(out,
            "<div class=\"plot\"><h3>%s</h3><svg viewBox=\"0 0 %d %d\" "
            "role=\"img\" aria-label=\"",
            plot->title, PLOT_WIDTH, PLOT_HEIGHT + 26);
    put_plot_words(out, plot);
    fprintf(out, "\"><line x1=\"0\" x2=\"%d\" y1=\"%d\" y2=\"%d\"/>",
            PLOT_WIDTH, PLOT_HEIGHT + 11, PLOT_HEIGHT + 11);
    put_plot_bars(out, plot, most);
    fputs("</svg></div>\n", out);
}

/* Where in the form, and over which roots. */
static void put_plots(FILE *out, const struct handout *handout)
{
    static const char *const keys[12] = { "C",  "Db", "D",  "Eb", "E",  "F",
                                          "F#", "G",  "Ab", "A",  "Bb", "B" };
    struct plot form = { .title = "Bars of the chorus", .what = "bar " };
    struct plot roots = { .title = "Roots of the chords (sounding)",
                          .what = "",
                          .names = keys,
                          .count = 12 };
    bool rooted = false;

    for (size_t i = 0; i < handout->count; i++) {
        const struct excerpt *e = &handout->excerpts[i];

        if (e->chorus_bar > 0 && e->chorus_bar <= PLOT_PLACES) {
            form.counts[e->chorus_bar - 1]++;
            if (e->form_bars > form.count && e->form_bars <= PLOT_PLACES)
                form.count = e->form_bars;
            if (e->chorus_bar > form.count)
                form.count = e->chorus_bar;
        }
        if (e->key >= 0 && e->key < 12) {
            roots.counts[e->key]++;
            rooted = true;
        }
    }
    if (form.count == 0 && !rooted)
        return;
    fputs(
        "<section class=\"plots\" aria-label=\"Where the excerpts "
        "stand\">\n",
        out);
    if (form.count > 0)
        put_plot(out, &form);
    if (rooted)
        put_plot(out, &roots);
    fputs("</section>\n", out);
}

/* --- excerpts ----------------------------------------------------------- */

static int64_t thousandths(const struct solo *solo, int64_t ticks)
{
    return (ticks * 1000 + solo->ticks / 2) / solo->ticks;
}

/* The button with what it plays: all that is written. */
static void put_button(FILE *out, const struct excerpt *e)
{
    const struct passage *p = &e->passage;
    const struct solo *solo = p->solo;
    int64_t start = solo->bars[p->first_bar].start;
    int32_t tempo = e->tempo > 0 ? e->tempo : DEFAULT_TEMPO;
    const char *blank = "";

    fprintf(out,
            "<button type=\"button\" aria-pressed=\"false\" "
            "data-tempo=\"%d.%02d\" data-notes=\"",
            (int)(tempo / 100), (int)(tempo % 100));
    for (size_t i = 0; i < solo->note_count; i++) {
        const struct note *note = &solo->notes[i];

        if (note->bar < p->first_bar || note->bar > p->last_bar)
            continue;
        fprintf(out, "%s%" PRId64 ",%" PRId64 ",%d", blank,
                thousandths(solo, note->start - start),
                thousandths(solo, note->duration), note->midi);
        blank = " ";
    }
    fputs("\">Listen</button>", out);
}

/* Names and degrees, where there is no picture. */
static void put_names(FILE *out, const struct notation *notation)
{
    char text[PITCH_TEXT_SIZE];

    for (int degrees = 0; degrees < 2; degrees++) {
        fprintf(out, "<tr><th scope=\"row\">%s</th>",
                degrees ? "degrees" : "notes");
        for (size_t b = 0; b < notation->bar_count; b++)
            for (size_t i = 0; i < notation->bars[b].sign_count; i++) {
                const struct sign *sign = &notation->bars[b].signs[i];

                if (!sign->marked || !sign->starts)
                    continue;
                fputs("<td>", out);
                put_text(out, !degrees       ? pitch_text(text, sign->pitch)
                              : sign->degree ? sign->degree
                                             : "");
                fputs("</td>", out);
            }
        fputs("</tr>", out);
    }
}

static enum status put_table(FILE *out, const struct handout *handout,
                             const struct excerpt *e, struct fault *why)
{
    struct notation notation;
    enum status st = notation_make(&notation, &e->passage, &handout->view, why);

    if (st == ST_OK) {
        fputs("<table>", out);
        put_names(out, &notation);
        fputs("</table>", out);
    }
    notation_free(&notation);
    return st;
}

static void put_caption(FILE *out, const struct handout *handout, size_t index)
{
    const struct excerpt *e = &handout->excerpts[index];
    char cite[CITE_SIZE], chord[CHORD_TEXT_SIZE];

    fputs("<figcaption>", out);
    put_element(out, "strong", handout_cite(cite, sizeof cite, handout, index));
    if (*handout_chord(chord, handout, e)) {
        fputs(" <span>over ", out);
        put_text(out, chord);
        fputs("</span>", out);
    }
    put_button(out, e);
    if (*e->remark) {
        fputs("<span class=\"remark\"><bdi>", out);
        put_text(out, e->remark);
        fputs("</bdi></span>", out);
    }
    fputs("</figcaption>\n", out);
}

static bool starts_group(const struct handout *handout, size_t i)
{
    const struct excerpt *e = &handout->excerpts[i];

    return *e->heading && (i == 0 || strcmp(e->heading, e[-1].heading) != 0);
}

static enum status put_excerpts(FILE *out, const struct handout *handout,
                                const struct engraving *engraving,
                                struct fault *why)
{
    enum status st = ST_OK;

    for (size_t i = 0; i < handout->count && st == ST_OK; i++) {
        const char *svg = engraving->svg[i];

        if (starts_group(handout, i)) {
            put_element(out, "h2", handout->excerpts[i].heading);
            putc('\n', out);
        }
        fprintf(out, "<figure id=\"excerpt-%zu\">\n", i + 1);
        put_caption(out, handout, i);
        if (svg)
            fputs(svg, out);
        else
            st = put_table(out, handout, &handout->excerpts[i], why);
        fputs("\n</figure>\n", out);
    }
    return st;
}

/* --- the page ----------------------------------------------------------- */

static void put_contents(FILE *out, const struct handout *handout)
{
    fputs("<nav aria-label=\"Contents\"><ol>\n", out);
    for (size_t i = 0; i < handout->count; i++) {
        const struct excerpt *e = &handout->excerpts[i];

        fprintf(out, "<li><a href=\"#excerpt-%zu\"><bdi>", i + 1);
        put_text(out, *e->title ? e->title : e->path);
        fputs("</bdi>", out);
        if (*e->place)
            fputs(", ", out);
        put_text(out, e->place);
        fputs("</a></li>\n", out);
    }
    fputs("</ol></nav>\n", out);
}

static void put_head(FILE *out, const struct handout *handout)
{
    fputs(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n"
        "<meta charset=\"utf-8\">\n"
        "<meta name=\"viewport\" content=\"width=device-width, "
        "initial-scale=1\">\n"
        "<meta http-equiv=\"Content-Security-Policy\" "
        "content=\"default-src 'none'; style-src 'unsafe-inline'; "
        "script-src 'nonce-listen'\">\n<title>",
        out);
    put_text(out, handout->title);
    fprintf(out, "</title>\n<style>\n%s</style>\n</head>\n<body>\n", page_css);
}

static void put_about(FILE *out, const struct handout *handout, bool missing)
{
    static const char *const readers[READERS] = {
        [READER_CONCERT] = "at concert pitch",
        [READER_BB] = "for an instrument in Bb",
        [READER_EB] = "for an instrument in Eb",
        [READER_F] = "for an instrument in F",
        [READER_BASS] = "in the bass clef, at concert pitch",
    };

    put_element(out, "h1", handout->title);
    fprintf(out,
            "\n<p class=\"about\">%zu excerpt%s, written %s. The fragment "
            "stands between brackets, its degrees below the notes.</p>\n",
            handout->count, handout->count == 1 ? "" : "s",
            readers[handout->reader]);
    if (missing)
        fputs(
            "<p class=\"about\">Install abcm2ps (Debian: apt install "
            "abcm2ps) and write this page again to have staff "
            "notation.</p>\n",
            out);
    fputs(
        "<p class=\"sounds\"><label>Swing <input id=\"swing\" "
        "type=\"range\" min=\"50\" max=\"75\" value=\"62\" "
        "aria-label=\"Where the second eighth falls in the beat, in "
        "percent\"></label></p>\n",
        out);
}

enum status handout_html(FILE *out, const struct handout *handout,
                         struct fault *why)
{
    struct engraving engraving;
    enum status st = engrave(&engraving, handout, why);

    if (st == ST_OK) {
        put_head(out, handout);
        put_about(out, handout, engraving.missing);
        put_contents(out, handout);
        put_plots(out, handout);
        st = put_excerpts(out, handout, &engraving, why);
        fprintf(out,
                "<footer>%s</footer>\n<script nonce=\"listen\">\n%s"
                "</script>\n</body>\n</html>\n",
                handout_rights, page_js);
    }
    engraving_free(&engraving);
    return st;
}
