/* query/late_xml.c - libxml2, loaded when it is first needed.
 *
 * Loading it, and the tables of Unicode behind it, takes longer than most
 * questions do, and only a fragment from a file and a handout need it.  So
 * `cellar` is linked with these functions instead, which have the names of
 * those that it uses, load the library and hand over.  The headers of libxml2
 * see to it that they are declared alike; one that is missing here is a
 * reference that the linker does not find.  Whoever else uses those modules
 * (cellar-index, the tests) is linked with the library itself.
 */
#include <dlfcn.h>
#include <errno.h>
#include <libxml/SAX2.h>
#include <libxml/globals.h>
#include <libxml/parser.h>
#include <libxml/threads.h>
#include <libxml/tree.h>
#include <libxml/xmlwriter.h>
#include <stdio.h>
#include <stdlib.h>

#include "schema/status.h"

/* The Makefile asks the linker. */
#ifndef LIBXML_SONAME
#define LIBXML_SONAME "libxml2.so.2"
#endif

/* As the loader does where a library is missing.  Where memory ran out it has
 * words of its own for what it could not make. */
static void give_up(void)
{
    if (errno == ENOMEM) {
        fputs("cellar: out of memory\n", stderr);
        exit(status_exit_code(ST_NOMEM));
    }
    fprintf(stderr, "cellar: a library that reads and writes MusicXML cannot "
                    "be loaded: %s\n", dlerror());
    exit(status_exit_code(ST_INTERNAL));
}

static void *find_symbol(const char *name)
{
    static void *library;
    void *symbol;

    errno = 0;
    if (!library)
        library = dlopen(LIBXML_SONAME, RTLD_NOW | RTLD_LOCAL);
    symbol = library ? dlsym(library, name) : NULL;
    if (!symbol)
        give_up();
    return symbol;
}

/* A function NAME that hands over to that of the library.  POSIX lets a
 * function be kept in a void *.  One thread of `cellar` alone asks for them. */
#define HAND_OVER(type, name, parameters, arguments)  \
    type name parameters                              \
    {                                                 \
        static type(*function) parameters;            \
                                                      \
        if (!function)                                \
            *(void **)&function = find_symbol(#name); \
        return function arguments;                    \
    }
#define HAND_OVER_VOID(name, parameters, arguments)   \
    void name parameters                              \
    {                                                 \
        static void (*function) parameters;           \
                                                      \
        if (!function)                                \
            *(void **)&function = find_symbol(#name); \
        function arguments;                           \
    }

/* The library's is a variable. */
static void free_late(void *memory)
{
    xmlFreeFunc *function = find_symbol("xmlFree");

    (*function)(memory);
}
xmlFreeFunc xmlFree = free_late;

/* --- to read --------------------------------------------------------------- */

HAND_OVER(int, xmlMemSetup,
          (xmlFreeFunc release, xmlMallocFunc make, xmlReallocFunc resize,
           xmlStrdupFunc copy),
          (release, make, resize, copy))
HAND_OVER_VOID(xmlInitParser, (void), ())
#if LIBXML_VERSION < 21200
HAND_OVER(int, xmlIsMainThread, (void), ())
HAND_OVER(xmlGlobalStatePtr, xmlGetGlobalState, (void), ())
HAND_OVER_VOID(xmlThrDefSetGenericErrorFunc,
               (void *context, xmlGenericErrorFunc handler),
               (context, handler))
#endif
HAND_OVER_VOID(xmlSetGenericErrorFunc,
               (void *context, xmlGenericErrorFunc handler),
               (context, handler))
HAND_OVER_VOID(xmlSetStructuredErrorFunc,
               (void *context, xmlStructuredErrorFunc handler),
               (context, handler))
HAND_OVER(xmlParserCtxtPtr, xmlNewParserCtxt, (void), ())
HAND_OVER(xmlParserCtxtPtr, xmlCreatePushParserCtxt,
          (xmlSAXHandlerPtr sax, void *data, const char *chunk, int size,
           const char *name),
          (sax, data, chunk, size, name))
HAND_OVER(xmlParserCtxtPtr, xmlCreateIOParserCtxt,
          (xmlSAXHandlerPtr sax, void *data, xmlInputReadCallback reader,
           xmlInputCloseCallback closer, void *context, xmlCharEncoding kind),
          (sax, data, reader, closer, context, kind))
HAND_OVER(int, xmlParseDocument, (xmlParserCtxtPtr parser), (parser))
HAND_OVER(int, xmlCtxtUseOptions, (xmlParserCtxtPtr parser, int options),
          (parser, options))
HAND_OVER(int, xmlParseChunk,
          (xmlParserCtxtPtr parser, const char *chunk, int size, int last),
          (parser, chunk, size, last))
HAND_OVER(int, xmlSAX2GetLineNumber, (void *parser), (parser))
HAND_OVER_VOID(xmlStopParser, (xmlParserCtxtPtr parser), (parser))
HAND_OVER_VOID(xmlFreeParserCtxt, (xmlParserCtxtPtr parser), (parser))
HAND_OVER(xmlDocPtr, xmlReadMemory,
          (const char *bytes, int size, const char *name,
           const char *encoding, int options),
          (bytes, size, name, encoding, options))
HAND_OVER(xmlDocPtr, xmlCtxtReadMemory,
          (xmlParserCtxtPtr parser, const char *bytes, int size,
           const char *name, const char *encoding, int options),
          (parser, bytes, size, name, encoding, options))

/* --- trees ----------------------------------------------------------------- */

HAND_OVER(xmlNodePtr, xmlDocGetRootElement, (const xmlDoc *doc), (doc))
HAND_OVER_VOID(xmlFreeDoc, (xmlDocPtr doc), (doc))
HAND_OVER_VOID(xmlUnlinkNode, (xmlNodePtr node), (node))
HAND_OVER_VOID(xmlFreeNode, (xmlNodePtr node), (node))
HAND_OVER(xmlChar *, xmlNodeGetContent, (const xmlNode *node), (node))
HAND_OVER(xmlChar *, xmlGetProp, (const xmlNode *node, const xmlChar *name),
          (node, name))
HAND_OVER(xmlChar *, xmlGetNoNsProp,
          (const xmlNode *node, const xmlChar *name), (node, name))
HAND_OVER(xmlAttrPtr, xmlSetProp,
          (xmlNodePtr node, const xmlChar *name, const xmlChar *value),
          (node, name, value))
HAND_OVER(xmlAttrPtr, xmlSetNsProp,
          (xmlNodePtr node, xmlNsPtr space, const xmlChar *name,
           const xmlChar *value),
          (node, space, name, value))
HAND_OVER(int, xmlUnsetProp, (xmlNodePtr node, const xmlChar *name),
          (node, name))
HAND_OVER(int, xmlRemoveProp, (xmlAttrPtr attribute), (attribute))
HAND_OVER_VOID(xmlNodeDumpOutput,
               (xmlOutputBufferPtr out, xmlDocPtr doc, xmlNodePtr node,
                int level, int format, const char *encoding),
               (out, doc, node, level, format, encoding))

/* --- to write -------------------------------------------------------------- */

HAND_OVER(xmlOutputBufferPtr, xmlAllocOutputBuffer,
          (xmlCharEncodingHandlerPtr encoder), (encoder))
HAND_OVER(xmlOutputBufferPtr, xmlOutputBufferCreateIO,
          (xmlOutputWriteCallback put, xmlOutputCloseCallback finish,
           void *context, xmlCharEncodingHandlerPtr encoder),
          (put, finish, context, encoder))
HAND_OVER(int, xmlOutputBufferFlush, (xmlOutputBufferPtr out), (out))
HAND_OVER(const xmlChar *, xmlOutputBufferGetContent,
          (xmlOutputBufferPtr out), (out))
HAND_OVER(size_t, xmlOutputBufferGetSize, (xmlOutputBufferPtr out), (out))
HAND_OVER(int, xmlOutputBufferClose, (xmlOutputBufferPtr out), (out))
HAND_OVER(xmlTextWriterPtr, xmlNewTextWriter, (xmlOutputBufferPtr out), (out))
HAND_OVER_VOID(xmlFreeTextWriter, (xmlTextWriterPtr writer), (writer))
HAND_OVER(int, xmlTextWriterSetIndent, (xmlTextWriterPtr writer, int indent),
          (writer, indent))
HAND_OVER(int, xmlTextWriterStartDocument,
          (xmlTextWriterPtr writer, const char *version, const char *encoding,
           const char *standalone),
          (writer, version, encoding, standalone))
HAND_OVER(int, xmlTextWriterEndDocument, (xmlTextWriterPtr writer), (writer))
HAND_OVER(int, xmlTextWriterWriteDTD,
          (xmlTextWriterPtr writer, const xmlChar *name, const xmlChar *public,
           const xmlChar *system, const xmlChar *subset),
          (writer, name, public, system, subset))
HAND_OVER(int, xmlTextWriterStartElement,
          (xmlTextWriterPtr writer, const xmlChar *name), (writer, name))
HAND_OVER(int, xmlTextWriterEndElement, (xmlTextWriterPtr writer), (writer))
HAND_OVER(int, xmlTextWriterWriteAttribute,
          (xmlTextWriterPtr writer, const xmlChar *name, const xmlChar *value),
          (writer, name, value))
HAND_OVER(int, xmlTextWriterWriteElement,
          (xmlTextWriterPtr writer, const xmlChar *name, const xmlChar *text),
          (writer, name, text))
HAND_OVER(int, xmlTextWriterWriteString,
          (xmlTextWriterPtr writer, const xmlChar *text), (writer, text))
