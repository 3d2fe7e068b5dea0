/* query/fragment_words.c - a fragment told in plain words. */
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "query/fragment.h"
#include "query/words.h"

/* Text that grows up to SIZE; FULL once something did not fit. */
struct words {
    char *text;
    size_t size, used;
    bool full;
};

static void say(struct words *out, const char *format, ...)
    __attribute__((format(printf, 2, 3)));

static void say(struct words *out, const char *format, ...)
{
    size_t room = out->size - out->used;
    va_list args;
    int n;

    va_start(args, format);
    n = vsnprintf(out->text + out->used, room, format, args);
    va_end(args);
    if (n < 0 || (size_t)n >= room) {
        out->full = true;
        n = room > 0 ? (int)room - 1 : 0;
    }
    out->used += (size_t)n;
}

static void say_distance(struct words *out, int semitones)
{
    char text[WORDS_SIZE];

    say(out, "%s", words_interval(text, semitones));
}

/* The note I against note FROM of the same group. */
static void say_step(struct words *out, const struct fragment *f, size_t from,
                     size_t i)
{
    int semitones = f->midi[i] - f->midi[from];

    if (from + 1 == i) {
        if (semitones == 0) {
            say(out, "repeated");
            return;
        }
        say(out, "%s ", semitones < 0 ? "down" : "up");
        say_distance(out, abs(semitones));
    } else if (semitones == 0) {
        say(out, "note %zu again", from + 1);
    } else {
        say_distance(out, abs(semitones));
        say(out, " %s note %zu", semitones < 0 ? "below" : "above", from + 1);
    }
}

/* "(down a major third, any note, up a fourth)". */
static void say_steps(struct words *out, const struct fragment *f)
{
    size_t known = f->count; /* the last known note */

    for (size_t i = 0; i < f->count; i++) {
        if (i > 0)
            say(out, "%s", i == 1 ? "" : ", ");
        if (i > 0 &&
            (f->any[i] || known == f->count || f->group[known] != f->group[i]))
            say(out, "any note");
        else if (i > 0)
            say_step(out, f, known, i);
        if (!f->any[i])
            known = i;
    }
}

void over_chord_describe(char out[OVER_WORDS_SIZE],
                         const struct over_chord *over)
{
    int class = over->chord.class;
    const char *name = chord_class_name(class);

    if (over->function[0])
        snprintf(out, OVER_WORDS_SIZE, "%s", over->function);
    else if (class == CHORD_NONE)
        snprintf(out, OVER_WORDS_SIZE, "no chord");
    else if (!over->by_class)
        snprintf(out, OVER_WORDS_SIZE, "%s", over->text);
    else if (class == CHORD_OTHER)
        snprintf(out, OVER_WORDS_SIZE, "a chord that has no name");
    else
        snprintf(out, OVER_WORDS_SIZE, "%s %s chord",
                 strchr("aeiou", name[0]) ? "an" : "a", name);
}

static void say_over(struct words *out, const struct fragment *f)
{
    if (f->over.count == 0)
        say(out, " over any chord");
    for (int i = 0; i < f->over.count; i++) {
        const struct over_chord *over = &f->over.chords[i];
        char text[OVER_WORDS_SIZE];

        over_chord_describe(text, over);
        say(out, "%s%s", i == 0 ? " over " : " then ", text);
        /* Once for neighbours, which share the key. */
        if (over->function[0] &&
            (i + 1 == f->over.count || !over[1].function[0]))
            say(out, " of the key");
    }
}

/* The notes as written: "5 b3 ? 1". */
static void say_written(struct words *out, const struct fragment *f)
{
    for (size_t i = 0; i < f->count; i++)
        say(out, "%s%s", i == 0 ? "" : " ", f->any[i] ? "?" : f->text[i]);
}

/* The note names of degrees: in the key of their chord, else in C; over a
 * function, which has a key of its own, C is the root. */
static void say_notes(struct words *out, const struct fragment *f)
{
    say(out, " (%s",
        f->given_pc >= 0                ? ""
        : f->over.chords[0].function[0] ? "from the root C: "
                                        : "in C: ");
    for (size_t i = 0; i < f->count; i++) {
        char name[PITCH_TEXT_SIZE];

        say(out, "%s%s", i == 0 ? "" : " ",
            f->any[i] ? "?" : pitch_class_text(name, f->spelled[i]));
    }
    say(out, ")");
}

char *fragment_value_text(char out[FRAGMENT_VALUE_SIZE],
                          struct rational value)
{
    static const struct {
        const char *text;
        int num, den;
    } shapes[] = { { "", 1, 1 },
                   { ".", 3, 2 },
                   { "..", 7, 4 },
                   { "t", 2, 3 },
                   { "..t", 7, 6 } };
    char text[RATIONAL_TEXT_SIZE];

    for (int n = 1; n <= 64; n *= 2)
        for (size_t i = 0; i < sizeof shapes / sizeof *shapes; i++) {
            struct rational shaped = rational_make(4 * (int64_t)shapes[i].num,
                                                   (int64_t)n * shapes[i].den);

            if (rational_compare(shaped, value) == 0) {
                snprintf(out, FRAGMENT_VALUE_SIZE, "%d%s", n, shapes[i].text);
                return out;
            }
        }
    snprintf(out, FRAGMENT_VALUE_SIZE, "%s of a quarter",
             rational_text(text, value));
    return out;
}

static void say_value(struct words *out, struct rational value)
{
    char text[FRAGMENT_VALUE_SIZE];

    say(out, "%s", fragment_value_text(text, value));
}

static void say_rhythm(struct words *out, const struct fragment *f)
{
    if (!f->has_rhythm) {
        say(out, " and any rhythm");
        return;
    }
    say(out, "; note values ");
    for (size_t i = 0; i < f->count; i++) {
        say(out, "%s", i == 0 ? "" : " ");
        say_value(out, f->value[i]);
    }
}

enum status fragment_describe(const struct fragment *f, char *out, size_t size)
{
    struct words words = { out, size, 0, size == 0 };

    if (size == 0)
        return ST_INTERNAL;
    out[0] = '\0';
    say(&words, "%zu notes", f->count);
    if (f->language != FRAGMENT_INTERVALS) {
        say(&words, ", ");
        say_written(&words, f);
    }
    say_over(&words, f);
    if (f->language == FRAGMENT_DEGREES)
        say_notes(&words, f);
    say(&words, ": ");
    say_steps(&words, f);
    say(&words, "; in any key");
    say_rhythm(&words, f);
    if (f->language == FRAGMENT_DEGREES && f->over.count == 0)
        say(&words, " (--over m7 asks for a chord)");
    return words.full ? ST_INTERNAL : ST_OK;
}
