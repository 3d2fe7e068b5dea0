/* schema/store_code.c - what the codes in strands mean: made as solos are laid,
 * and read once a transaction. */
#include <stdlib.h>
#include <string.h>

#include "schema/store_internal.h"

/* --- codes being made ----------------------------------------------------- */

/* A code being made: the first fault sticks. */
struct coding {
    struct store *store;
    struct fault *why;
    enum status status;
};

static enum status make_code(struct store *store, enum strand_code kind,
                             const char *text, struct fault *why)
{
    struct strand_codes *codes = store->codes;
    int code = codes->counts[kind] + 1;
    struct binder b = store_bind(store, SQL_CODE_PUT);
    enum status st;

    bind_int(&b, kind);
    bind_int(&b, code);
    bind_text(&b, text);
    st = store_run(store, &b, why);
    if (st != ST_OK)
        return st;
    codes->texts[kind][code] = strdup(text);
    if (!codes->texts[kind][code])
        return fault_nomem(why);
    strand_code_read(codes, kind, code);
    codes->counts[kind] = code;
    return ST_OK;
}

/* The code of TEXT, 0 where it has none. */
static uint8_t known_code(const struct strand_codes *codes,
                          enum strand_code kind, const char *text)
{
    for (int i = 1; i <= codes->counts[kind]; i++)
        if (strcmp(codes->texts[kind][i], text) == 0)
            return (uint8_t)i;
    return 0;
}

static uint8_t code_of(void *context, enum strand_code kind, const char *text)
{
    struct coding *c = context;
    const struct strand_codes *codes = c->store->codes;
    uint8_t known = known_code(codes, kind, text);

    if (known)
        return known;
    if (c->status != ST_OK || codes->counts[kind] + 1 >= STRAND_UNSAID)
        return STRAND_UNSAID;
    c->status = make_code(c->store, kind, text, c->why);
    return c->status == ST_OK ? (uint8_t)codes->counts[kind] : STRAND_UNSAID;
}

enum status strands_code(struct store *store, uint8_t *const out[STRANDS],
                         const struct solo *solo, struct fault *why)
{
    struct coding coding = { store, why, ST_OK };
    const struct strand_codes *codes;
    enum status st = store_codes(store, &codes, why);

    if (st != ST_OK)
        return st;
    strands_write(out, solo, code_of, &coding);
    return coding.status;
}

enum status strands_code_of(struct store *store, enum strand_code kind,
                            const char *text, uint8_t *code, struct fault *why)
{
    struct coding coding = { store, why, ST_OK };
    const struct strand_codes *codes;
    enum status st = store_codes(store, &codes, why);

    if (st != ST_OK)
        return st;
    *code = code_of(&coding, kind, text);
    return coding.status;
}

static uint8_t code_or_unsaid(void *context, enum strand_code kind,
                              const char *text)
{
    uint8_t known = known_code(context, kind, text);

    return known ? known : STRAND_UNSAID;
}

enum status strands_expect(struct store *store, uint8_t *const out[STRANDS],
                           const struct solo *solo, struct fault *why)
{
    const struct strand_codes *codes;
    enum status st = store_codes(store, &codes, why);

    if (st == ST_OK)
        strands_write(out, solo, code_or_unsaid, store->codes);
    return st;
}

/* --- codes ---------------------------------------------------------------- */

void codes_forget(struct store *store)
{
    struct strand_codes *codes = store->codes;

    for (int kind = 0; codes && kind < CODE_KINDS; kind++)
        for (int i = 0; i < STRAND_UNSAID; i++)
            free(codes->texts[kind][i]);
    free(codes);
    store->codes = NULL;
}

/* Take a row of the table code; what makes no sense is left out. */
static bool take_code(struct strand_codes *codes, sqlite3_stmt *stmt)
{
    int64_t kind = sqlite3_column_int64(stmt, 0);
    int64_t code = sqlite3_column_int64(stmt, 1);
    const char *text = column_text(stmt, 2);

    if (kind < 0 || kind >= CODE_KINDS || code < 1 || code >= STRAND_UNSAID ||
        codes->texts[kind][code])
        return true;
    codes->texts[kind][code] = strdup(text);
    if (!codes->texts[kind][code])
        return false;
    if (!strand_code_read(codes, (enum strand_code)kind, (int)code)) {
        free(codes->texts[kind][code]);
        codes->texts[kind][code] = NULL;
    }
    return true;
}

/* The codes from 1 on without a gap are those in use. */
static void count_codes(struct strand_codes *codes)
{
    for (int kind = 0; kind < CODE_KINDS; kind++)
        while (codes->counts[kind] + 1 < STRAND_UNSAID &&
               codes->texts[kind][codes->counts[kind] + 1])
            codes->counts[kind]++;
}

enum status store_codes(struct store *store, const struct strand_codes **out,
                        struct fault *why)
{
    struct binder b;
    enum status st;
    bool room = true;

    *out = store->codes;
    if (*out)
        return ST_OK;
    store->codes = calloc(1, sizeof *store->codes);
    if (!store->codes)
        return fault_nomem(why);
    b = store_bind(store, SQL_CODES);
    while (room && store_row(&b))
        room = take_code(store->codes, b.stmt);
    st = store_done(store, &b, why);
    if (st == ST_OK && !room)
        st = fault_nomem(why);
    count_codes(store->codes);
    *out = store->codes;
    return st;
}
