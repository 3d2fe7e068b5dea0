/* score_text.c - small scores for tests, written as text. */
#include "tests/unit/score_text.h"

#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

struct solo *score_read(const char *xml, size_t len, const char *part,
                        struct fault *why)
{
    struct file_bytes file = { NULL, len ? len : strlen(xml) };
    struct musicxml_options options = { part };
    struct container *c = NULL;
    struct solo *solo = NULL;

    file.bytes = malloc(file.size + 1);
    ck_assert_ptr_nonnull(file.bytes);
    memcpy(file.bytes, xml, file.size);
    if (container_open(&c, &file, why) == ST_OK)
        why->status = musicxml_read(&solo, c, &options, why);
    container_close(c);
    free(file.bytes);
    return solo;
}

char *score_document(const char *measures)
{
    static const char head[] =
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?><score-partwise>"
        "<part-list><score-part id=\"P1\"><part-name>Tenor</part-name>"
        "</score-part></part-list><part id=\"P1\">";
    static const char tail[] = "</part></score-partwise>";
    size_t size = sizeof head + strlen(measures) + sizeof tail;
    char *text = malloc(size);

    ck_assert_ptr_nonnull(text);
    snprintf(text, size, "%s%s%s", head, measures, tail);
    return text;
}

struct solo *score_measures(const char *measures)
{
    char *text = score_document(measures);
    struct fault why = { 0 };
    struct solo *solo = score_read(text, 0, NULL, &why);

    free(text);
    ck_assert_msg(solo != NULL, "refused: %s", why.message);
    return solo;
}

void score_notes_text(char *out, size_t size, const struct solo *solo)
{
    size_t used = 0;

    out[0] = '\0';
    for (size_t i = 0; i < solo->note_count; i++) {
        const struct note *n = &solo->notes[i];
        char onset[RATIONAL_TEXT_SIZE], length[RATIONAL_TEXT_SIZE];

        rational_text(onset, solo_quarters(solo, n->onset));
        rational_text(length, solo_quarters(solo, n->duration));
        used += (size_t)snprintf(out + used, size - used, "%s%d@%d+%s:%s",
                                 i ? " " : "", n->midi, n->bar, onset,
                                 length);
        ck_assert(used < size);
    }
}
