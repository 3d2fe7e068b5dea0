/* schema/chord_text.c - read a chord as musicians write it.
 *
 *   chord := [root] suffix ['/' bass]
 *
 * The suffix is read in chord_suffix.c.  An accidental directly after the
 * root letter is the root's: "Bb5" is the power chord on B flat, and B with
 * a lowered fifth is "B(b5)".
 */
#include <stdio.h>
#include <string.h>

#include "schema/chord.h"
#include "schema/chord_parts.h"

enum {
    READ_MAX = 128
};

/* Make OUT of what was read. */
static void finish(struct chord *out, const struct chord_parts *parts,
                   enum suffix what, const struct pitch *root,
                   const struct pitch *bass)
{
    char suffix[CHORD_TEXT_SIZE] = "ped";

    if (what == SUFFIX_NONE) {
        chord_fill_none(out);
        return;
    }
    if (what == SUFFIX_PEDAL) {
        chord_fill(out, parts, KIND_PEDAL);
        out->class = CHORD_OTHER;
    } else {
        chord_fill(out, parts, parts_nearest_kind(parts));
        parts_suffix(suffix, sizeof suffix, parts);
    }
    chord_name(out, root, bass, suffix);
}

/* Read the slash and the bass to the end of the text. */
static enum status read_bass(struct pitch *bass, const char *at,
                             const char *begin, struct fault *why)
{
    at = chord_past_blanks(at + 1);
    at = chord_past_blanks(at + pitch_parse(bass, NULL, at, false));
    return *at ? chord_refuse(why, at, begin, false) : ST_OK;
}

/* Read root, suffix and bass at TEXT, which ends with NUL. */
static enum status parse_rooted(struct chord *out, const char *text,
                                struct fault *why)
{
    struct chord_parts parts = { { 0 }, false };
    const char *at = chord_past_blanks(text);
    struct pitch root, bass;
    enum suffix what;
    bool has_bass;
    enum status st;

    if (chord_is_none_text(text)) {
        chord_fill_none(out);
        return ST_OK;
    }
    if (*at < 'A' || *at > 'G')
        return fault_at(why, ST_SYNTAX, (long)(at - text),
                        "a chord begins with its root, a capital letter A "
                        "to G, as in Dm7 or Bb7#9");
    at += pitch_parse(&root, NULL, at, false);
    st = suffix_read(&parts, &what, &at, text, false, why);
    has_bass = st == ST_OK && *at == '/';
    if (has_bass)
        st = read_bass(&bass, at, text, why);
    if (st == ST_OK)
        finish(out, &parts, what, &root, has_bass ? &bass : NULL);
    return st;
}

static enum status parse_rootless(struct chord *out, const char *text,
                                  struct fault *why)
{
    struct chord_parts parts = { { 0 }, false };
    enum suffix what;
    enum status st = suffix_parse(&parts, &what, text, text, why);

    if (st == ST_OK)
        finish(out, &parts, what, NULL, NULL);
    return st;
}

enum status chord_parse(struct chord *out, const char *text, size_t len,
                        bool rootless, struct fault *why)
{
    char copy[READ_MAX];
    const char *nul = memchr(text, '\0', len);

    if (nul)
        return fault_at(why, ST_SYNTAX, (long)(nul - text),
                        "a chord holds no NUL byte");
    if (len >= sizeof copy)
        return fault_at(why, ST_SYNTAX, READ_MAX - 1,
                        "this is too long for a chord");
    memcpy(copy, text, len);
    copy[len] = '\0';
    return rootless ? parse_rootless(out, copy, why)
                    : parse_rooted(out, copy, why);
}
