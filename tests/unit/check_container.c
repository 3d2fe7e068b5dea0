/* check_container.c - from the bytes of a file to its XML document.
 *
 * The zips are made here with minizip and then spoiled byte by byte; offsets
 * in directory records are those of APPNOTE.TXT 6.3.9, section 4.3.12.
 */
#include <check.h>
#include <fcntl.h>
#include <minizip/zip.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "indexer/container.h"
#include "indexer/zipname.h"
#include "tests/unit/suites.h"

#define ROOT(path)                                                             \
    "<?xml version=\"1.0\"?><container><rootfiles><rootfile full-path=\"" path \
    "\"/></rootfiles></container>"

static const char directory[] = "META-INF/container.xml";

static char folder[] = "/tmp/check-container-XXXXXX";
static char place[sizeof folder + 16];

static void setup(void)
{
    strcpy(folder, "/tmp/check-container-XXXXXX");
    ck_assert_ptr_nonnull(mkdtemp(folder));
    snprintf(place, sizeof place, "%s/a.mxl", folder);
}

static void teardown(void)
{
    unlink(place);
    rmdir(folder);
}

/* An entry of a zip to make.  Without SIZE the text's own length counts. */
struct part {
    const char *name, *text;
    size_t size;
    uLong flags;
};

static void add_part(zipFile zip, const struct part *part)
{
    size_t size = part->size ? part->size : strlen(part->text);

    ck_assert_int_eq(zipOpenNewFileInZip4(zip, part->name, NULL, NULL, 0, NULL,
                                          0, NULL, Z_DEFLATED, 9, 0, -MAX_WBITS,
                                          9, Z_DEFAULT_STRATEGY, NULL, 0, 0,
                                          part->flags),
                     ZIP_OK);
    ck_assert_int_eq(zipWriteInFileInZip(zip, part->text, (unsigned)size),
                     ZIP_OK);
    ck_assert_int_eq(zipCloseFileInZip(zip), ZIP_OK);
}

/* A zip of the parts up to one without a name, in memory. */
static struct file_bytes make_zip(const struct part *parts)
{
    struct file_bytes file;
    struct fault why;
    zipFile zip = zipOpen64(place, APPEND_STATUS_CREATE);

    ck_assert_ptr_nonnull(zip);
    for (; parts->name; parts++)
        add_part(zip, parts);
    ck_assert_int_eq(zipClose(zip, NULL), ZIP_OK);
    ck_assert_int_eq(file_bytes_read(&file, place, &why), ST_OK);
    return file;
}

/* The directory record of entry N, from 0. */
static unsigned char *record(struct file_bytes *file, int n)
{
    for (size_t i = 0; i + 46 <= file->size; i++)
        if (memcmp(file->bytes + i, "PK\1\2", 4) == 0 && n-- == 0)
            return file->bytes + i;
    ck_abort_msg("no such directory record");
    return NULL;
}

enum {
    AT_LOCAL_FLAGS = 6,
    AT_FLAGS = 8,
    AT_METHOD = 10,
    AT_CRC = 16,
    AT_PACKED = 20,
    AT_SIZE = 24
};

static void put32(unsigned char *at, uint32_t value)
{
    for (int i = 0; i < 4; i++)
        at[i] = (unsigned char)(value >> 8 * i);
}

/* Read TIMES pieces of a document, and have it from its start again. */
static enum status read_and_rewind(struct container *c, int times,
                                   struct fault *why)
{
    char buffer[500];
    size_t got;

    for (int i = 0; i < times; i++)
        container_read(c, buffer, sizeof buffer, &got, NULL);
    return container_rewind(c, why);
}

/* Read all of FILE's document into OUT (SIZE bytes, ended by NUL), after some
 * of it and then all of it was read before; NOTE receives the fallback's line,
 * "" where none was needed. */
static enum status read_document(const struct file_bytes *file, char *out,
                                 size_t size, char *note, struct fault *why)
{
    struct container *c;
    const char *line;
    size_t used = 0, got = 1;
    enum status st = container_open(&c, file, why);

    note[0] = '\0';
    if (st != ST_OK) {
        ck_assert_ptr_null(c);
        return st;
    }
    if (container_fell_back(c, &line))
        strcpy(note, line);
    st = read_and_rewind(c, 1, why);
    if (st == ST_OK)
        st = read_and_rewind(c, 10, why);
    while (st == ST_OK && got > 0) {
        char buffer[1000];

        st = container_read(c, buffer, sizeof buffer, &got, why);
        ck_assert_uint_le(got, sizeof buffer);
        ck_assert_uint_lt(used + got, size);
        memcpy(out + used, buffer, got);
        used += got;
    }
    out[used] = '\0';
    container_close(c);
    return st;
}

static void expect_document(const struct file_bytes *file, const char *text,
                            const char *note)
{
    struct fault why = { .message = "" };
    char out[4000], line[256];

    ck_assert_msg(read_document(file, out, sizeof out, line, &why) == ST_OK,
                  "%s", why.message);
    ck_assert_str_eq(out, text);
    ck_assert_str_eq(line, note);
}

static void expect_refusal(const struct file_bytes *file, const char *message)
{
    static char out[40 * 1024 * 1024];
    struct fault why = { .message = "" };
    char line[256];

    ck_assert_int_eq(read_document(file, out, sizeof out, line, &why),
                     ST_INPUT);
    ck_assert_int_eq(why.status, ST_INPUT);
    ck_assert_str_eq(why.message, message);
}

static void expect_zip(const struct part *parts, const char *text,
                       const char *note)
{
    struct file_bytes file = make_zip(parts);

    expect_document(&file, text, note);
    file_bytes_free(&file);
}

static void expect_bad_zip(const struct part *parts, const char *message)
{
    struct file_bytes file = make_zip(parts);

    expect_refusal(&file, message);
    file_bytes_free(&file);
}

/* --- the document is found --------------------------------------------- */

START_TEST(plain_document)
{
    char text[] = "<score-partwise/>";
    struct file_bytes file = { (unsigned char *)text, strlen(text) };

    expect_document(&file, text, "");
}
END_TEST

START_TEST(rootfile_in_a_folder)
{
    struct part parts[] = { { .name = "first.xml", .text = "<wrong/>" },
                            { .name = "a/b/solo.musicxml", .text = "<right/>" },
                            { .name = directory,
                              .text = ROOT("a/b/solo.musicxml") },
                            { 0 } };

    expect_zip(parts, "<right/>", "");
}
END_TEST

/* Two root files, one in a namespace: the first counts (the container schema
 * of MusicXML 4.0: "the first rootfile"). */
START_TEST(first_rootfile_counts)
{
    struct part parts[] = {
        { .name = "one.xml", .text = "<one/>" },
        { .name = "two.xml", .text = "<two/>" },
        { .name = directory,
          .text = "<c:container xmlns:c='urn:x'><!-- rootfile -->"
                  "<c:rootfiles><c:rootfile full-path='two.xml'/>"
                  "<c:rootfile full-path='one.xml'/></c:rootfiles>"
                  "</c:container>" },
        { 0 }
    };

    expect_zip(parts, "<two/>", "");
}
END_TEST

START_TEST(backslashes_in_names)
{
    struct part parts[] = { { .name = "x.xml", .text = "<wrong/>" },
                            { .name = "A\\solo.XML", .text = "<right/>" },
                            { .name = "meta-inf\\container.xml",
                              .text = ROOT("./a/solo.xml") },
                            { 0 } };

    expect_zip(parts, "<right/>", "");
}
END_TEST

/* "Solo über.xml": CP437 has u with two dots at 0x81. */
START_TEST(names_in_cp437)
{
    struct part parts[] = { { .name = "x.xml", .text = "<wrong/>" },
                            { .name = "Solo \x81"
                                      "ber.xml",
                              .text = "<right/>" },
                            { .name = directory,
                              .text = ROOT("Solo \xc3\xbc"
                                           "ber.xml") },
                            { 0 } };

    expect_zip(parts, "<right/>", "");
    ck_assert(zipname_like("Solo \xc3\xbc.xml", "Solo \xc3\xbc.xml"));
    ck_assert(!zipname_like("Solo \x82.xml", "Solo \xc3\xbc.xml"));
}
END_TEST

/* --- fallbacks --------------------------------------------------------- */

START_TEST(no_directory_document)
{
    struct part parts[] = { { .name = "META-INF/a.xml", .text = "<wrong/>" },
                            { .name = "__MACOSX/._s.xml", .text = "wrong" },
                            { .name = "cover.png", .text = "wrong" },
                            { .name = "s.MusicXML", .text = "<right/>" },
                            { .name = "t.xml", .text = "<wrong/>" },
                            { 0 } };

    expect_zip(parts, "<right/>", "META-INF/container.xml is missing");
}
END_TEST

START_TEST(quote_in_directory_document)
{
    struct part parts[] = {
        { .name = directory, .text = ROOT("The \"Best\" Tune.xml") },
        { .name = "The \"Best\" Tune.xml", .text = "<right/>" },
        { 0 }
    };

    expect_zip(parts, "<right/>",
               "META-INF/container.xml cannot be read as XML");
}
END_TEST

START_TEST(directory_document_names_nothing)
{
    struct part missing[] = { { .name = directory, .text = ROOT("gone\n.xml") },
                              { .name = "s.xml", .text = "<right/>" },
                              { 0 } };
    struct part empty[] = { { .name = directory, .text = "<container/>" },
                            { .name = "s.xml", .text = "<right/>" },
                            { 0 } };

    expect_zip(missing, "<right/>",
               "META-INF/container.xml names \"gone .xml\", which is not "
               "there");
    expect_zip(empty, "<right/>", "META-INF/container.xml names no file");
}
END_TEST

/* Entities of the document's own are never expanded, files never read. */
START_TEST(entities_are_off)
{
    struct part parts[] = {
        { .name = directory,
          .text = "<!DOCTYPE container [<!ENTITY e 'wrong.xml'>"
                  "<!ENTITY f SYSTEM 'file:///etc/passwd'>]>"
                  "<container><rootfiles><rootfile full-path='&e;'/>&f;"
                  "</rootfiles></container>" },
        { .name = "s.xml", .text = "<right/>" },
        { .name = "wrong.xml", .text = "<wrong/>" },
        { 0 }
    };
    struct file_bytes file = make_zip(parts);
    struct fault why;
    char out[100], note[256];

    ck_assert_int_eq(read_document(&file, out, sizeof out, note, &why), ST_OK);
    ck_assert_str_eq(out, "<right/>");
    ck_assert_str_ne(note, "");
    file_bytes_free(&file);
}
END_TEST

/* Text that is not in the encoding it claims makes libxml2 print, unless it is
 * told not to in every way there is. */
START_TEST(nothing_is_printed)
{
    struct part parts[] = {
        { .name = directory,
          .text = "<?xml version='1.0' encoding='GBK'?><container>"
                  "x\x87\x40\xff\xfe\x80 y</container>" },
        { .name = "s.xml", .text = "<right/>" },
        { 0 }
    };
    struct file_bytes file = make_zip(parts);
    int kept = dup(STDERR_FILENO), fd = open(place, O_RDWR | O_TRUNC);
    struct fault why;
    struct stat info;
    char out[100], note[256];

    ck_assert_int_ge(fd, 0);
    ck_assert_int_ge(dup2(fd, STDERR_FILENO), 0);
    read_document(&file, out, sizeof out, note, &why);
    dup2(kept, STDERR_FILENO);
    ck_assert_int_eq(fstat(fd, &info), 0);
    ck_assert_int_eq(info.st_size, 0);
    ck_assert_str_eq(out, "<right/>");
    close(fd);
    close(kept);
    file_bytes_free(&file);
}
END_TEST

START_TEST(huge_directory_document)
{
    size_t size = 1024 * 1024;
    char *blanks = malloc(size);
    struct part parts[] = { { .name = directory, .text = blanks, .size = size },
                            { .name = "s.xml", .text = "<right/>" },
                            { 0 } };

    ck_assert_ptr_nonnull(blanks);
    memset(blanks, ' ', size);
    expect_zip(parts, "<right/>",
               "META-INF/container.xml cannot be read as XML");
    free(blanks);
}
END_TEST

/* --- hostile files ----------------------------------------------------- */

START_TEST(not_a_zip)
{
    char text[] = "PK, said the file, and nothing more";
    struct file_bytes file = { (unsigned char *)text, strlen(text) };
    struct file_bytes two = { (unsigned char *)text, 2 };
    struct file_bytes empty = { (unsigned char *)text, 0 };

    expect_refusal(&file,
                   "begins like a zip file, but is cut short or "
                   "damaged");
    expect_refusal(&two,
                   "begins like a zip file, but is cut short or "
                   "damaged");
    expect_refusal(&empty, "the file is empty");
}
END_TEST

START_TEST(nothing_to_read_in_the_zip)
{
    struct part only[] = { { .name = directory, .text = ROOT("s.xml") },
                           { .name = "META-INF/s.xml", .text = "<x/>" },
                           { 0 } };

    expect_bad_zip(only, "a zip file without a .musicxml or .xml file in it");
}
END_TEST

/* Wherever the file is cut, and whatever byte is another: one line or the
 * document, never a crash. */
START_TEST(cut_and_spoiled_anywhere)
{
    struct part parts[] = { { .name = directory, .text = ROOT("s.xml") },
                            { .name = "s.xml",
                              .text = "<score>one two three</score>" },
                            { 0 } };
    struct file_bytes file = make_zip(parts);
    struct fault why;
    char *out = malloc(1 << 20);
    char note[256];

    ck_assert_ptr_nonnull(out);
    for (size_t i = 0; i < file.size; i++) {
        unsigned char *copy = malloc(i ? i : 1);
        struct file_bytes cut = { copy, i };
        unsigned char kept = file.bytes[i];

        ck_assert_ptr_nonnull(copy);
        memcpy(copy, file.bytes, i);
        if (i >= 2) /* else it is no zip any more */
            ck_assert_int_eq(read_document(&cut, out, 1 << 20, note, &why),
                             ST_INPUT);
        free(copy);
        for (int bit = 0; bit < 8; bit++) {
            file.bytes[i] = (unsigned char)(kept ^ 1 << bit);
            read_document(&file, out, 1 << 20, note, &why);
        }
        file.bytes[i] = kept;
    }
    expect_document(&file, "<score>one two three</score>", "");
    file_bytes_free(&file);
    free(out);
}
END_TEST

START_TEST(encrypted_or_packed_otherwise)
{
    struct part parts[] = { { .name = "s.xml", .text = "<score/>" }, { 0 } };
    struct file_bytes file = make_zip(parts);

    record(&file, 0)[AT_FLAGS] |= 1;
    expect_refusal(&file, "the score inside the zip, s.xml, is encrypted");
    record(&file, 0)[AT_FLAGS] &= (unsigned char)~1;
    record(&file, 0)[AT_METHOD] = 93;
    expect_refusal(&file,
                   "the score inside the zip, s.xml, is compressed in "
                   "a way MusicXML does not use (method 93)");
    file_bytes_free(&file);
}
END_TEST

/* Make the directory alone count for the first entry, as it must in zips that
 * were written as a stream: flag 8 says that sizes and checksum do not stand
 * before the data. */
static void trust_directory(struct file_bytes *file)
{
    record(file, 0)[AT_FLAGS] |= 8;
    file->bytes[AT_LOCAL_FLAGS] |= 8;
}

/* The directory of the zip lies about the size or the checksum. */
START_TEST(sizes_that_lie)
{
    struct part parts[] = { { .name = "s.xml", .text = "<score>ok</score>" },
                            { 0 } };
    struct file_bytes file = make_zip(parts);
    unsigned char *at = record(&file, 0);

    trust_directory(&file);
    put32(at + AT_SIZE, 0x80000000U);
    expect_refusal(&file,
                   "the score inside the zip, s.xml, says it is larger "
                   "than the 256 MB a score may have");
    put32(at + AT_SIZE, 5000);
    expect_refusal(&file, "the score inside the zip, s.xml, is damaged");
    put32(at + AT_SIZE, 5);
    expect_refusal(&file, "the score inside the zip, s.xml, is damaged");
    put32(at + AT_SIZE, 17);
    expect_document(&file, "<score>ok</score>",
                    "META-INF/container.xml is missing");
    put32(at + AT_CRC, 1);
    expect_refusal(&file, "the score inside the zip, s.xml, is damaged");
    file_bytes_free(&file);
}
END_TEST

START_TEST(bomb)
{
    size_t size = 32 * 1024 * 1024;
    char *blanks = calloc(1, size);
    struct part parts[] = { { .name = "s.xml", .text = blanks, .size = size },
                            { 0 } };
    struct file_bytes file;

    ck_assert_ptr_nonnull(blanks);
    file = make_zip(parts);
    expect_refusal(&file,
                   "the score inside the zip, s.xml, unpacks to more "
                   "than 500 times its size and is no music");
    /* Claiming less does not help it. */
    trust_directory(&file);
    put32(record(&file, 0) + AT_SIZE, 1000);
    expect_refusal(&file, "the score inside the zip, s.xml, is damaged");
    file_bytes_free(&file);
    free(blanks);
}
END_TEST

/* A name with control characters is shown without them. */
START_TEST(names_are_made_safe)
{
    struct part parts[] = { { .name = "\x1b[2J.xml", .text = "<score/>" },
                            { 0 } };
    struct file_bytes file = make_zip(parts);

    record(&file, 0)[AT_FLAGS] |= 1;
    expect_refusal(&file, "the score inside the zip, ?[2J.xml, is encrypted");
    file_bytes_free(&file);
}
END_TEST

/* --- files on disk ----------------------------------------------------- */

static void expect_unreadable(const char *path, const char *message)
{
    struct file_bytes file;
    struct fault why;

    ck_assert_int_eq(file_bytes_read(&file, path, &why), ST_INPUT);
    ck_assert_ptr_null(file.bytes);
    ck_assert_str_eq(why.message, message);
}

START_TEST(files_that_are_none)
{
    FILE *out;

    expect_unreadable(folder, "is not a regular file");
    expect_unreadable(place, "cannot be opened: No such file or directory");
    ck_assert_int_eq(mkfifo(place, 0600), 0);
    expect_unreadable(place, "is not a regular file");
    unlink(place);
    out = fopen(place, "w");
    ck_assert_ptr_nonnull(out);
    fclose(out);
    ck_assert_int_eq(truncate(place, CONTAINER_FILE_MAX + 1L), 0);
    expect_unreadable(place, "is larger than the 64 MB a score may have");
}
END_TEST

Suite *container_suite(void)
{
    Suite *suite = suite_create("container");
    TCase *found = tcase_create("found");
    TCase *hostile = tcase_create("hostile");

    tcase_add_checked_fixture(found, setup, teardown);
    tcase_add_test(found, plain_document);
    tcase_add_test(found, rootfile_in_a_folder);
    tcase_add_test(found, first_rootfile_counts);
    tcase_add_test(found, backslashes_in_names);
    tcase_add_test(found, names_in_cp437);
    tcase_add_test(found, no_directory_document);
    tcase_add_test(found, quote_in_directory_document);
    tcase_add_test(found, directory_document_names_nothing);
    tcase_add_test(found, entities_are_off);
    tcase_add_test(found, nothing_is_printed);
    tcase_add_test(found, huge_directory_document);
    suite_add_tcase(suite, found);
    tcase_add_checked_fixture(hostile, setup, teardown);
    tcase_set_timeout(hostile, 30);
    tcase_add_test(hostile, not_a_zip);
    tcase_add_test(hostile, nothing_to_read_in_the_zip);
    tcase_add_test(hostile, cut_and_spoiled_anywhere);
    tcase_add_test(hostile, encrypted_or_packed_otherwise);
    tcase_add_test(hostile, sizes_that_lie);
    tcase_add_test(hostile, bomb);
    tcase_add_test(hostile, names_are_made_safe);
    tcase_add_test(hostile, files_that_are_none);
    suite_add_tcase(suite, hostile);
    return suite;
}
