/* query/complain.c - see complain.h. */
#include "query/complain.h"

#include <inttypes.h>
#include <stdlib.h>
#include <string.h>

#include "query/columns.h"

enum {
    LINE_WIDTH = 76, /* the columns of the text that is pointed into */
    BEFORE_MAX = 56, /* of them at most so many before the caret */
    CANDIDATES_SHOWN = 20
};

/* TEXT with a caret below the byte OFFSET.  Text far before the caret is cut
 * away, so that neither line is broken by the terminal. */
static void point_into(FILE *out, const char *text, size_t offset)
{
    size_t start = 0;
    char *before;
    int wide;

    if (offset > strlen(text))
        offset = strlen(text);
    /* Cut at a blank, whole tokens at a time. */
    while (offset - start > BEFORE_MAX) {
        const char *blank = memchr(text + start + 1, ' ', offset - start - 1);

        start = blank ? (size_t)(blank - text) : offset - BEFORE_MAX;
    }
    before = strndup(text + start, offset - start);
    wide = before ? columns_width(before) : 0;
    free(before);
    fputs(start ? "  ..." : "  ", out);
    columns_put(out, text + start, LINE_WIDTH, COLUMNS_LAST);
    fprintf(out, "\n%*s^\n", wide + (start ? 5 : 2), "");
}

static void print_candidates(FILE *out, const struct solo_list *list)
{
    size_t shown =
        list->count < CANDIDATES_SHOWN ? list->count : CANDIDATES_SHOWN;

    for (size_t i = 0; i < shown; i++) {
        fputs("  ", out);
        columns_put(out, list->items[i].path, LINE_WIDTH, COLUMNS_LAST);
        putc('\n', out);
    }
    if (list->total > shown)
        fprintf(out, "  and %" PRIu64 " more\n", list->total - shown);
}

void complain(FILE *out, const struct session *session, const struct fault *why)
{
    char safe[sizeof why->message];

    fprintf(out, "cellar: %s\n",
            text_make_safe(safe, sizeof safe, why->message));
    if (session->faulty_text && why->offset >= 0 &&
        session->faulty_text[strspn(session->faulty_text, " ")])
        point_into(out, session->faulty_text, (size_t)why->offset);
    print_candidates(out, &session->candidates);
}
