/* query/cmd_form.c - cellar form: the choruses and sections of one solo, and
 * what the user says of them. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "query/one_solo.h"
#include "query/words.h"
#include "schema/notebook.h"

struct form_options {
    const char *set;
    bool unset;
    int format;
};

static const struct option_row rows[] = {
    { .kind = OPTION_HEADING, .help = "Corrections:" },
    { .name = "set",
      .value_name = "length=N,first=BAR",
      .help = "Say that a chorus has N bars and that the first begins at the "
              "bar printed BAR; either may be left out. length=0: there is "
              "no form. Kept in the notebook.",
      .kind = OPTION_TEXT,
      .offset = offsetof(struct form_options, set) },
    { .name = "unset",
      .help = "Take back what was said; the form is worked out again.",
      .kind = OPTION_FLAG,
      .offset = offsetof(struct form_options, unset) },
    { .kind = OPTION_HEADING, .help = "Output:" },
    { .name = "format",
      .help = "How the answer is written.",
      .kind = OPTION_CHOICE,
      .choices = printer_formats,
      .offset = offsetof(struct form_options, format) },
    OPTION_END
};

static const char about[] =
    "Show the form of one solo: how long a chorus is, where each begins, "
    "its sections, and the chords of one chorus. SOLO is its path in the "
    "library, or any part of the path or the title that no other solo has.\n"
    "\n"
    "Bars are cited as printed, except in the chord grid, where they are "
    "counted from the start of the chorus. The form is worked out from "
    "rehearsal marks, double bars and the return of the chords; how sure "
    "that is stands beside it. A vamp or a piece in which nothing returns "
    "has none.\n"
    "\n"
    "  cellar form night-walk --set length=32,first=5\n"
    "\n"
    "corrects it. A correction outlives indexing again, and moving or editing "
    "the file as long as its chords stay the same.\n";

/* --- what was said ---------------------------------------------------- */

struct said {
    int32_t length;
    char first[WORDS_SIZE];
    bool has_length, has_first;
};

/* One "NAME=VALUE" of LEN bytes. */
static enum status read_pair(struct said *out, const char *text, size_t len,
                             struct fault *why)
{
    const char *value = memchr(text, '=', len);
    size_t name = value ? (size_t)(value - text) : 0;
    size_t size = value ? len - name - 1 : 0;
    char *end;

    if (name == 6 && memcmp(text, "length", 6) == 0 && size > 0) {
        long length = strtol(value + 1, &end, 10);

        if (end == text + len && length >= 0 && length <= 10000) {
            out->length = (int32_t)length;
            out->has_length = true;
            return ST_OK;
        }
        return fault_set(why, ST_USAGE, "--set: the length is a number of "
                         "bars, such as length=32");
    }
    if (name == 5 && memcmp(text, "first", 5) == 0 && size > 0 &&
        size < sizeof out->first) {
        memcpy(out->first, value + 1, size);
        out->first[size] = '\0';
        out->has_first = true;
        return ST_OK;
    }
    return fault_set(why, ST_USAGE, "--set takes length=N, first=BAR or both, "
                     "such as --set length=32,first=5");
}

static enum status read_said(struct said *out, const char *text,
                             struct fault *why)
{
    memset(out, 0, sizeof *out);
    for (;;) {
        size_t len = strcspn(text, ",");
        enum status st = read_pair(out, text, len, why);

        if (st != ST_OK || !text[len])
            return st;
        text += len + 1;
    }
}

/* What was left out stays as it is; a form that was not found begins with
 * the first bar that is no pickup. */
static enum status complete(struct said *said, const struct solo *solo,
                            struct fault *why)
{
    int32_t first = 0;

    if (!said->has_length)
        said->length = solo->form.plan.length;
    if (!said->has_length && said->length == 0)
        return fault_set(why, ST_USAGE, "--set: say how long a chorus is, "
                         "such as length=32");
    if (said->has_first || solo->bar_count == 0)
        return ST_OK;
    if (solo->form.plan.length > 0)
        first = solo->form.first_bar;
    else if (solo->bars[0].implicit && solo->bar_count > 1)
        first = 1;
    snprintf(said->first, sizeof said->first, "%s",
             solo->bars[first].number);
    return ST_OK;
}

/* --- the notebook ----------------------------------------------------- */

static struct solo_identity identity_of(const struct one_solo *one)
{
    const struct solo_record *record = one->list.items;

    return (struct solo_identity){ record->sha256, record->path,
                                   record->title,
                                   solo_harmony_digest(one->solo) };
}

static enum status keep(const struct session *session, struct one_solo *one,
                        struct said *said, struct fault *why)
{
    struct form_correction correction = { .solo = identity_of(one) };
    struct notebook *notebook = NULL;
    enum status st = complete(said, one->solo, why);

    if (st == ST_OK)
        st = correct_form(one->solo, said->length, said->first, why);
    if (st != ST_OK)
        return st;
    correction.length = said->length;
    correction.first_bar = said->first;
    st = notebook_open(&notebook, session->library, NOTEBOOK_WRITE, why);
    if (st == ST_OK)
        st = notebook_put_form(notebook, &correction, why);
    notebook_close(notebook);
    return st;
}

static enum status take_back(const struct session *session,
                             const struct one_solo *one, struct fault *why)
{
    struct solo_identity solo = identity_of(one);
    struct notebook *notebook = NULL;
    enum status st = notebook_open(&notebook, session->library,
                                   NOTEBOOK_WRITE, why);

    if (st == ST_OK)
        st = notebook_drop_form(notebook, &solo, why);
    notebook_close(notebook);
    if (st == ST_NOTHING)
        return fault_set(why, ST_NOTHING, "nothing was said of the form of %s",
                         one->list.items->path);
    return st;
}

/* The solo anew, with the form that was worked out. */
static enum status reload(struct session *session, struct one_solo *one,
                          struct fault *why)
{
    store_on_load(session->store, NULL, NULL);
    solo_free(one->solo);
    one->solo = NULL;
    return store_load(session->store, one->list.items->id, &one->solo, why);
}

/* --- the command ------------------------------------------------------ */

static enum status change(struct session *session, struct one_solo *one,
                          const struct form_options *options,
                          struct said *said, struct fault *why)
{
    enum status st = ST_OK;

    if (options->set)
        return keep(session, one, said, why);
    if (options->unset) {
        st = take_back(session, one, why);
        if (st == ST_OK)
            st = reload(session, one, why);
    }
    return st;
}

enum status cmd_form(struct session *session, int argc, char **argv,
                     struct fault *why)
{
    struct form_options options = { 0 };
    const struct option_set sets[] = { { rows, &options }, { NULL, NULL } };
    enum status st = session_options(session, sets, about, &argc, argv, why);
    struct one_solo one;
    struct said said;

    if (st != ST_OK || session->answered)
        return st;
    if (options.set && options.unset)
        return fault_set(why, ST_USAGE, "give --set or --unset, not both");
    if (options.set)
        st = read_said(&said, options.set, why);
    if (st != ST_OK)
        return st;
    st = one_solo_open(&one, session, argc, argv, why);
    if (st == ST_OK)
        st = change(session, &one, &options, &said, why);
    if (st == ST_OK) {
        struct output out = session_output(session);
        struct form_page page = { one.list.items, one.solo };

        st = printer_for(options.format)->form(&out, &page, why);
    }
    one_solo_close(&one);
    return st;
}
