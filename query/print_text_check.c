/* query/print_text_check.c - what a check found, as text. */
#include <inttypes.h>
#include <string.h>

#include "query/columns.h"
#include "query/print_text.h"
#include "query/words.h"

enum {
    LEFT = 10, /* columns of what is looked at */
    LINE_SIZE = 1024
};

/* "; 1 changed since", where N is not 0. */
static void add_some(char *line, int64_t n, const char *what)
{
    if (n > 0)
        text_add(line, LINE_SIZE, "; %" PRId64 " %s", n, what);
}

static void say_index(char *line, const struct check_report *r)
{
    const struct store_checked *i = &r->index;

    if (!r->has_index)
        return;
    text_add(line, LINE_SIZE, "the file and both searches");
    if (!i->searches_checked)
        text_add(line, LINE_SIZE,
                 " (these only from outside, since nothing can be "
                 "written there)");
}

static void say_files(char *line, const struct check_report *r)
{
    char count[WORDS_SIZE];

    text_add(line, LINE_SIZE, "%s known",
             words_count(count, (uint64_t)r->index.files, "file", "files"));
    if (r->same == r->index.files && r->same > 0)
        text_add(line, LINE_SIZE, ", as on disk");
    add_some(line, r->changed, "changed since");
    add_some(line, r->missing, "not there any more");
    add_some(line, r->waiting, "to be read again");
    add_some(line, r->index.unreadable - r->waiting,
             "not readable, as cellar-index --warnings tells");
}

static void say_solos(char *line, const struct check_report *r)
{
    char solos[WORDS_SIZE], notes[WORDS_SIZE];

    text_add(line, LINE_SIZE, "%s read, %s",
             words_count(solos, (uint64_t)r->index.solos_read, "solo", "solos"),
             words_count(notes, (uint64_t)r->index.notes, "note", "notes"));
    if (r->index.solos_read < r->index.solos)
        text_add(line, LINE_SIZE, ", of %" PRId64 " solos", r->index.solos);
}

static void say_forms(char *line, const struct check_report *r)
{
    int64_t rest = r->notebook.forms - r->forms_hold;
    char count[WORDS_SIZE];

    text_add(line, LINE_SIZE, "%s set by you",
             words_count(count, (uint64_t)r->notebook.forms, "form", "forms"));
    if (r->has_index)
        add_some(line, rest, "without a solo that it fits");
}

static void say_banks(char *line, const struct check_report *r)
{
    char banks[WORDS_SIZE], cells[WORDS_SIZE];

    text_add(line, LINE_SIZE, "%s, %s",
             words_count(banks, (uint64_t)r->notebook.banks, "bank", "banks"),
             words_count(cells, (uint64_t)r->notebook.cells, "cell", "cells"));
}

static void say_lists(char *line, const struct check_report *r)
{
    char lists[WORDS_SIZE], entries[WORDS_SIZE];

    text_add(line, LINE_SIZE, "%s, %s",
             words_count(lists, (uint64_t)r->notebook.lists, "study list",
                         "study lists"),
             words_count(entries, (uint64_t)r->notebook.entries, "entry",
                         "entries"));
    add_some(line, r->moved, "found in a file that moved");
    add_some(line, r->edited, "found in a file that was edited");
    add_some(line, r->gone, "kept by the notes only");
}

/* What there was to look at; "" where there was nothing. */
static void say_area(char *line, const struct check_report *r,
                     enum check_area area)
{
    char count[WORDS_SIZE];

    line[0] = '\0';
    if (area < CHECK_NOTEBOOK && !r->has_index && area != CHECK_INDEX)
        return;
    if (area >= CHECK_NOTEBOOK && !r->has_notebook) {
        if (area == CHECK_NOTEBOOK && r->problems[area] == 0)
            text_add(line, LINE_SIZE, "none yet");
        return;
    }
    switch (area) {
    case CHECK_INDEX:
        say_index(line, r);
        break;
    case CHECK_FILES:
        say_files(line, r);
        break;
    case CHECK_SOLOS:
        say_solos(line, r);
        break;
    case CHECK_PLACES:
        text_add(line, LINE_SIZE, "where the notes of each solo lie");
        break;
    case CHECK_NOTES:
        text_add(line, LINE_SIZE, "%s of notes compared",
                 words_count(count, (uint64_t)r->index.strand_bytes, "fact",
                             "facts"));
        break;
    case CHECK_RUNS:
        text_add(line, LINE_SIZE, "%s of the search compared",
                 words_count(count, (uint64_t)r->index.postings, "place",
                             "places"));
        break;
    case CHECK_WORDS:
        text_add(line, LINE_SIZE, "titles, names and words of each solo");
        break;
    case CHECK_NOTEBOOK:
        text_add(line, LINE_SIZE, "the file, version %" PRId64,
                 r->notebook.version);
        break;
    case CHECK_FORMS:
        if (r->notebook.forms > 0)
            say_forms(line, r);
        break;
    case CHECK_BANKS:
        if (r->notebook.banks > 0)
            say_banks(line, r);
        break;
    case CHECK_LISTS:
        if (r->notebook.lists > 0)
            say_lists(line, r);
        break;
    case CHECK_AREAS:
        break;
    }
}

/* Something of AREA is worth saying, though it is no damage. */
static bool has_told(const struct check_report *r, enum check_area area)
{
    for (size_t i = 0; i < r->count; i++)
        if (r->findings[i].area == area)
            return true;
    return area == CHECK_FILES && r->index.unreadable > 0;
}

static void put_area(const struct output *out, const struct check_report *r,
                     enum check_area area)
{
    char line[LINE_SIZE], count[WORDS_SIZE];
    bool nothing = area == CHECK_NOTEBOOK && !r->has_notebook;

    say_area(line, r, area);
    if (!*line && r->problems[area] == 0)
        return;
    if (r->problems[area] > 0)
        text_add(line, LINE_SIZE, "%s%s", *line ? ": " : "",
                 words_count(count, r->problems[area], "problem", "problems"));
    else if (!nothing && !has_told(r, area))
        text_add(line, LINE_SIZE, ": all good");
    if (r->problems[area] > 0)
        text_paint(out, PAINT_HEADING);
    fprintf(out->stream, "%-*s", LEFT, check_area_name(area));
    columns_wrap(out->stream, line, out->width - LEFT, LEFT);
    if (r->problems[area] > 0)
        text_paint(out, PAINT_NONE);
}

static void put_repair(const struct output *out, const struct check_report *r)
{
    char solos[WORDS_SIZE], lost[WORDS_SIZE], line[LINE_SIZE] = "";

    if (!r->repaired)
        return;
    text_add(line, LINE_SIZE, "%s laid anew from the notes",
             words_count(solos, (uint64_t)r->repair.solos, "solo", "solos"));
    if (r->repair.lost > 0)
        text_add(line, LINE_SIZE, "; %s to be read again",
                 words_count(lost, (uint64_t)r->repair.lost, "file", "files"));
    text_add(line, LINE_SIZE, "; the notebook was left as it is");
    fprintf(out->stream, "%-*s", LEFT, "repair");
    columns_wrap(out->stream, line, out->width - LEFT, LEFT);
}

static void put_finding(const struct output *out, const struct check_finding *f)
{
    char line[LINE_SIZE] = "";

    text_add(line, LINE_SIZE, "%s: %s%s%s", check_area_name(f->area), f->path,
             *f->path ? ": " : "", f->what);
    if (f->problem && !f->says_how)
        text_add(line, LINE_SIZE, "; %s", check_mend(f->area));
    fputs("  ", out->stream);
    columns_wrap(out->stream, line, out->width - 2, 6);
}

enum status text_check(const struct output *out, const struct check_page *page,
                       struct fault *why)
{
    const struct check_report *r = page->report;
    size_t shown = 0;

    (void)why;
    put_repair(out, r);
    for (int i = 0; i < CHECK_AREAS; i++)
        put_area(out, r, (enum check_area)i);
    if (r->count > 0)
        putc('\n', out->stream);
    /* Damage first. */
    for (int problem = 1; problem >= 0; problem--)
        for (size_t i = 0; i < r->count; i++) {
            if (r->findings[i].problem != (problem == 1))
                continue;
            if (page->limit == 0 || shown < page->limit) {
                put_finding(out, &r->findings[i]);
                shown++;
            }
        }
    text_more(out, r->count, shown);
    if (check_index_problems(r) + check_notebook_problems(r) == 0)
        fprintf(out->stream, "%sall is well\n", r->count > 0 ? "\n" : "");
    return ST_OK;
}
