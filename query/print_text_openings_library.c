/* query/print_text_openings_library.c - which openings recur, as text. */
#include <inttypes.h>
#include <string.h>

#include "query/columns.h"
#include "query/print_text.h"
#include "query/words.h"

enum {
    INDENT = 2,
    GROUP_INDENT = 6,
    PLACE_INDENT = 8,
    LINE_SIZE = 512,
    SOLOS_SHOWN = 4, /* of one opening */
    FLATS = -5       /* the key signature that roots are spelled for */
};

static void put_counts(const struct output *out,
                       const struct openings_library_page *page)
{
    const struct openings_library *library = page->library;
    char line[LINE_SIZE] = "", solos[WORDS_SIZE], choruses[WORDS_SIZE];

    text_add(line, LINE_SIZE,
             "%s, %s as written: %" PRIu64 " with a clear opening, %" PRIu64
             " with a riff",
             words_count(solos, library->solos.count, "solo", "solos"),
             words_count(choruses, library->choruses, "chorus", "choruses"),
             library->clear, library->riffs);
    if (library->runs_on > 0)
        text_add(line, LINE_SIZE, "; a phrase runs on into %" PRIu64,
                 library->runs_on);
    if (library->silent > 0)
        text_add(line, LINE_SIZE, "; %" PRIu64 " without a note",
                 library->silent);
    if (library->formless > 0)
        text_add(line, LINE_SIZE, "; %s without a known form left out",
                 words_count(solos, library->formless, "solo", "solos"));
    columns_wrap(out->stream, line, out->width, INDENT);
    line[0] = '\0';
    text_add(line, LINE_SIZE,
             "by the first %d notes%s and the chord under them: %" PRIu64
             " different openings",
             page->query->notes,
             page->query->with_pickup ? ", pickups included,"
                                      : " from the bar line on",
             library->different);
    if (page->query->min_count > 1)
        text_add(line, LINE_SIZE,
                 ", of which %zu come %" PRIu64 " times or more",
                 library->group_count, page->query->min_count);
    if (library->few > 0)
        text_add(line, LINE_SIZE, "; %" PRIu64 " with fewer notes not compared",
                 library->few);
    columns_wrap(out->stream, line, out->width, INDENT);
}

/* ", over the roots C Eb F" */
static void add_roots(char *line, const struct openings_group *group)
{
    char name[PITCH_TEXT_SIZE], roots[LINE_SIZE] = "";
    int count = 0;

    for (int i = 0; i < 12; i++)
        if (group->keys[i] > 0) {
            text_add(roots, LINE_SIZE, " %s",
                     pitch_class_text(name, pitch_spell(i, FLATS)));
            count++;
        }
    if (count > 0)
        text_add(line, LINE_SIZE, ", over the root%s%s", count > 1 ? "s" : "",
                 roots);
}

/* "Odessa Kittleby · Borrowed Ladder: chorus 1 (bar 1), chorus 2 (bar 17)":
 * the entries FIRST..END-1, all of one solo. */
static void put_places(const struct output *out,
                       const struct openings_library *library, size_t first,
                       size_t end)
{
    const struct openings_entry *entries = library->entries;
    const struct solo_record *solo =
        &library->solos.items[entries[first].example.index];
    char line[LINE_SIZE] = "";

    text_add(line, LINE_SIZE, "%.150s%s%.150s", solo->performer,
             *solo->performer ? " \xc2\xb7 " : "",
             *solo->title ? solo->title : solo->path);
    for (size_t i = first; i < end; i++)
        text_add(line, LINE_SIZE, "%s chorus %" PRId32 " (bar %s)",
                 i == first ? ":" : ",", entries[i].chorus,
                 entries[i].example.bar);
    fprintf(out->stream, "%*s", PLACE_INDENT, "");
    columns_wrap(out->stream, line, out->width - PLACE_INDENT,
                 PLACE_INDENT + INDENT);
}

/* The first of SOLOS_SHOWN solos, a line each. */
static void put_solos(const struct output *out,
                      const struct openings_library *library,
                      const struct openings_group *group)
{
    const struct openings_entry *entries = library->entries;
    size_t last = group->first + group->count;
    uint64_t shown = 0;

    for (size_t i = group->first, next; i < last && shown < SOLOS_SHOWN;
         i = next, shown++) {
        next = i + 1;
        while (next < last &&
               entries[next].example.index == entries[i].example.index)
            next++;
        put_places(out, library, i, next);
    }
    if (group->solos > shown)
        fprintf(out->stream,
                "%*s%" PRIu64
                " more solos; --format json has "
                "them all\n",
                PLACE_INDENT, "", group->solos - shown);
}

static void put_group(const struct output *out,
                      const struct openings_library_page *page,
                      const struct openings_group *group)
{
    const struct openings_library *library = page->library;
    const struct openings_entry *entry = &library->entries[group->first];
    const char *degrees[OPENINGS_NOTES_MAX];
    char line[LINE_SIZE] = "", solos[WORDS_SIZE];
    bool known = openings_degrees(degrees, entry, page->query->notes);

    fprintf(out->stream, "\n%4" PRIu64 "  ", group->count);
    text_paint(out, PAINT_NOTES);
    for (int i = 0; i < page->query->notes && known; i++)
        fprintf(out->stream, "%s%s", i ? " " : "", degrees[i]);
    for (int i = 0; i + 1 < page->query->notes && !known; i++)
        fprintf(out->stream, "%s%+d", i ? " " : "steps of ",
                entry->intervals[i]);
    text_paint(out, PAINT_NONE);
    fprintf(out->stream, "  over %s\n%*s",
            known ? chord_class_name(entry->class) : "no chord", GROUP_INDENT,
            "");
    text_add(line, LINE_SIZE, "in %s",
             words_count(solos, group->solos, "solo", "solos"));
    add_roots(line, group);
    if (group->riffs > 0)
        text_add(line, LINE_SIZE, ", %" PRIu64 " as a riff", group->riffs);
    columns_wrap(out->stream, line, out->width - GROUP_INDENT, PLACE_INDENT);
    put_solos(out, library, group);
}

enum status text_openings_library(const struct output *out,
                                  const struct openings_library_page *page,
                                  struct fault *why)
{
    const struct openings_library *library = page->library;
    size_t shown = 0;

    (void)why;
    put_counts(out, page);
    text_restrictions(out, &PLACE_OPTIONS_NONE, page->asked);
    for (; shown < library->group_count &&
           (page->limit == 0 || shown < page->limit);
         shown++)
        put_group(out, page, &library->groups[shown]);
    if (shown < library->group_count) {
        putc('\n', out->stream);
        text_more(out, library->group_count, shown);
    }
    return ST_OK;
}
