/* indexer/elements_internal.h - shared by elements*.c only. */
#ifndef INDEXER_ELEMENTS_INTERNAL_H
#define INDEXER_ELEMENTS_INTERNAL_H

#include "indexer/elements.h"

enum { PARTS_MAX = 512, VOICE_NAMES_MAX = 64, TYPE_SIZE = 64,
       HEADER_TEXT_SIZE = 1024 };

struct elements {
    struct raw_score *score;
    size_t part, part_room;
    bool has_part;
    const char *bar_number; /* of the current measure element */
    bool bar_implicit;

    /* The note, backup or forward being read. */
    struct raw_event note;
    bool has_duration, has_step;
    /* Voices that are no numbers are ranked as they come. */
    const char *voice_names[VOICE_NAMES_MAX];
    int voice_name_count;

    /* The harmony being read; several chords may stand in one element. */
    struct raw_harmony harmony;
    struct raw_harmony *harmonies[8];
    int harmony_count;
    struct chord_degree degree;
    bool has_kind, has_harmony; /* of the chord being read */
    int16_t staff;
    struct rational offset;

    /* Attributes. */
    int fifths;
    uint8_t mode;
    bool has_fifths, time_is_senza;
    char metre[32];
    struct rational chromatic;
    int diatonic, octaves;
    int16_t attribute_staff;

    /* Direction and barline. */
    size_t direction_first; /* events from here take the offset */
    struct raw_event barline;
    bool barline_left;
    int beat_unit_dots;
    struct rational beat_unit; /* quarters, 0 unknown */

    /* Header. */
    char creator_type[TYPE_SIZE], credit_type[TYPE_SIZE];
    const char *credit_title;
    const char *any_creator;   /* without a type */
    const char *other_creator; /* of a type that is not known here */
};

/* Shared helpers. */
const char *elements_keep(struct elements *e, const char *text);
struct raw_part *elements_part(const struct elements *e);
struct raw_event *elements_event(struct elements *e, enum raw_kind kind);
const char *elements_bar_number(const struct elements *e);
/* MESSAGE holds one %s for TEXT. */
void elements_warn(struct elements *e, const char *element,
                   const char *message, const char *text);
bool elements_number(struct elements *e, const char *element,
                     const char *text, long low, long high, int *out);
bool elements_step(struct elements *e, const char *element, const char *text,
                   int8_t *step);
bool elements_alter(struct elements *e, const char *element,
                    const char *text, int16_t *alter);
void *elements_grow(struct elements *e, void *array, size_t count,
                    size_t *room, size_t item);

/* elements_note.c */
void elements_start_note(struct elements *e, enum element element);
void elements_note_child(struct elements *e, enum element element,
                         const struct attributes *a);
void elements_end_note_child(struct elements *e, enum element element,
                             const char *text);
void elements_end_note(struct elements *e, enum element element);

/* elements_harmony.c */
void elements_start_harmony(struct elements *e, enum element element,
                            const struct attributes *a);
void elements_end_harmony_child(struct elements *e, enum element element,
                                const char *text);
void elements_end_harmony(struct elements *e);

/* elements_attributes.c: attributes, directions, barlines. */
void elements_start_attributes(struct elements *e, enum element element,
                               const struct attributes *a);
void elements_end_attributes(struct elements *e, enum element element,
                             enum element parent, const char *text);
void elements_start_direction(struct elements *e, enum element element,
                              enum element parent,
                              const struct attributes *a);
void elements_end_direction(struct elements *e, enum element element,
                            enum element parent, const char *text);

/* elements_header.c: a person or title named in the file. */
void elements_creator(struct elements *e, const char *type, const char *text,
                      bool credit);

#endif
