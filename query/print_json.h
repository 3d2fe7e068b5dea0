/* query/print_json.h - the parts of the JSON writer; private to it. */
#ifndef QUERY_PRINT_JSON_H
#define QUERY_PRINT_JSON_H

#include "query/example.h"
#include "query/json.h"
#include "query/printer.h"

enum status json_solos(const struct output *out, const struct solo_list *list,
                       struct fault *why);
enum status json_solo(const struct output *out, const struct solo_page *page,
                      struct fault *why);
enum status json_form(const struct output *out, const struct form_page *page,
                      struct fault *why);
enum status json_coverage(const struct output *out,
                          const struct coverage_page *page,
                          struct fault *why);
enum status json_find(const struct output *out, const struct find_page *page,
                      struct fault *why);
enum status json_openings(const struct output *out,
                          const struct openings_page *page, struct fault *why);
enum status json_openings_library(const struct output *out,
                                  const struct openings_library_page *page,
                                  struct fault *why);
enum status json_bank(const struct output *out, const struct bank_page *page,
                      struct fault *why);
enum status json_banks(const struct output *out, const struct bank_list *list,
                       struct fault *why);
enum status json_study(const struct output *out, const struct study_page *page,
                       struct fault *why);
enum status json_study_lists(const struct output *out,
                             const struct study_lists *lists,
                             struct fault *why);
enum status json_check(const struct output *out, const struct check_page *page,
                       struct fault *why);

enum status json_tension(const struct output *out,
                         const struct tension_page *page, struct fault *why);
enum status json_cells(const struct output *out, const struct cells_page *page,
                       struct fault *why);
enum status json_cell(const struct output *out, const struct cell_page *page,
                      struct fault *why);

/* "function" and "key" of the chord EVENT of SOLO, null where there is none;
 * EVENT may be NULL.  A stretch without a chord keeps the key around it. */
void json_harmony(struct json *json, const struct solo *solo,
                  const struct chord_event *event);
/* The form of SOLO as members of the object at hand: "length" to
 * "choruses". */
void json_form_members(struct json *json, const struct solo *solo);
/* Where BAR stands in the form: "chorus", "chorus_bar" and "section", null
 * where in none. */
void json_place(struct json *json, const struct solo *solo, int32_t bar);

/* The object of an EXAMPLE that was cited: "path", "bar", "bar_index", "onset"
 * and "first_note". */
void json_example(struct json *json, const char *key,
                  const struct example *example, const struct solo_list *list);

/* The question's restrictions as given: the member "filters", and "chorus" to
 * "within_phrase", null where anywhere. */
void json_filters(struct json *json, const struct asked_filter *asked);
void json_place_asked(struct json *json, const struct place_options *place);

/* A beat as a decimal where that is exact, else a fraction: "2.5".  Returns
 * OUT. */
const char *json_beat_text(char out[RATIONAL_TEXT_SIZE], struct rational beat);

/* Tempo in hundredths of quarters a minute; null for 0, unknown. */
void json_tempo(struct json *json, int32_t hundredths);

#endif
