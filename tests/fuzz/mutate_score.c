/* mutate_score.c - see mutate_score.h. */
#include "tests/fuzz/mutate_score.h"

#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

enum {
    TRIES = 8,      /* to find a place for a change */
    COPIES_MAX = 40 /* of an element */
};

struct text {
    uint8_t *at;
    size_t size, most;
    uint64_t state;
};

/* Bytes FIRST to before END. */
struct span {
    size_t first, end;
};

/* xorshift64*, S. Vigna, "An experimental exploration of Marsaglia's xorshift
 * generators, scrambled", ACM TOMS 42 (2016); from memory. */
size_t mutate_draw(uint64_t *state, size_t limit)
{
    *state ^= *state >> 12;
    *state ^= *state << 25;
    *state ^= *state >> 27;
    return (size_t)((*state * 2685821657736338717u) >> 33) % limit;
}

static size_t draw(struct text *t, size_t limit)
{
    return mutate_draw(&t->state, limit);
}

/* Put LENGTH bytes of NEW in place of OLD; false where there is no room. */
static bool put(struct text *t, struct span old, const uint8_t *new,
                size_t length)
{
    size_t size = t->size - (old.end - old.first) + length;

    if (size > t->most || size == 0)
        return false;
    memmove(t->at + old.first + length, t->at + old.end, t->size - old.end);
    if (length)
        memcpy(t->at + old.first, new, length);
    t->size = size;
    return true;
}

static bool put_text(struct text *t, struct span old, const char *new)
{
    return put(t, old, (const uint8_t *)new, strlen(new));
}

/* --- elements ------------------------------------------------------------- */

static bool is_name(uint8_t c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

/* The tag that starts at AT, with its brackets; all zero where there is none.
 */
static struct span tag_at(const struct text *t, size_t at)
{
    const uint8_t *end = memchr(t->at + at, '>', t->size - at);

    if (!end)
        return (struct span){ 0, 0 };
    return (struct span){ at, (size_t)(end - t->at) + 1 };
}

/* The element whose start tag is TAG, up to the end of its end tag. */
static bool element_of(const struct text *t, struct span tag, struct span *out)
{
    int depth = 0;

    out->first = tag.first;
    for (size_t at = tag.first; at < t->size;) {
        const uint8_t *next = memchr(t->at + at, '<', t->size - at);

        if (!next)
            return false;
        tag = tag_at(t, (size_t)(next - t->at));
        if (tag.end == 0)
            return false;
        at = tag.end;
        if (t->at[tag.first + 1] == '/')
            depth--;
        else if (is_name(t->at[tag.first + 1]) && t->at[tag.end - 2] != '/')
            depth++;
        out->end = tag.end;
        if (depth <= 0)
            return true;
    }
    return false;
}

/* Any start tag, the next after a place that is drawn. */
static bool any_tag(struct text *t, struct span *out)
{
    for (int i = 0; i < TRIES; i++) {
        size_t at = draw(t, t->size);

        while (at + 1 < t->size &&
               !(t->at[at] == '<' && is_name(t->at[at + 1])))
            at++;
        if (at + 1 >= t->size)
            continue;
        *out = tag_at(t, at);
        if (out->end)
            return true;
    }
    return false;
}

static bool any_element(struct text *t, struct span *out)
{
    struct span tag;

    return any_tag(t, &tag) && element_of(t, tag, out);
}

/* An element with nothing but text in it: the text, and the tag. */
static bool any_leaf(struct text *t, struct span *tag, struct span *inside)
{
    for (int i = 0; i < TRIES; i++) {
        struct span element;
        const uint8_t *end;

        if (!any_tag(t, tag) || !element_of(t, *tag, &element) ||
            element.end == tag->end)
            continue;
        end = memchr(t->at + tag->end, '<', t->size - tag->end);
        *inside = (struct span){ tag->end, (size_t)(end - t->at) };
        if (end[1] == '/')
            return true;
    }
    return false;
}

/* A copy of the bytes of S; the caller frees it. */
static uint8_t *copy_of(const struct text *t, struct span s)
{
    uint8_t *copy = malloc(s.end - s.first + 1);

    if (copy)
        memcpy(copy, t->at + s.first, s.end - s.first);
    return copy;
}

/* --- changes ---------------------------------------------------------------
 */

static bool duplicate(struct text *t)
{
    struct span e;
    size_t copies = draw(t, 4) ? 1 : 1 + draw(t, COPIES_MAX);
    uint8_t *copy;
    bool good;

    if (!any_element(t, &e) || !(copy = copy_of(t, e)))
        return false;
    good = false;
    for (size_t i = 0; i < copies; i++)
        good |= put(t, (struct span){ e.end, e.end }, copy, e.end - e.first);
    free(copy);
    return good;
}

static bool delete_element(struct text *t)
{
    struct span e;

    /* Not half of the document. */
    return any_element(t, &e) && e.end - e.first < t->size / 2 &&
           put(t, e, NULL, 0);
}

/* Put one element where another is: swapped, or in place of it, or inside. */
static bool move_element(struct text *t, bool swap, bool inside)
{
    struct span a, b;
    uint8_t *first, *second = NULL;
    bool good;

    if (!any_element(t, &a) ||
        (inside ? !any_tag(t, &b) : !any_element(t, &b)) || a.end > b.first)
        return false;
    first = copy_of(t, a);
    second = copy_of(t, b);
    good = first && second;
    if (good && inside)
        good = put(t, (struct span){ b.end, b.end }, first, a.end - a.first);
    else if (good)
        good = put(t, b, first, a.end - a.first) &&
               (!swap || put(t, a, second, b.end - b.first));
    free(first);
    free(second);
    return good;
}

static bool change_text(struct text *t)
{
    struct span tag, inside;
    size_t name;

    if (!any_leaf(t, &tag, &inside))
        return false;
    for (name = tag.first + 1; name < tag.end - 1 && t->at[name] != ' ';)
        name++;
    return put_text(t, inside,
                    mutate_word((const char *)t->at + tag.first + 1,
                                name - tag.first - 1, &t->state));
}

/* The value of an attribute: another number, or a word. */
static bool change_attribute(struct text *t)
{
    struct span tag;
    const uint8_t *open, *close;

    for (int i = 0; i < TRIES; i++) {
        if (!any_tag(t, &tag))
            return false;
        open = memchr(t->at + tag.first, '"', tag.end - tag.first);
        close =
            open ? memchr(open + 1, '"', (size_t)(t->at + tag.end - open - 1))
                 : NULL;
        if (!close)
            continue;
        return put_text(t,
                        (struct span){ (size_t)(open + 1 - t->at),
                                       (size_t)(close - t->at) },
                        mutate_word("", 0, &t->state));
    }
    return false;
}

/* A piece of music before or after an element that is drawn. */
static bool add_piece(struct text *t)
{
    struct span e;
    size_t at;

    if (!any_element(t, &e))
        return false;
    at = draw(t, 2) ? e.first : e.end;
    return put_text(t, (struct span){ at, at }, mutate_piece(&t->state));
}

static bool change_bytes(struct text *t)
{
    size_t size = LLVMFuzzerMutate(t->at, t->size, t->most);

    if (size == 0)
        return false;
    t->size = size;
    return true;
}

static bool change_once(struct text *t)
{
    switch (draw(t, 16)) {
    case 0:
    case 1:
        return duplicate(t);
    case 2:
        return delete_element(t);
    case 3:
        return move_element(t, true, false);
    case 4:
        return move_element(t, false, false);
    case 5:
        return move_element(t, false, true);
    case 6:
    case 7:
        return change_attribute(t);
    case 8:
    case 9:
    case 10:
        return add_piece(t);
    case 11:
        return change_bytes(t);
    default:
        return change_text(t);
    }
}

size_t mutate_score(uint8_t *text, size_t size, size_t most, uint64_t seed)
{
    struct text t = { text, size, most, seed * 2 + 1 };
    size_t steps = 1 + draw(&t, 4);

    if (size == 0)
        return LLVMFuzzerMutate(text, size, most);
    for (size_t done = 0, tries = 0; done < steps && tries < 4 * TRIES; tries++)
        done += change_once(&t);
    return t.size;
}
