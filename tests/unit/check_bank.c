/* check_bank.c - cells of banks: from the user's words and back. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "query/bank_add.h"
#include "tests/unit/notebook_fixture.h"
#include "tests/unit/suites.h"

static struct fault why;

/* "-4 -1 -2 minor 7 [5 b3 2 1] m7": a cell as it is kept; what is wrong with
 * it where it is none. */
static const char *read_cell(const char *text, const char *over)
{
    static char out[sizeof why.message + 8];
    char given[CELL_TEXT_SIZE];
    struct placed_cell cell;
    bool in_over;
    char *at = out;

    if (bank_read_cell(&cell, given, text, over, &in_over, &why) != ST_OK) {
        snprintf(out, sizeof out, "%s%s", in_over ? "over: " : "",
                 why.message);
        return out;
    }
    for (int i = 0; i + 1 < cell.count; i++)
        at += sprintf(at, "%d ", cell.intervals[i]);
    sprintf(at, "%s %d [%s] %s",
            cell.class < 0 ? "any" : chord_class_name(cell.class), cell.start,
            cell.degrees, cell.over);
    return out;
}

START_TEST(fragments_become_cells)
{
    /* Degrees over m7 and 7: common practice, no source. */
    static const struct {
        const char *text, *over, *cell;
    } cases[] = {
        { "5 b3 2 1", "m7", "-4 -1 -2 minor 7 [5 b3 2 1] m7" },
        { "5 b3 2 1", "Dm7", "-4 -1 -2 minor 7 [5 b3 2 1] m7" },
        { "A F E D", "Dm7", "-4 -1 -2 minor 7 [5 b3 2 1] m7" },
        { "A4 F4 E4 D4", "G7", "-4 -1 -2 dominant 2 [9 b7 6 5] 7" },
        { "A F E D", "minor", "-4 -1 -2 minor -1 [] " },
        { "A F E D", NULL, "-4 -1 -2 any -1 [] " },
        { "-4 -1 -2", "m7", "-4 -1 -2 minor -1 [] m7" },
        { "-4 0 +2", NULL, "-4 0 2 any -1 [] " },
        { "5 b3' 2", NULL, "8 -1 any -1 [5 b3 2] " },
        { "5 b3 2", "half-diminished", "-4 -1 half-diminished 7 [5 b3 2] " },
        { "1 b3 b5", "half-diminished", "3 3 half-diminished 0 [1 b3 b5] " },
        { "1 3 5", "C", "4 3 major 0 [1 3 5] " },
        { "1 b3 5", "Dm7/G", "3 4 minor 0 [1 b3 5] " },
        { "3 5 b7 b9", "7alt", "3 3 3 dominant 4 [3 5 b7 b9] 7alt" },
        { "1 2 3 4 5 6 7", "maj7",
          "2 2 1 2 2 2 major 0 [1 2 3 4 5 6 7] maj7" },
        { "5 b3", "m7", "a cell has 3 to 7 notes; '5 b3' has 2" },
        { "+1 +1 +1 +1 +1 +1 +1", NULL,
          "a cell has 3 to 7 notes; '+1 +1 +1 +1 +1 +1 +1' has 8" },
        { "5 ? 2", "m7", "a cell in a bank has no '?': write every note" },
        { "-4 ? -1", NULL, "a cell in a bank has no '?': write every note" },
        { "5:8 b3:8 2:8", "m7",
          "a cell in a bank is kept without its rhythm: leave the note values "
          "out" },
        { "5 b3 2", "m7|7",
          "over: a cell in a bank has one chord: write the first, such as m7" },
        { "5 b3 2", "ii7",
          "over: a cell in a bank is kept over a kind of chord, not a "
          "function: write minor" },
        { "5 b3 2", "N.C.",
          "over: a cell in a bank has a chord: write a suffix such as m7, or "
          "leave --over out for any chord" },
        { "5 b33 2", "m7",
          "'b33' is no degree: degrees run from 1 to 13, e.g. b3 or #11" },
    };

    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        ck_assert_str_eq(read_cell(cases[i].text, cases[i].over),
                         cases[i].cell);
}
END_TEST

static const char *const chords[] = {
    "m7", "7",    "maj7", "m7b5",  "dim7",    "aug",      "sus4", "7sus4",
    "6",  "7alt", "m6",   "minor", "dominant", "diminished"
};

/* What is shown can be typed again and is the same cell. */
START_TEST(what_is_shown_reads_back)
{
    srand(11);
    for (int round = 0; round < 5000; round++) {
        const char *over = chords[(size_t)rand() % (sizeof chords /
                                                    sizeof *chords)];
        char text[200] = "", given[CELL_TEXT_SIZE], shown[CELL_TEXT_SIZE];
        static const char *const degrees[] = {
            "1", "b9", "9", "#9", "3", "b3", "4", "#11", "b5", "5", "b6",
            "6", "b7", "7", "bb7", "13"
        };
        static const char *const marks[] = { "", "", "", "'", ",", "''" };
        int count = 3 + rand() % 5;
        struct kept_cell kept = { .given = given };
        struct placed_cell again;
        bool in_over;

        for (int i = 0; i < count; i++)
            sprintf(text + strlen(text), "%s%s ", degrees[rand() % 16],
                    i ? marks[rand() % 6] : "");
        if (bank_read_cell(&kept.cell, given, text, over, &in_over, &why) !=
            ST_OK)
            continue; /* beyond what MIDI holds */
        bank_cell_text(shown, &kept);
        ck_assert_msg(bank_read_cell(&again, given, shown, over, &in_over,
                                     &why) == ST_OK,
                      "%s: %s", shown, why.message);
        ck_assert_msg(placed_cell_equal(&kept.cell, &again), "%s | %s over %s",
                      text, shown, over);
    }
}
END_TEST

START_TEST(notes_are_spelled_in_C)
{
    /* From memory. */
    static const struct {
        const char *text, *over, *notes;
    } cases[] = {
        { "5 b3 2 1", "m7", "G Eb D C" },
        { "3 5 b7 b9", "F#7", "E G Bb Db" },
        { "1 b3 b5 bb7", "dim7", "C Eb Gb Bbb" },
        { "#9 b9 1", "7", "D# Db C" },
        { "A F E D", NULL, "" },
        { "5 b3 2", NULL, "" },
    };

    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char given[CELL_TEXT_SIZE], notes[CELL_TEXT_SIZE];
        struct placed_cell cell;
        bool in_over;

        ck_assert_int_eq(bank_read_cell(&cell, given, cases[i].text,
                                        cases[i].over, &in_over, &why),
                         ST_OK);
        ck_assert_str_eq(bank_cell_notes(notes, &cell), cases[i].notes);
    }
}
END_TEST

START_TEST(numbers_are_read)
{
    static const struct {
        const char *text, *numbers; /* NULL: refused */
        bool look;
    } cases[] = {
        { "3", "3", true },        { "1,3-5", "1 3 4 5", true },
        { "5,1,5,4-6", "5 1 4 6", true }, { "2-2", "2", true },
        { "0", NULL, true },       { "5-3", NULL, true },
        { "1,,2", NULL, true },    { "1-2-3", NULL, true },
        { "1,", NULL, false },     { "-4", NULL, false },
        { "b3", NULL, false },     { "1 2", NULL, false },
        { "", NULL, false },       { "1-99999", NULL, true },
        { "99999999999999999999", NULL, true },
        { "1-999999999", NULL, true },
    };

    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct number_list list = { .count = 0 };
        enum status st = numbers_read(&list, cases[i].text, &why);
        char out[100] = "";

        ck_assert_msg(numbers_look(cases[i].text) == cases[i].look, "'%s'",
                      cases[i].text);
        ck_assert_msg((st == ST_OK) == (cases[i].numbers != NULL), "'%s'",
                      cases[i].text);
        for (size_t k = 0; st == ST_OK && k < list.count; k++)
            sprintf(out + strlen(out), "%s%d", k ? " " : "", list.items[k]);
        if (st == ST_OK)
            ck_assert_str_eq(out, cases[i].numbers);
        else
            ck_assert_int_eq(st, ST_USAGE);
    }
}
END_TEST

START_TEST(names_are_checked)
{
    char name[BANK_NAME_SIZE], wide[4 * 81 + 1] = "";

    ck_assert_int_eq(name_read(name, &bank_kind, " \t Déjà  vu \n", &why), ST_OK);
    ck_assert_str_eq(name, "Déjà  vu");
    for (int i = 0; i < 80; i++)
        strcat(wide, "\xf0\x9d\x84\xab");
    ck_assert_int_eq(name_read(name, &bank_kind, wide, &why), ST_OK);
    ck_assert_str_eq(name, wide);
    strcat(wide, "x");
    ck_assert_int_eq(name_read(name, &bank_kind, wide, &why), ST_USAGE);
    ck_assert_int_eq(name_read(name, &bank_kind, " ", &why), ST_USAGE);
    ck_assert_int_eq(name_read(name, &bank_kind, "a\x1b[2J", &why), ST_USAGE);
    ck_assert_int_eq(name_read(name, &bank_kind, "a\xc3", &why), ST_USAGE);
    ck_assert_int_eq(name_read(name, &bank_kind, "a\xe2\x80\xae" "b", &why),
                     ST_USAGE);
    ck_assert_int_eq(name_read(name, &bank_kind, "a:3", &why), ST_USAGE);
    ck_assert_int_eq(name_read(name, &bank_kind, "part 3: b", &why), ST_OK);
}
END_TEST

START_TEST(a_bank_is_split_from_its_numbers)
{
    struct number_list numbers;
    char name[BANK_NAME_SIZE];

    ck_assert_int_eq(name_split(name, &numbers, &bank_kind, "mine", &why), ST_OK);
    ck_assert_uint_eq(numbers.count, 0);
    ck_assert_int_eq(name_split(name, &numbers, &bank_kind, "my: bank :1,3-5", &why),
                     ST_OK);
    ck_assert_str_eq(name, "my: bank");
    ck_assert_uint_eq(numbers.count, 4);
    ck_assert_int_eq(name_split(name, &numbers, &bank_kind, ":1", &why), ST_USAGE);
    ck_assert_int_eq(name_split(name, &numbers, &bank_kind, "a:5-1", &why), ST_USAGE);
}
END_TEST

/* --- adding ----------------------------------------------------------- */

/* What `bank add mine WORDS... ` makes of its words, parted by '/': "2 cells",
 * "numbers 1 3", else the start of what is said. */
static const char *understood(const char *words, const char *over)
{
    static char out[sizeof why.message];
    char *copy = strdup(words), *argv[8], *faulty = NULL;
    struct bank_adding adding = { .name = "mine", .over = over, .argv = argv };
    struct bank bank = { .count = 0 };
    enum status st;

    for (char *at = copy, *end; at; at = end) {
        end = strchr(at, '/');
        if (end)
            *end++ = '\0';
        argv[adding.argc++] = at;
    }
    st = bank_add_read(&adding, &faulty, &bank, &why);
    if (st != ST_OK)
        snprintf(out, sizeof out, "%.20s", why.message);
    else if (adding.numbers.count == 0)
        snprintf(out, sizeof out, "%zu cells", bank.count);
    else
        strcpy(out, "numbers");
    for (size_t i = 0; st == ST_OK && i < adding.numbers.count; i++)
        sprintf(out + strlen(out), " %d", adding.numbers.items[i]);
    bank_free(&bank);
    free(faulty);
    free(copy);
    return out;
}

START_TEST(numbers_and_fragments_are_told_apart)
{
    ck_assert_str_eq(understood("5 b3 2 1/b3 5 b7", "m7"), "2 cells");
    ck_assert_str_eq(understood("-4 -1 -2", NULL), "1 cells");
    ck_assert_str_eq(understood("4 -1 -2", NULL), "1 cells");
    ck_assert_str_eq(understood("1 2 3", "maj7"), "1 cells");
    ck_assert_str_eq(understood("3", NULL), "numbers 3");
    ck_assert_str_eq(understood("1,3-5/2/3", NULL), "numbers 1 3 4 5 2");
    ck_assert_str_eq(understood("1 2 3", NULL),
                     "'1 2 3' may be numbe");
    ck_assert_str_eq(understood("1, 3-5", NULL),
                     "'1, 3-5' may be numb");
    ck_assert_str_eq(understood("1/2/3/5", "maj7"),
                     "a fragment goes in q");
    ck_assert_ptr_nonnull(strstr(why.message, "mine \"1 2 3 5\" --over maj7"));
    ck_assert_str_eq(understood("5/b3/2/1", "m7"),
                     "a fragment goes in q");
    ck_assert_str_eq(understood("-4/-1/-2", NULL),
                     "a fragment goes in q");
    ck_assert_str_eq(understood("3/-4 -1 -2", NULL),
                     "add cells by number ");
    ck_assert_str_eq(understood("b3", NULL), "'b3' is no cell: it ");
}
END_TEST

static struct notebook *notebook;

static void setup(void)
{
    notebook_make_folder();
    notebook = notebook_opened(NOTEBOOK_WRITE);
}

static void teardown(void)
{
    notebook_close(notebook);
    notebook_remove_folder();
}

START_TEST(a_bank_that_may_be_meant_is_named)
{
    struct bank bank;

    ck_assert_int_eq(bank_load(&bank, NULL, "x", &why), ST_NOTHING);
    ck_assert_ptr_nonnull(strstr(why.message, "no banks yet"));
    ck_assert_int_eq(notebook_new_bank(notebook, "Über moll", &why), ST_OK);
    ck_assert_int_eq(bank_load(&bank, notebook, "ubre moll", &why),
                     ST_NOTHING);
    ck_assert_str_eq(why.message, "there is no bank 'ubre moll'; did you mean "
                                  "'Über moll'?");
    ck_assert_int_eq(bank_load(&bank, notebook, "other", &why), ST_NOTHING);
    ck_assert_ptr_nonnull(strstr(why.message, "cellar bank list"));
    bank_free(&bank);
}
END_TEST

START_TEST(listed_cells_are_kept_by_number)
{
    char numbers[] = "3,1", *argv[] = { numbers, NULL };
    struct bank_adding adding = { .name = "mine", .argc = 1, .argv = argv };
    struct listed_cell cells[3];
    struct bank added = { .count = 0 }, bank;
    bool new[NUMBERS_MAX + 1], in_over;
    char *faulty = NULL, given[CELL_TEXT_SIZE];

    for (int i = 0; i < 3; i++) {
        const char *const texts[] = { "5 b3 2 1", "1 2 b3 5", "b3 5 b7 9" };

        ck_assert_int_eq(bank_read_cell(&cells[i].cell, given, texts[i],
                                        "minor", &in_over, &why),
                         ST_OK);
        cells[i].uses = i;
    }
    ck_assert_int_eq(notebook_new_bank(notebook, "mine", &why), ST_OK);
    ck_assert_int_eq(bank_add_read(&adding, &faulty, &added, &why), ST_OK);
    ck_assert_int_eq(bank_add_run(&adding, notebook, &added, new, &why),
                     ST_NOTHING); /* nothing was listed */
    ck_assert_int_eq(bank_remember(notebook_folder, "cellar cells", cells, 3,
                                   &why),
                     ST_OK);
    ck_assert_int_eq(bank_add_run(&adding, notebook, &added, new, &why),
                     ST_OK);
    ck_assert(new[0] && new[1]);
    bank_free(&added);
    ck_assert_int_eq(bank_load(&bank, notebook, "MINE", &why), ST_OK);
    ck_assert_uint_eq(bank.count, 2);
    ck_assert(placed_cell_equal(&bank.cells[0].cell, &cells[2].cell));
    ck_assert(placed_cell_equal(&bank.cells[1].cell, &cells[0].cell));
    ck_assert_str_eq(bank.cells[0].origin,
                     "cell 3 of 'cellar cells', 2 times there");
    ck_assert_str_eq(bank.cells[1].origin, "cell 1 of 'cellar cells'");
    bank_free(&bank);
}
END_TEST

Suite *bank_suite(void)
{
    Suite *s = suite_create("bank");
    TCase *t = tcase_create("words");

    tcase_set_timeout(t, 60);
    tcase_add_test(t, fragments_become_cells);
    tcase_add_test(t, what_is_shown_reads_back);
    tcase_add_test(t, notes_are_spelled_in_C);
    tcase_add_test(t, numbers_are_read);
    tcase_add_test(t, names_are_checked);
    tcase_add_test(t, a_bank_is_split_from_its_numbers);
    tcase_add_test(t, numbers_and_fragments_are_told_apart);
    suite_add_tcase(s, t);
    t = tcase_create("banks");
    tcase_add_checked_fixture(t, setup, teardown);
    tcase_add_test(t, a_bank_that_may_be_meant_is_named);
    tcase_add_test(t, listed_cells_are_kept_by_number);
    suite_add_tcase(s, t);
    return s;
}
