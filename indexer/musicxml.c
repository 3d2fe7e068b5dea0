/* indexer/musicxml.c - the streaming XML reader. */
#include "indexer/musicxml.h"

#include <libxml/parser.h>
#include <libxml/xmlerror.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "indexer/elements.h"
#include "indexer/score.h"
#include "schema/harmony.h"

enum {
    CHUNK = 64 * 1024,
    DEPTH_MAX = 64,           /* MusicXML itself needs about a dozen */
    ATTRIBUTES_MAX = 256,     /* of one element; it has some forty */
    /* Of one tag, comment or such: libxml2 compares the attributes of a tag
     * with each other, which takes for ever where there are millions. */
    TAG_MAX_BYTES = 256 * 1024,
    /* After so many bytes without a tag it is not sure that none is longer. */
    SURE_MAX_BYTES = 128 * 1024,
    TEXT_MAX_BYTES = 64 * 1024, /* of one element's text that is kept */
    HEAD = 256,               /* bytes in which an XML declaration must lie */
    NAMES = 128               /* names that are remembered; a power of two */
};

/* The parser keeps each name once, so that its address tells it. */
struct known_name {
    const xmlChar *name;
    enum element element;
    bool has_text;
};

struct reader {
    xmlParserCtxtPtr parser;
    struct container *container;
    size_t given, quiet; /* bytes in all, and since the last tag */
    bool ended;          /* no more bytes */
    struct known_name names[NAMES];
    struct raw_score score;
    struct elements *elements;
    enum element stack[DEPTH_MAX];
    int depth;
    char *text;
    size_t text_size, text_room;
    bool wants_text;
    struct fault *why;
    enum status st;
};

/* Stop reading with a fault that is not the XML parser's own. */
static void stop(struct reader *r, enum status st, const char *message)
{
    if (r->st != ST_OK)
        return;
    r->st = fault_set(r->why, st, "%s", message);
    if (r->why)
        r->why->line = xmlSAX2GetLineNumber(r->parser);
    xmlStopParser(r->parser);
}

static inline void stop_at_limits(struct reader *r)
{
    if (!r->score.nomem && !r->score.excess)
        return;
    if (r->score.nomem)
        stop(r, ST_NOMEM, "out of memory");
    else
        stop(r, ST_INPUT, r->score.excess);
}

/* --- attributes ------------------------------------------------------- */

enum { ATTRIBUTE_FIELDS = 5, ATTRIBUTE_SIZE = 256 };

struct sax_attributes {
    struct attributes base;
    const xmlChar **fields;
    int count;
    char *value; /* ATTRIBUTE_SIZE bytes, the last value asked for */
};

static const char *attribute_get(const struct attributes *self,
                                 const char *name)
{
    const struct sax_attributes *a = (const struct sax_attributes *)self;

    for (int i = 0; i < a->count; i++) {
        const xmlChar **field = a->fields + i * ATTRIBUTE_FIELDS;
        size_t len = (size_t)(field[4] - field[3]);

        if (strcmp((const char *)field[0], name) != 0)
            continue;
        if (len >= ATTRIBUTE_SIZE)
            len = ATTRIBUTE_SIZE - 1;
        memcpy(a->value, field[3], len);
        a->value[len] = '\0';
        return a->value;
    }
    return NULL;
}

/* --- SAX callbacks ---------------------------------------------------- */

static const struct known_name *know(struct reader *r, const xmlChar *name)
{
    uintptr_t address = (uintptr_t)name;
    struct known_name *known =
        &r->names[(address ^ address >> 7) % NAMES];

    if (known->name != name) {
        known->name = name;
        known->element = element_named((const char *)name);
        known->has_text = element_has_text(known->element);
    }
    return known;
}

static void check_root(struct reader *r, enum element element,
                       const xmlChar *name)
{
    char message[200], safe[64];

    if (element == EL_SCORE_PARTWISE || element == EL_SCORE_TIMEWISE)
        return;
    snprintf(message, sizeof message,
             "not a MusicXML score: the root element is <%s>, not "
             "<score-partwise> or <score-timewise>",
             text_make_safe(safe, sizeof safe, (const char *)name));
    stop(r, ST_INPUT, message);
}

static void on_start(void *context, const xmlChar *name,
                     const xmlChar *prefix, const xmlChar *uri,
                     int namespace_count, const xmlChar **namespaces,
                     int attribute_count, int defaulted,
                     const xmlChar **attributes)
{
    struct reader *r = context;
    const struct known_name *known = know(r, name);
    enum element element = known->element;
    char value[ATTRIBUTE_SIZE];
    struct sax_attributes a = { { attribute_get }, attributes,
                                attribute_count, value };

    (void)prefix, (void)uri, (void)namespace_count, (void)namespaces;
    (void)defaulted;
    r->quiet = 0;
    if (r->st != ST_OK)
        return;
    if (r->depth == 0)
        check_root(r, element, name);
    if (r->depth == DEPTH_MAX)
        stop(r, ST_INPUT, "elements are nested too deeply");
    if (attribute_count > ATTRIBUTES_MAX)
        stop(r, ST_INPUT, "an element has more than 256 attributes");
    if (r->st != ST_OK)
        return;
    r->stack[r->depth++] = element;
    r->wants_text = known->has_text;
    r->text_size = 0;
    if (element == EL_OTHER)
        return;
    elements_start(r->elements, element,
                   r->depth > 1 ? r->stack[r->depth - 2] : EL_OTHER, &a.base);
    stop_at_limits(r);
}

static void on_text(void *context, const xmlChar *text, int len)
{
    struct reader *r = context;
    size_t size = len > 0 ? (size_t)len : 0;

    if (!r->wants_text || r->st != ST_OK)
        return;
    if (size > TEXT_MAX_BYTES - r->text_size)
        size = TEXT_MAX_BYTES - r->text_size;
    if (r->text_size + size >= r->text_room) {
        size_t room = r->text_size + size + 256;
        char *grown = realloc(r->text, room);

        if (!grown) {
            stop(r, ST_NOMEM, "out of memory");
            return;
        }
        r->text = grown;
        r->text_room = room;
    }
    memcpy(r->text + r->text_size, text, size);
    r->text_size += size;
}

static bool is_blank(char c)
{
    return c == ' ' || c == '\t' || c == '\r' || c == '\n';
}

/* The collected text without blanks around it. */
static const char *trimmed_text(struct reader *r)
{
    char *start = r->text;

    if (!r->wants_text || r->text_size == 0)
        return "";
    r->text[r->text_size] = '\0';
    while (is_blank(*start))
        start++;
    for (char *end = r->text + r->text_size;
         end > start && is_blank(end[-1]);)
        *--end = '\0';
    return start;
}

static void on_end(void *context, const xmlChar *name, const xmlChar *prefix,
                   const xmlChar *uri)
{
    struct reader *r = context;
    enum element element;

    (void)name, (void)prefix, (void)uri;
    r->quiet = 0;
    if (r->st != ST_OK || r->depth == 0)
        return;
    element = r->stack[--r->depth];
    if (element == EL_OTHER)
        return;
    elements_end(r->elements, element,
                 r->depth > 0 ? r->stack[r->depth - 1] : EL_OTHER,
                 trimmed_text(r));
    r->wants_text = false;
    r->text_size = 0;
    stop_at_limits(r);
}

/* Scores have no use for entities of their own; files that declare them are
 * attacks or mistakes. */
static void on_entity_declared(void *context, const xmlChar *name, int type,
                               const xmlChar *public_id,
                               const xmlChar *system_id, xmlChar *content)
{
    (void)name, (void)type, (void)public_id, (void)system_id, (void)content;
    stop(context, ST_INPUT,
         "the file declares XML entities of its own, which are not read");
}

/* The parser's own words, but for two faults that it names oddly. */
static void name_error(const struct reader *r, const xmlError *error,
                       char *out, size_t size)
{
    char safe[200];

    text_make_safe(safe, sizeof safe, error->message ? error->message : "");
    for (size_t n = strlen(safe); n > 0 && safe[n - 1] == ' ';)
        safe[--n] = '\0';
    if (error->code == XML_ERR_DOCUMENT_EMPTY)
        snprintf(out, size, "not an XML file");
    else if (error->code == XML_ERR_DOCUMENT_END && r->depth > 0)
        snprintf(out, size, "the XML is cut short: the file ends inside of "
                 "an element");
    else
        snprintf(out, size, "not well-formed XML: %s", safe);
}

static void on_error(void *context, xmlErrorPtr error)
{
    struct reader *r = context;
    char text[300];

    if (error->level != XML_ERR_FATAL || r->st != ST_OK)
        return;
    name_error(r, error, text, sizeof text);
    r->st = fault_set(r->why, ST_INPUT, "%s", text);
    if (r->why)
        r->why->line = error->line;
}

static void on_plain_error(void *context, const char *format, ...)
{
    (void)context, (void)format; /* on_error() says it. */
}

static xmlSAXHandler handlers(void)
{
    xmlSAXHandler sax = { 0 };

    sax.initialized = XML_SAX2_MAGIC;
    sax.startElementNs = on_start;
    sax.endElementNs = on_end;
    sax.characters = on_text;
    /* Where it is the same, nobody asks whether all is blank. */
    sax.ignorableWhitespace = on_text;
    sax.cdataBlock = on_text;
    sax.entityDecl = on_entity_declared;
    sax.serror = (xmlStructuredErrorFunc)on_error;
    sax.error = sax.fatalError = on_plain_error;
    return sax;
}

/* --- encodings -------------------------------------------------------- */

/* Some programs label 8-bit bytes as UTF-16.  Blank the label out of the XML
 * declaration, so that they are read as UTF-8. */
static void mend_utf16_label(unsigned char *bytes, size_t size)
{
    size_t head = size < HEAD ? size : HEAD;
    unsigned char *end = memchr(bytes, '>', head);
    char text[HEAD + 1];
    char *label, *quote;

    if (!end || size < 5 || memcmp(bytes, "<?xml", 5) != 0)
        return;
    memcpy(text, bytes, (size_t)(end - bytes));
    text[end - bytes] = '\0';
    label = strstr(text, "encoding");
    quote = label ? strpbrk(label, "\"'") : NULL;
    if (!quote || strncasecmp(quote + 1, "utf-16", 6) != 0)
        return;
    quote = strchr(quote + 1, *quote);
    if (quote)
        memset(bytes + (label - text), ' ', (size_t)(quote + 1 - label));
}

/* --- the document ------------------------------------------------------
 *
 * libxml2 reads a document in two ways.  Where it asks for the bytes it is a
 * sixth faster, but knows less well when to stop, and what is wrong with a
 * file.  So that is tried first, and a file that is not well in every respect
 * is read anew by handing it the bytes, which is what decides.
 */

static void reader_close(struct reader *r)
{
    if (r->parser) {
        if (r->parser->myDoc)
            xmlFreeDoc(r->parser->myDoc);
        xmlFreeParserCtxt(r->parser);
    }
    elements_free(r->elements);
    solo_free(r->score.solo);
    raw_score_free(&r->score);
    free(r->text);
}

/* What has to be converted may end within a character. */
static bool is_converted(const struct reader *r)
{
    const xmlParserInput *input = r->parser->input;

    return input && input->buf && input->buf->encoder;
}

/* Some bytes that the parser asked for: an xmlInputReadCallback. */
static int give(void *context, char *buffer, int size)
{
    struct reader *r = context;
    size_t got = 0;

    if (r->st == ST_OK && r->quiet <= SURE_MAX_BYTES)
        r->st =
            container_read(r->container, buffer, (size_t)size, &got, NULL);
    if (r->st != ST_OK || r->quiet > SURE_MAX_BYTES || is_converted(r))
        return -1;
    if (r->given == 0)
        mend_utf16_label((unsigned char *)buffer, got);
    r->given += got;
    r->quiet += got;
    r->ended = got == 0;
    return (int)got;
}

/* Was the whole document read, and nothing wrong with it? */
static bool is_sure(const struct reader *r)
{
    const xmlParserInput *input = r->parser->input;

    return r->st == ST_OK && r->ended && r->parser->wellFormed &&
           !r->parser->disableSAX && !is_converted(r) && input &&
           input->cur == input->end;
}

/* Hand the parser the bytes of the document. */
static enum status feed(struct reader *r)
{
    unsigned char *chunk = malloc(CHUNK);
    size_t got = 0;
    enum status st = chunk ? ST_OK : fault_nomem(r->why);

    while (st == ST_OK && r->st == ST_OK) {
        st = container_read(r->container, chunk, CHUNK, &got, r->why);
        if (st != ST_OK || got == 0)
            break;
        if (r->given == 0)
            mend_utf16_label(chunk, got);
        r->given += got;
        xmlParseChunk(r->parser, (const char *)chunk, (int)got, 0);
        /* The parser gives up without an event on bytes that do not fit the
         * encoding. */
        if (r->st == ST_OK && r->parser->input &&
            r->parser->input->end - r->parser->input->cur > TAG_MAX_BYTES)
            stop(r, ST_INPUT, "a tag or comment is longer than 256 KB");
        if (r->st == ST_OK && r->parser->disableSAX)
            stop(r, ST_INPUT, "the bytes do not fit the encoding that the "
                 "file declares");
    }
    free(chunk);
    if (st == ST_OK && r->st == ST_OK && r->given == 0)
        return fault_set(r->why, ST_INPUT, "the file is empty");
    if (st == ST_OK && r->st == ST_OK)
        xmlParseChunk(r->parser, NULL, 0, 1);
    if (st == ST_OK)
        st = r->st;
    if (st == ST_OK && (!r->parser->wellFormed || r->parser->disableSAX))
        st = fault_set(r->why, ST_INPUT, "not well-formed XML");
    return st;
}

/* ASKS: the parser asks for the bytes, and nobody for a reason. */
static enum status reader_open(struct reader *r, struct container *c,
                               bool asks, struct fault *why)
{
    xmlSAXHandler sax = handlers();

    memset(r, 0, sizeof *r);
    r->container = c;
    r->why = asks ? NULL : why;
    r->score.solo = solo_new();
    r->elements = r->score.solo ? elements_new(&r->score) : NULL;
    if (r->elements)
        r->parser =
            asks ? xmlCreateIOParserCtxt(&sax, r, give, NULL, r,
                                         XML_CHAR_ENCODING_NONE)
                 : xmlCreatePushParserCtxt(&sax, r, NULL, 0, NULL);
    if (!r->parser)
        return fault_nomem(why);
    xmlCtxtUseOptions(r->parser, XML_PARSE_NONET | XML_PARSE_HUGE);
    return ST_OK;
}

static enum status read_document(struct reader *r, struct container *c,
                                 struct fault *why)
{
    enum status st = reader_open(r, c, true, why);

    if (st != ST_OK)
        return st;
    xmlParseDocument(r->parser);
    if (r->st == ST_NOMEM || xml_ran_out())
        return fault_nomem(why);
    if (is_sure(r))
        return ST_OK;
    reader_close(r);
    memset(r, 0, sizeof *r);
    st = container_rewind(c, why);
    if (st == ST_OK)
        st = reader_open(r, c, false, why);
    return st == ST_OK ? feed(r) : st;
}

/* --- the whole -------------------------------------------------------- */

static enum status move_warnings(struct raw_score *score, struct fault *why)
{
    struct solo *solo = score->solo;
    size_t size = score->warning_count * sizeof *score->warnings;

    solo->warnings = solo_alloc(solo, size + 1);
    if (!solo->warnings || score->nomem)
        return fault_nomem(why);
    if (size > 0)
        memcpy(solo->warnings, score->warnings, size);
    solo->warning_count = score->warning_count;
    return ST_OK;
}

enum status musicxml_read(struct solo **out, struct container *c,
                          const struct musicxml_options *options,
                          struct fault *why)
{
    struct reader r = { 0 };
    const char *wanted = options ? options->part : NULL, *note;
    enum status st;

    *out = NULL;
    xml_watch();
    st = read_document(&r, c, why);
    if (xml_ran_out())
        st = fault_nomem(why);
    if (st == ST_OK && container_fell_back(c, &note))
        score_warn(&r.score, "", "", "container", "%s", note);
    if (st == ST_OK) {
        elements_finish(r.elements);
        st = line_make(&r.score, wanted, why);
    }
    if (st == ST_OK)
        st = move_warnings(&r.score, why);
    if (st == ST_OK)
        st = harmony_analyse(r.score.solo, why);
    if (st == ST_OK) {
        solo_place_notes(r.score.solo);
        *out = r.score.solo;
        r.score.solo = NULL;
    }
    reader_close(&r);
    return st;
}

enum status musicxml_read_file(struct solo **out, const char *path,
                               const struct musicxml_options *options,
                               struct fault *why)
{
    struct file_bytes file = { 0 };
    struct container *c = NULL;
    enum status st = file_bytes_read(&file, path, why);

    *out = NULL;
    if (st == ST_OK)
        st = container_open(&c, &file, why);
    if (st == ST_OK)
        st = musicxml_read(out, c, options, why);
    container_close(c);
    file_bytes_free(&file);
    return st;
}
