/* indexer/container.c - see container.h.
 *
 * Zip files are read with minizip over the bytes in memory.  Nothing is
 * allocated by what a header claims: the document is unpacked as a stream
 * into the caller's buffer.
 */
#include "indexer/container.h"

#include <errno.h>
#include <fcntl.h>
#include <libxml/parser.h>
#include <minizip/unzip.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "indexer/zipname.h"

enum {
    DIRECTORY_DOCUMENT_MAX = 64 * 1024, /* META-INF/container.xml */
    /* A document beyond RATIO_FREE bytes that unpacks to more than RATIO_MAX
     * times its packed size is no music; real scores stay below 60. */
    RATIO_FREE = 16 * 1024 * 1024,
    RATIO_MAX = 500
};

static const char directory_document[] = "META-INF/container.xml";

/* The zip as minizip's input functions see it. */
struct memory {
    const unsigned char *bytes;
    size_t size, at;
    bool ran_out; /* the last read wanted more than there is */
};

struct container {
    struct memory memory; /* the whole file */
    unzFile zip;          /* NULL for a plain document */
    uint64_t claimed;     /* bytes the zip says the document has */
    uint64_t got;         /* bytes of it read */
    bool ended;
    bool fell_back;
    char note[256];
    char entry[128]; /* the document's name, for messages */
};

/* --- a file on disk ---------------------------------------------------- */

static enum status file_fault(struct fault *why, const char *what, int error)
{
    char buffer[128];

    return fault_set(why, ST_INPUT, "%s: %s", what,
                     strerror_r(error, buffer, sizeof buffer));
}

static enum status read_all(struct file_bytes *out, int fd, size_t size,
                            struct fault *why)
{
    /* One byte more than announced shows whether the file is growing. */
    out->bytes = malloc(size + 1);
    if (!out->bytes)
        return fault_nomem(why);
    while (out->size <= size) {
        ssize_t n = read(fd, out->bytes + out->size, size + 1 - out->size);

        if (n < 0 && errno == EINTR)
            continue;
        if (n < 0)
            return file_fault(why, "cannot be read", errno);
        if (n == 0)
            return ST_OK;
        out->size += (size_t)n;
    }
    return fault_set(why, ST_INPUT, "is being written by another program");
}

enum status file_bytes_read(struct file_bytes *out, const char *path,
                            struct fault *why)
{
    struct stat info;
    enum status st;
    int fd;

    *out = (struct file_bytes){ NULL, 0 };
    /* Without O_NONBLOCK a named pipe would make us wait for a writer. */
    fd = open(path, O_RDONLY | O_CLOEXEC | O_NONBLOCK | O_NOCTTY);
    if (fd < 0)
        return file_fault(why, "cannot be opened", errno);
    if (fstat(fd, &info) != 0)
        st = file_fault(why, "cannot be read", errno);
    else if (!S_ISREG(info.st_mode))
        st = fault_set(why, ST_INPUT, "is not a regular file");
    else if (info.st_size > CONTAINER_FILE_MAX)
        st = fault_set(why, ST_INPUT,
                       "is larger than the %d MB a score may have",
                       CONTAINER_FILE_MAX >> 20);
    else
        st = read_all(out, fd, (size_t)info.st_size, why);
    close(fd);
    if (st != ST_OK)
        file_bytes_free(out);
    return st;
}

void file_bytes_free(struct file_bytes *file)
{
    free(file->bytes);
    *file = (struct file_bytes){ NULL, 0 };
}

/* --- minizip's input over memory --------------------------------------- */

static voidpf memory_open(voidpf opaque, const void *name, int mode)
{
    (void)name;
    (void)mode;
    return opaque;
}

static uLong memory_read(voidpf opaque, voidpf stream, void *buffer, uLong size)
{
    struct memory *m = stream;
    size_t left = m->size - m->at;
    size_t n = size < left ? size : left;

    (void)opaque;
    memcpy(buffer, m->bytes + m->at, n);
    m->at += n;
    m->ran_out = n < size;
    return n;
}

static uLong memory_write(voidpf opaque, voidpf stream, const void *buffer,
                          uLong size)
{
    (void)opaque;
    (void)stream;
    (void)buffer;
    (void)size;
    return 0;
}

static ZPOS64_T memory_tell(voidpf opaque, voidpf stream)
{
    struct memory *m = stream;

    (void)opaque;
    return m->at;
}

static long memory_seek(voidpf opaque, voidpf stream, ZPOS64_T offset,
                        int origin)
{
    struct memory *m = stream;
    size_t base = origin == ZLIB_FILEFUNC_SEEK_CUR   ? m->at
                  : origin == ZLIB_FILEFUNC_SEEK_END ? m->size
                                                     : 0;

    (void)opaque;
    if (offset > m->size - base)
        return -1;
    m->at = base + (size_t)offset;
    return 0;
}

static int memory_close(voidpf opaque, voidpf stream)
{
    (void)opaque;
    (void)stream;
    return 0;
}

/* minizip takes what lies beyond the end for zeros unless it is an error. */
static int memory_error(voidpf opaque, voidpf stream)
{
    const struct memory *m = stream;

    (void)opaque;
    return m->ran_out;
}

static unzFile open_zip(struct memory *memory)
{
    zlib_filefunc64_def functions = {
        .zopen64_file = memory_open,
        .zread_file = memory_read,
        .zwrite_file = memory_write,
        .ztell64_file = memory_tell,
        .zseek64_file = memory_seek,
        .zclose_file = memory_close,
        .zerror_file = memory_error,
        .opaque = memory,
    };

    return unzOpen2_64("", &functions);
}

/* --- finding an entry -------------------------------------------------- */

/* An entry of the zip's directory. */
struct entry {
    char name[1024]; /* longer names are cut; ended by NUL */
    unz_file_info64 info;
};

/* What makes an entry the wanted one. */
typedef bool (*entry_test)(const char *name, const void *wanted);

static bool entry_is_exactly(const char *name, const void *wanted)
{
    return strcmp(name, wanted) == 0;
}

static bool entry_is_like(const char *name, const void *wanted)
{
    return zipname_like(name, wanted);
}

static bool entry_is_document(const char *name, const void *wanted)
{
    (void)wanted;
    return zipname_is_document(name);
}

/* Make the first entry that passes TEST the zip's current one. */
static bool find_entry(unzFile zip, struct entry *entry, entry_test test,
                       const void *wanted)
{
    int got = unzGoToFirstFile(zip);

    for (int i = 0; got == UNZ_OK && i < CONTAINER_ENTRIES_MAX; i++) {
        memset(entry->name, 0, sizeof entry->name);
        if (unzGetCurrentFileInfo64(zip, &entry->info, entry->name,
                                    sizeof entry->name - 1, NULL, 0, NULL,
                                    0) != UNZ_OK)
            return false;
        if (test(entry->name, wanted))
            return true;
        got = unzGoToNextFile(zip);
    }
    return false;
}

/* --- META-INF/container.xml -------------------------------------------- */

static bool is_element(const xmlNode *node, const char *name)
{
    return node->type == XML_ELEMENT_NODE &&
           strcmp((const char *)node->name, name) == 0;
}

/* The path of the first rootfile, or NULL.  Released with xmlFree(). */
static char *first_rootfile(const xmlDoc *document)
{
    const xmlNode *node = xmlDocGetRootElement(document);

    /* Every node in document order, without recursion. */
    while (node) {
        if (is_element(node, "rootfile"))
            return (char *)xmlGetNoNsProp(node, (const xmlChar *)"full-path");
        if (node->type == XML_ELEMENT_NODE && node->children) {
            node = node->children;
            continue;
        }
        while (node && !node->next)
            node = node->parent;
        node = node ? node->next : NULL;
    }
    return NULL;
}

/* Parse without the network, a DTD or entities of the document's own. */
static xmlDoc *parse_directory(const char *text, int size)
{
    xmlParserCtxt *parser = xmlNewParserCtxt();
    xmlDoc *document = NULL;

    if (!parser)
        return NULL;
    parser->sax->entityDecl = NULL;
    document = xmlCtxtReadMemory(parser, text, size, NULL, NULL,
                                 XML_PARSE_NONET | XML_PARSE_NOERROR |
                                     XML_PARSE_NOWARNING);
    xmlFreeParserCtxt(parser);
    return document;
}

static bool is_packed_plainly(const unz_file_info64 *info)
{
    return !(info->flag & 1) && (info->compression_method == 0 ||
                                 info->compression_method == Z_DEFLATED);
}

/* The current entry as a whole, at most SIZE bytes; -1 where it is longer,
 * damaged or packed in a way we do not read. */
static int read_current(unzFile zip, const struct entry *entry, char *out,
                        int size)
{
    int used = 0, n = 0;

    if (!is_packed_plainly(&entry->info) ||
        entry->info.uncompressed_size > (ZPOS64_T)size ||
        unzOpenCurrentFile(zip) != UNZ_OK)
        return -1;
    while (used < size && (n = unzReadCurrentFile(zip, out + used,
                                                  (unsigned)(size - used))) > 0)
        used += n;
    if (unzCloseCurrentFile(zip) != UNZ_OK || n < 0 ||
        (ZPOS64_T)used != entry->info.uncompressed_size)
        return -1;
    return used;
}

/* The path container.xml names, or NULL with the reason in C's note. */
static char *read_rootfile(struct container *c, struct entry *entry)
{
    char *text, *path = NULL;
    xmlDoc *document = NULL;
    int size;

    if (!find_entry(c->zip, entry, entry_is_exactly, directory_document) &&
        !find_entry(c->zip, entry, entry_is_like, directory_document)) {
        snprintf(c->note, sizeof c->note, "%s is missing", directory_document);
        return NULL;
    }
    text = malloc(DIRECTORY_DOCUMENT_MAX);
    size =
        text ? read_current(c->zip, entry, text, DIRECTORY_DOCUMENT_MAX) : -1;
    if (size > 0)
        document = parse_directory(text, size);
    free(text);
    if (document) {
        path = first_rootfile(document);
        xmlFreeDoc(document);
    }
    if (!path)
        snprintf(c->note, sizeof c->note, "%s %s", directory_document,
                 document ? "names no file" : "cannot be read as XML");
    return path;
}

/* --- the document ------------------------------------------------------ */

/* Make the document the current entry: what container.xml names, bytewise,
 * then as another system may have written the same name, else the first that
 * looks like one. */
static bool find_document(struct container *c, struct entry *entry)
{
    char *path = read_rootfile(c, entry);
    bool found = path && (find_entry(c->zip, entry, entry_is_exactly, path) ||
                          find_entry(c->zip, entry, entry_is_like, path));

    if (path && !found) {
        char safe[128];

        snprintf(c->note, sizeof c->note, "%s names \"%s\", which is not there",
                 directory_document, text_make_safe(safe, sizeof safe, path));
    }
    xmlFree(path);
    if (found)
        return true;
    c->fell_back = true;
    return find_entry(c->zip, entry, entry_is_document, NULL);
}

static enum status check_document(const struct container *c,
                                  const unz_file_info64 *info,
                                  struct fault *why)
{
    if (info->flag & 1)
        return fault_set(why, ST_INPUT,
                         "the score inside the zip, %s, is "
                         "encrypted",
                         c->entry);
    if (!is_packed_plainly(info))
        return fault_set(why, ST_INPUT,
                         "the score inside the zip, %s, is compressed in a "
                         "way MusicXML does not use (method %lu)",
                         c->entry, info->compression_method);
    if (info->uncompressed_size > CONTAINER_DOCUMENT_MAX)
        return fault_set(why, ST_INPUT,
                         "the score inside the zip, %s, says it is larger "
                         "than the %d MB a score may have",
                         c->entry, CONTAINER_DOCUMENT_MAX >> 20);
    if (info->uncompressed_size > RATIO_FREE &&
        info->uncompressed_size / RATIO_MAX > info->compressed_size)
        return fault_set(why, ST_INPUT,
                         "the score inside the zip, %s, unpacks to more than "
                         "%d times its size and is no music",
                         c->entry, RATIO_MAX);
    return ST_OK;
}

/* minizip and zlib do not tell a zip that is damaged from memory that ran out.
 * All that they ask the system for is memory, and then malloc() sets errno. */
static bool memory_ran_out(void)
{
    return xml_ran_out() || errno == ENOMEM;
}

static enum status damaged(const struct container *c, struct fault *why)
{
    return fault_set(why, ST_INPUT, "the score inside the zip, %s, is damaged",
                     c->entry);
}

static enum status open_document(struct container *c, struct fault *why)
{
    struct entry *entry;
    enum status st;

    c->zip = open_zip(&c->memory);
    if (!c->zip)
        return fault_set(why, ST_INPUT,
                         "begins like a zip file, but is cut short or "
                         "damaged");
    entry = malloc(sizeof *entry);
    if (!entry)
        return fault_nomem(why);
    if (!find_document(c, entry)) {
        free(entry);
        return fault_set(why, ST_INPUT,
                         "a zip file without a .musicxml or .xml file in it");
    }
    text_make_safe(c->entry, sizeof c->entry, entry->name);
    c->claimed = entry->info.uncompressed_size;
    st = check_document(c, &entry->info, why);
    free(entry);
    if (st == ST_OK && unzOpenCurrentFile(c->zip) != UNZ_OK)
        st = damaged(c, why);
    return st;
}

enum status container_open(struct container **out,
                           const struct file_bytes *file, struct fault *why)
{
    struct container *c;
    enum status st = ST_OK;

    *out = NULL;
    xml_watch();
    if (xml_ran_out())
        return fault_nomem(why);
    errno = 0;
    if (file->size == 0)
        return fault_set(why, ST_INPUT, "the file is empty");
    c = calloc(1, sizeof *c);
    if (!c)
        return fault_nomem(why);
    c->memory = (struct memory){ file->bytes, file->size, 0, false };
    if (file->size >= 2 && memcmp(file->bytes, "PK", 2) == 0)
        st = open_document(c, why);
    if (memory_ran_out())
        st = fault_nomem(why);
    if (st == ST_OK)
        *out = c;
    else
        container_close(c);
    return st;
}

/* The end of a packed document: is it all there, and is it what was packed? */
static enum status end_document(struct container *c, struct fault *why)
{
    c->ended = true;
    if (unzCloseCurrentFile(c->zip) != UNZ_OK || c->got != c->claimed)
        return damaged(c, why);
    return ST_OK;
}

enum status container_read(struct container *c, void *buffer, size_t size,
                           size_t *got, struct fault *why)
{
    int n;

    *got = 0;
    if (!c->zip) {
        *got = memory_read(NULL, &c->memory, buffer, size);
        return ST_OK;
    }
    if (c->ended || size == 0)
        return ST_OK;
    errno = 0;
    /* minizip reads no further than the size the zip claims, which
     * check_document() has limited. */
    n = unzReadCurrentFile(c->zip, buffer,
                           size < 1U << 30 ? (unsigned)size : 1U << 30);
    if (n < 0) {
        c->ended = true;
        unzCloseCurrentFile(c->zip);
        return memory_ran_out() ? fault_nomem(why) : damaged(c, why);
    }
    if (n == 0)
        return end_document(c, why);
    *got = (size_t)n;
    c->got += (uint64_t)n;
    return ST_OK;
}

enum status container_rewind(struct container *c, struct fault *why)
{
    c->memory.at = c->zip ? c->memory.at : 0;
    if (!c->zip)
        return ST_OK;
    /* Of a document that ends early, closing it has nothing to say. */
    if (!c->ended)
        unzCloseCurrentFile(c->zip);
    c->ended = false;
    c->got = 0;
    errno = 0;
    if (unzOpenCurrentFile(c->zip) != UNZ_OK)
        return memory_ran_out() ? fault_nomem(why) : damaged(c, why);
    return ST_OK;
}

bool container_fell_back(const struct container *c, const char **note)
{
    *note = c->note;
    return c->fell_back;
}

void container_close(struct container *c)
{
    if (!c)
        return;
    if (c->zip)
        unzClose(c->zip);
    free(c);
}
