/* find_fixture.c - a small library of made-up solos for the tests of find. */
#include "tests/unit/find_fixture.h"

#include <check.h>
#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "schema/harmony.h"

static void must(enum status st, const struct fault *why)
{
    ck_assert_msg(st == ST_OK, "%s", why->message);
}

void fixture_open(struct fixture *fixture)
{
    struct fault why = { 0 };

    strcpy(fixture->folder, "/tmp/cellar-find-XXXXXX");
    ck_assert_ptr_nonnull(mkdtemp(fixture->folder));
    must(store_open(&fixture->store, fixture->folder, STORE_WRITE, NULL, &why),
         &why);
    must(store_begin(fixture->store, &why), &why);
}

void fixture_put(struct fixture *fixture, const char *path, struct solo *solo)
{
    struct file_record file = {
        .path = path, .size = 1, .mtime = 1, .part = "", .unreadable = ""
    };
    struct fault why = { 0 };

    /* Any 64 digits do for a hash; files differ by their path. */
    memset(file.sha256, '0', 64);
    snprintf(file.sha256, sizeof file.sha256, "%064lx",
             (unsigned long)strlen(path) * 31 + (unsigned char)path[0]);
    must(store_put(fixture->store, &file, solo, &why), &why);
    solo_free(solo);
}

void fixture_commit(struct fixture *fixture)
{
    struct fault why = { 0 };

    must(store_commit(fixture->store, &why), &why);
}

static void remove_folder(const char *path)
{
    DIR *folder = opendir(path);
    struct dirent *entry;

    while (folder && (entry = readdir(folder)) != NULL) {
        char name[512];

        if (!strcmp(entry->d_name, ".") || !strcmp(entry->d_name, ".."))
            continue;
        snprintf(name, sizeof name, "%s/%s", path, entry->d_name);
        if (unlink(name) != 0)
            remove_folder(name);
    }
    if (folder)
        closedir(folder);
    rmdir(path);
}

void fixture_close(struct fixture *fixture)
{
    store_close(fixture->store);
    remove_folder(fixture->folder);
}

/* --- drafts -------------------------------------------------------------- */

enum {
    DRAFT_ROOM = 4096
};

void draft_start(struct draft *draft, const char *performer, const char *title,
                 const char *metre, int64_t bar)
{
    struct solo *solo = solo_new();

    ck_assert_ptr_nonnull(solo);
    memset(draft, 0, sizeof *draft);
    draft->solo = solo;
    draft->bar = bar;
    draft->note_room = draft->chord_room = DRAFT_ROOM;
    solo->performer = solo_copy(solo, performer, strlen(performer));
    solo->title = solo_copy(solo, title, strlen(title));
    solo->metre = solo_copy(solo, metre, strlen(metre));
    solo->ticks = FIXTURE_TICKS;
    solo->has_metre = true;
    solo->notes = solo_alloc(solo, DRAFT_ROOM * sizeof *solo->notes);
    solo->chords = solo_alloc(solo, DRAFT_ROOM * sizeof *solo->chords);
    ck_assert(solo->notes && solo->chords);
}

static void more_notes(struct draft *draft)
{
    struct solo *solo = draft->solo;
    struct note *more =
        solo_alloc(solo, 2 * draft->note_room * sizeof *more);

    ck_assert_ptr_nonnull(more);
    memcpy(more, solo->notes, solo->note_count * sizeof *more);
    solo->notes = more;
    draft->note_room *= 2;
}

void draft_note(struct draft *draft, int midi, int64_t ticks, int64_t sounding)
{
    struct solo *solo = draft->solo;
    struct note *note;

    if (solo->note_count == draft->note_room)
        more_notes(draft);
    note = &solo->notes[solo->note_count++];
    note->start = draft->now;
    note->bar = (int32_t)(draft->now / draft->bar);
    note->onset = draft->now % draft->bar;
    note->duration = sounding;
    note->midi = (uint8_t)midi;
    note->sounding = note->written = pitch_spell(midi, 0);
    draft->now += ticks;
}

void draft_rest(struct draft *draft, int64_t ticks)
{
    draft->solo->rests++;
    draft->now += ticks;
}

void draft_chord(struct draft *draft, const char *symbol, int64_t at)
{
    struct solo *solo = draft->solo;
    struct chord_event *event = &solo->chords[solo->chord_count++];
    struct fault why = { 0 };

    ck_assert_uint_le(solo->chord_count, draft->chord_room);
    must(chord_parse(&event->chord, symbol, strlen(symbol), false, &why), &why);
    event->start = at;
    event->bar = (int32_t)(at / draft->bar);
    event->onset = event->takes_effect = at % draft->bar;
    event->kind_text = "";
    event->key = -1;
    event->function = "";
}

struct solo *draft_end(struct draft *draft)
{
    struct solo *solo = draft->solo;
    size_t count = (size_t)(draft->now / draft->bar) + 1;

    solo->bars = solo_alloc(solo, count * sizeof *solo->bars);
    solo->plays = solo_alloc(solo, count * sizeof *solo->plays);
    ck_assert(solo->bars && solo->plays);
    for (size_t i = 0; i < count; i++) {
        char number[24];

        snprintf(number, sizeof number, "%zu", i + 1);
        solo->bars[i].start = (int64_t)i * draft->bar;
        solo->bars[i].length = solo->bars[i].nominal = draft->bar;
        solo->bars[i].number = solo_copy(solo, number, strlen(number));
        solo->bars[i].metre = solo->metre;
        solo->plays[i] = (int32_t)i;
    }
    solo->bar_count = solo->play_count = count;
    solo_place_notes(solo);
    ck_assert_int_eq(harmony_analyse(solo, NULL), ST_OK);
    return solo;
}

/* --- solos from a text --------------------------------------------------- */

static int64_t value_ticks(const char *colon)
{
    int64_t ticks = 4 * FIXTURE_TICKS;
    char *end = NULL;

    if (!colon)
        return FIXTURE_TICKS / 2;
    ticks /= strtol(colon + 1, &end, 10);
    if (*end == '.')
        ticks = ticks * 3 / 2;
    if (*end == 't')
        ticks = ticks * 2 / 3;
    return ticks;
}

static void take_word(struct draft *draft, const char *word, int up)
{
    int64_t ticks = value_ticks(strchr(word, ':'));
    struct pitch pitch;

    if (word[0] == '[') {
        char symbol[32];

        snprintf(symbol, sizeof symbol, "%.*s", (int)strcspn(word + 1, "]"),
                 word + 1);
        draft_chord(draft, symbol, draft->now);
        chord_transpose(
            &draft->solo->chords[draft->solo->chord_count - 1].chord, up, 0);
    } else if (word[0] == 'r') {
        draft_rest(draft, ticks);
    } else {
        ck_assert_uint_gt(pitch_parse(&pitch, NULL, word, true), 0);
        draft_note(draft, pitch_midi(pitch) + up, ticks, ticks);
    }
}

struct solo *fixture_solo_in(const char *performer, const char *metre,
                             const char *text, int up)
{
    struct draft draft;
    const char *at = text;
    char *unit;
    int64_t beats = strtol(metre, &unit, 10);

    draft_start(&draft, performer, text, metre,
                beats * 4 * FIXTURE_TICKS / strtol(unit + 1, NULL, 10));
    while (*(at += strspn(at, " "))) {
        char word[40];
        size_t length = strcspn(at, " ");

        snprintf(word, sizeof word, "%.*s", (int)length, at);
        take_word(&draft, word, up);
        at += length;
    }
    return draft_end(&draft);
}

struct solo *fixture_solo_up(const char *performer, const char *text, int up)
{
    return fixture_solo_in(performer, "4/4", text, up);
}

struct solo *fixture_solo(const char *performer, const char *text)
{
    return fixture_solo_up(performer, text, 0);
}
