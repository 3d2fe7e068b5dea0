/* query/handout_engrave.c - staff notation as pictures, by abcm2ps.
 *
 * The program reads ABC and writes one SVG a tune.  What it writes is read as
 * XML, and only elements that draw are taken over.
 */
#include "query/handout_engrave.h"

#include <errno.h>
#include <fcntl.h>
#include <libxml/parser.h>
#include <libxml/tree.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

#include "indexer/container.h"
#include "query/handout_abc.h"

/* How the tunes are set: without page margins, and no wider than a column. */
static const char setting[] =
    "%abc-2.1\n"
    "I:abc-charset utf-8\n"
    "%%pagewidth 18cm\n%%leftmargin 0.2cm\n%%rightmargin 0.2cm\n"
    "%%topspace 0\n%%botmargin 0\n%%topmargin 0\n"
    "%%gchordfont Helvetica-Bold 13\n%%annotationfont Helvetica-Bold 16\n"
    "%%vocalfont Helvetica-Bold 12\n%%stretchlast 0.4\n";

enum {
    EXIT_NO_PROGRAM = 127,
    KILLED = 256
};

/* --- the program -------------------------------------------------------- */

static void run_child(int in, int out)
{
    int nowhere;

    if (dup2(in, STDIN_FILENO) < 0 || dup2(out, STDOUT_FILENO) < 0)
        _exit(EXIT_NO_PROGRAM);
    /* What it says is about a file that the user never sees. */
    nowhere = open("/dev/null", O_WRONLY);
    if (nowhere >= 0)
        dup2(nowhere, STDERR_FILENO);
    execlp("abcm2ps", "abcm2ps", "-q", "-g", "-O", "-", "-", (char *)NULL);
    _exit(EXIT_NO_PROGRAM);
}

/* Run abcm2ps from the file IN to the file OUT.  Returns its exit status, or
 * KILLED and the signal that stopped it. */
static int run_engraver(FILE *in, FILE *out)
{
    int state = 0;
    pid_t child;

    rewind(in);
    child = fork();
    if (child == 0)
        run_child(fileno(in), fileno(out));
    if (child < 0)
        return EXIT_NO_PROGRAM;
    while (waitpid(child, &state, 0) < 0)
        if (errno != EINTR)
            return EXIT_NO_PROGRAM;
    return WIFEXITED(state) ? WEXITSTATUS(state) : KILLED + WTERMSIG(state);
}

static enum status temporary_fault(const char *what, struct fault *why)
{
    if (errno == ENOMEM)
        return fault_nomem(why);
    return fault_set(why, ST_IO, "cannot %s a temporary file: %s", what,
                     strerror(errno));
}

/* The whole of FILE, ended by NUL; the caller owns it. */
static enum status read_whole(char **out, FILE *file, struct fault *why)
{
    long size;

    *out = NULL;
    if (fseek(file, 0, SEEK_END) != 0 || (size = ftell(file)) < 0)
        return temporary_fault("read", why);
    rewind(file);
    *out = calloc(1, (size_t)size + 1);
    if (!*out)
        return fault_nomem(why);
    if (fread(*out, 1, (size_t)size, file) == (size_t)size)
        return ST_OK;
    free(*out);
    *out = NULL;
    return temporary_fault("read", why);
}

/* --- its pictures ------------------------------------------------------- */

/* Does an element of this name only draw? */
static bool is_drawing(const xmlChar *name)
{
    static const char *const names[] = {
        "svg",  "g",    "path",    "text",   "tspan",    "use",    "defs",
        "rect", "line", "ellipse", "circle", "polyline", "polygon"
    };

    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        if (strcmp((const char *)name, names[i]) == 0)
            return true;
    return false;
}

/* Put the number of the picture into an id, or a reference to one. */
static void number_attribute(xmlNodePtr node, xmlAttrPtr attribute,
                             size_t number)
{
    xmlChar *value = xmlNodeGetContent((xmlNodePtr)attribute);
    const char *text = value ? (const char *)value : "";
    bool reference = *text == '#';
    char numbered[256];

    snprintf(numbered, sizeof numbered, "%se%zu-%s", reference ? "#" : "",
             number, text + reference);
    if (attribute->ns)
        xmlSetNsProp(node, attribute->ns, attribute->name, BAD_CAST numbered);
    else
        xmlSetProp(node, attribute->name, BAD_CAST numbered);
    xmlFree(value);
}

static void clean_attributes(xmlNodePtr node, size_t number)
{
    xmlAttrPtr next;

    for (xmlAttrPtr a = node->properties; a; a = next) {
        const char *name = (const char *)a->name;

        next = a->next;
        if (strncasecmp(name, "on", 2) == 0)
            xmlRemoveProp(a);
        else if (strcmp(name, "id") == 0 || strcmp(name, "href") == 0)
            number_attribute(node, a, number);
    }
}

/* Leave only what draws below NODE. */
static void clean(xmlNodePtr node, size_t number)
{
    xmlNodePtr next;

    for (xmlNodePtr child = node->children; child; child = next) {
        next = child->next;
        if (child->type == XML_ELEMENT_NODE && is_drawing(child->name)) {
            clean_attributes(child, number);
            clean(child, number);
        } else if (child->type != XML_TEXT_NODE) {
            xmlUnlinkNode(child);
            xmlFreeNode(child);
        }
    }
}

/* The number at the start of TEXT ("816.00px"), as it is written. */
static int number_length(const xmlChar *text)
{
    return (int)strspn((const char *)text, "0123456789.");
}

/* The size of the picture becomes its view box, so that it can be scaled. */
static void set_size(xmlNodePtr svg)
{
    xmlChar *width = xmlGetProp(svg, BAD_CAST "width");
    xmlChar *height = xmlGetProp(svg, BAD_CAST "height");
    char box[64];

    if (width && height) {
        snprintf(box, sizeof box, "0 0 %.*s %.*s", number_length(width),
                 (const char *)width, number_length(height),
                 (const char *)height);
        xmlSetProp(svg, BAD_CAST "viewBox", BAD_CAST box);
    }
    xmlFree(width);
    xmlFree(height);
}

/* The text that a reader of the screen hears in place of the picture: the
 * notes, by name. */
static void describe(xmlNodePtr svg, const struct handout *handout,
                     const struct excerpt *excerpt)
{
    char text[1024] = "Staff notation: ", pitch[PITCH_TEXT_SIZE];
    char chord[CHORD_TEXT_SIZE];
    const struct passage *p = &excerpt->passage;
    size_t used = strlen(text);

    for (uint32_t i = p->first; i <= p->last && used < sizeof text - 1; i++)
        used += (size_t)snprintf(
            text + used, sizeof text - used, "%s%s", i > p->first ? " " : "",
            pitch_text(pitch, handout_pitch(handout, excerpt, i)));
    if (*handout_chord(chord, handout, excerpt) && used < sizeof text - 1)
        snprintf(text + used, sizeof text - used, " over %s", chord);
    xmlSetProp(svg, BAD_CAST "role", BAD_CAST "img");
    xmlSetProp(svg, BAD_CAST "aria-label", BAD_CAST text);
}

/* The picture in the SIZE bytes TEXT, cleaned; the caller owns it.  NULL where
 * it is none. */
static char *picture(const char *text, size_t size,
                     const struct handout *handout, size_t index)
{
    xmlDocPtr doc = xmlReadMemory(text, (int)size, NULL, NULL,
                                  XML_PARSE_NONET | XML_PARSE_NOERROR |
                                      XML_PARSE_NOWARNING);
    xmlNodePtr root = doc ? xmlDocGetRootElement(doc) : NULL;
    /* Not xmlNodeDump(): where memory runs out, libxml2 2.9 frees its buffer
     * and leaves it with the caller, too. */
    xmlOutputBufferPtr buffer = root ? xmlAllocOutputBuffer(NULL) : NULL;
    const char *drawn;
    char *out = NULL;

    if (buffer && strcmp((const char *)root->name, "svg") == 0) {
        clean(root, index + 1);
        /* The page says what colour notes have, by day and by night. */
        xmlUnsetProp(root, BAD_CAST "color");
        set_size(root);
        describe(root, handout, &handout->excerpts[index]);
        xmlNodeDumpOutput(buffer, doc, root, 0, 0, NULL);
        xmlOutputBufferFlush(buffer);
        drawn = (const char *)xmlOutputBufferGetContent(buffer);
        out = drawn ? strndup(drawn, xmlOutputBufferGetSize(buffer)) : NULL;
    }
    if (buffer)
        xmlOutputBufferClose(buffer);
    xmlFreeDoc(doc);
    return out;
}

static void take_pictures(struct engraving *out, const char *text,
                          const struct handout *handout)
{
    const char *start = text;

    for (size_t i = 0; i < out->count; i++) {
        const char *end;

        start = strstr(start, "<svg");
        end = start ? strstr(start, "</svg>") : NULL;
        if (!end)
            return;
        end += strlen("</svg>");
        out->svg[i] = picture(start, (size_t)(end - start), handout, i);
        start = end;
    }
}

/* Have the tunes in IN engraved and take the pictures over. */
static enum status draw(struct engraving *out, FILE *in, FILE *drawn,
                        const struct handout *handout, struct fault *why)
{
    int ended = run_engraver(in, drawn);
    char *text;
    enum status st;

    if (ended >= KILLED)
        return fault_set(why, ST_IO,
                         "abcm2ps was stopped by signal %d before the staves "
                         "were drawn; write the page again", ended - KILLED);
    out->missing = ended == EXIT_NO_PROGRAM;
    st = read_whole(&text, drawn, why);
    if (st != ST_OK)
        return st;
    xml_watch();
    errno = 0;
    take_pictures(out, text, handout);
    free(text);
    return xml_ran_out() || errno == ENOMEM ? fault_nomem(why) : ST_OK;
}

/* --- all of it ---------------------------------------------------------- */

static enum status write_tunes(FILE *in, const struct handout *handout,
                               struct fault *why)
{
    enum status st = ST_OK;

    fputs(setting, in);
    for (size_t i = 0; i < handout->count && st == ST_OK; i++) {
        const struct passage *passage = &handout->excerpts[i].passage;
        struct notation notation;

        st = notation_make(&notation, passage, &handout->view, why);
        if (st == ST_OK) {
            putc('\n', in);
            abc_tune(in, &notation, i + 1, NULL, passage->first, passage->last);
        }
        notation_free(&notation);
    }
    if (st == ST_OK && (fflush(in) != 0 || ferror(in)))
        st = temporary_fault("write", why);
    return st;
}

enum status engrave(struct engraving *out, const struct handout *handout,
                    struct fault *why)
{
    FILE *in = tmpfile(), *drawn = in ? tmpfile() : NULL;
    enum status st = ST_OK;

    *out = (struct engraving){ .count = handout->count };
    out->svg = calloc(handout->count + 1, sizeof *out->svg);
    if (!in || !drawn)
        st = temporary_fault("make", why);
    else if (!out->svg)
        st = fault_nomem(why);
    if (st == ST_OK)
        st = write_tunes(in, handout, why);
    if (st == ST_OK)
        st = draw(out, in, drawn, handout, why);
    if (in)
        fclose(in);
    if (drawn)
        fclose(drawn);
    return st;
}

void engraving_free(struct engraving *engraving)
{
    for (size_t i = 0; engraving->svg && i < engraving->count; i++)
        free(engraving->svg[i]);
    free(engraving->svg);
    engraving->svg = NULL;
}
