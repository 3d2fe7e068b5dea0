/* indexer/xml_watch.c - libxml2 without messages and with an eye on memory.
 *
 * Where memory runs out, libxml2 tells in some places, prints in others, and
 * in others goes on with less of the document.  So what it allocates with is
 * ours, and remembers when there was nothing to give.
 */
#include <libxml/parser.h>
#include <libxml/xmlmemory.h>
#include <pthread.h>
#include <stdlib.h>
#include <string.h>

#include "indexer/container.h"

static _Thread_local bool ran_out;

static void *noted(void *got)
{
    ran_out = ran_out || !got;
    return got;
}

static void *watched_malloc(size_t size)
{
    return noted(malloc(size));
}

static void *watched_realloc(void *old, size_t size)
{
    return noted(realloc(old, size));
}

static char *watched_strdup(const char *text)
{
    return noted(strdup(text));
}

static void ignore_message(void *context, const char *format, ...)
    __attribute__((format(printf, 2, 3)));

static void ignore_message(void *context, const char *format, ...)
{
    (void)context;
    (void)format;
}

static void ignore_error(void *context, xmlErrorPtr error)
{
    (void)context;
    (void)error;
}

/* Before anything else is asked of libxml2, in the first thread that does. */
static void prepare(void)
{
    xmlMemSetup(free, watched_malloc, watched_realloc, watched_strdup);
    xmlSetGenericErrorFunc(NULL, ignore_message);
    xmlInitParser();
#if LIBXML_VERSION < 21200
    xmlThrDefSetGenericErrorFunc(NULL, ignore_message);
#endif
}

/* Older versions keep a state for every thread but the first.  It is made on
 * first use, and used though there was no memory for it; where that is so for
 * longer, libxml2 calls itself without end to say so. */
static bool has_state(void)
{
#if LIBXML_VERSION < 21200
    void *room = xmlIsMainThread() ? NULL : malloc(sizeof(xmlGlobalState));

    free(room);
    return xmlIsMainThread() || (room && xmlGetGlobalState());
#else
    return true;
#endif
}

void xml_watch(void)
{
    static pthread_once_t once = PTHREAD_ONCE_INIT;

    ran_out = false;
    pthread_once(&once, prepare);
    if (!has_state()) {
        ran_out = true;
        return;
    }
    /* Whatever options a parser has, some faults of encodings are printed;
     * the handlers are kept by thread. */
    xmlSetGenericErrorFunc(NULL, ignore_message);
    xmlSetStructuredErrorFunc(NULL, ignore_error);
}

bool xml_ran_out(void)
{
    return ran_out;
}
