/* check_library_places.c - which files make up a library. */
#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "indexer/library.h"
#include "indexer/walk.h"
#include "tests/unit/library_fixture.h"

/* --- which files ------------------------------------------------------- */

START_TEST(names_that_count)
{
    make_folder(".hidden");
    make_folder("b.xml");
    write_solo("A.XML", "One", 1);
    write_solo("a.MusicXML", "Two", 1);
    write_solo("b.xml/c.xml", "Three", 1);
    write_solo(".hidden/d.xml", "Wrong", 1);
    write_solo(".e.xml", "Wrong", 1);
    write_solo("f.xml.bak", "Wrong", 1);
    write_solo("xml", "Wrong", 1);
    write_solo("g.txt", "Wrong", 1);
    ck_assert_int_eq(mkfifo(in_home("h.xml"), 0600), 0);
    expect_run(3, 0, 0, 0);
    write_solo(".cellar/i.xml", "Wrong", 1);
    expect_run(0, 3, 0, 0);
    expect_in_index("Wrong", false);
}
END_TEST

/* LIBRARY is HOME/l; HOME/o lies outside. */
START_TEST(links)
{
    struct said said;
    struct library_options options = options_for(&said);
    struct library_counts c;
    struct fault why;

    make_folder("l");
    make_folder("l/sub");
    make_folder("o");
    make_folder("o/deep");
    write_solo("l/sub/a.xml", "One", 1);
    write_solo("o/deep/b.xml", "Two", 1);
    ck_assert_int_eq(symlink("..", in_home("l/sub/up")), 0);
    ck_assert_int_eq(symlink("sub", in_home("l/again")), 0);
    ck_assert_int_eq(symlink("../o", in_home("l/out")), 0);
    ck_assert_int_eq(symlink("../o", in_home("l/out2")), 0);
    ck_assert_int_eq(symlink("../deep", in_home("o/deep/loop")), 0);
    ck_assert_int_eq(symlink("../l", in_home("o/back")), 0);
    ck_assert_int_eq(symlink("/", in_home("o/root")), 0);
    ck_assert_int_eq(symlink("nowhere", in_home("l/z.xml")), 0);
    ck_assert_int_eq(symlink("nowhere", in_home("l/z.txt")), 0);
    ck_assert_int_eq(update_in("l", "l", &options, &c, &why), ST_OK);
    ck_assert_int_eq(c.read, 2);
    ck_assert_int_eq(c.unreadable, 1);
    ck_assert_str_eq(said.lines, "z.xml: is a link that leads nowhere\n");
}
END_TEST

START_TEST(a_folder_without_music)
{
    struct said said;
    struct library_options options = options_for(&said);
    struct library_counts c;
    struct fault why;
    char note[200];

    write_text("notes.txt", "no music");
    expect_fault("", "", "no .musicxml, .xml or .mxl file below %s/");
    ck_assert(!exists(".cellar"));

    write_solo("a.xml", "First", 4);
    expect_run(1, 0, 0, 0);
    ck_assert_int_eq(unlink(in_home("a.xml")), 0);
    ck_assert_int_eq(update_in("", "", &options, &c, &why), ST_OK);
    ck_assert_int_eq(c.removed, 1);
    snprintf(note, sizeof note,
             "note: no .musicxml, .xml or .mxl file below %s/ any more\n",
             home);
    ck_assert_str_eq(said.lines, note);
    expect_fault("", "", "no .musicxml, .xml or .mxl file below %s/");
}
END_TEST

START_TEST(folders_that_are_none)
{
    write_text("file", "");
    expect_fault("gone", "gone", "there is no folder %s/gone");
    expect_fault("", "gone", "there is no folder %s/gone");
    expect_fault("file", "file", "%s/file is not a folder");
}
END_TEST

/* --- a library elsewhere ----------------------------------------------- */

START_TEST(library_elsewhere)
{
    struct said said;
    struct library_options options = options_for(&said);
    struct library_counts c;
    struct fault why;
    char line[200], *dump;

    make_folder("l");
    make_folder("l/in");
    make_folder("o");
    write_solo("l/in/a.xml", "One", 1);
    write_solo("o/b.xml", "Two", 1);
    ck_assert_int_eq(update_in("l", "o", &options, &c, &why), ST_OK);
    ck_assert_int_eq(c.read, 1);
    ck_assert(exists("l/.cellar/index.db") && !exists("o/.cellar"));
    ck_assert_int_eq(update_in("l", "l/in", &options, &c, &why), ST_OK);
    ck_assert_int_eq(c.read, 1);
    ck_assert_int_eq(c.removed, 0);
    dump = dump_index("l", false);
    snprintf(line, sizeof line, "solo %s/o/b.xml 'Two'", home);
    ck_assert_ptr_nonnull(strstr(dump, line));
    ck_assert_ptr_nonnull(strstr(dump, "solo in/a.xml 'One'"));
    free(dump);

    /* Only what lies below the folders given is forgotten. */
    ck_assert_int_eq(unlink(in_home("l/in/a.xml")), 0);
    ck_assert_int_eq(update_in("l", "o", &options, &c, &why), ST_OK);
    ck_assert_int_eq(c.removed, 0);
    ck_assert_int_eq(c.unchanged, 1);
    ck_assert_int_eq(update_in("l", "l", &options, &c, &why), ST_OK);
    ck_assert_int_eq(c.removed, 1);

    /* And --full keeps what lies elsewhere. */
    write_solo("l/in/a.xml", "One", 1);
    options.full = true;
    ck_assert_int_eq(update_in("l", "l", &options, &c, &why), ST_OK);
    ck_assert_int_eq(c.read, 2);
    ck_assert_int_eq(c.notes, 2);
}
END_TEST

START_TEST(folders_that_overlap)
{
    struct said said;
    struct library_options options = options_for(&said);
    struct library_counts c;
    struct fault why;
    char a[100], b[100];
    const char *folders[] = { b, a, b };

    make_folder("sub");
    write_solo("x.xml", "One", 1);
    write_solo("sub/y.xml", "Two", 1);
    snprintf(a, sizeof a, "%s", home);
    snprintf(b, sizeof b, "%s/sub/../sub", home);
    ck_assert_int_eq(library_update(a, folders, 3, &options, &c, &why), ST_OK);
    ck_assert_int_eq(c.read, 2);
}
END_TEST

/* A name that another one begins with is not a folder above it. */
START_TEST(prefixes)
{
    char *prefix = walk_prefix("/a/b", "/a/b/c");

    ck_assert_str_eq(prefix, "c/");
    ck_assert(walk_is_below("c/d.xml", prefix));
    ck_assert(!walk_is_below("cd/d.xml", prefix));
    free(prefix);
    prefix = walk_prefix("/a/b", "/a/bc");
    ck_assert_str_eq(prefix, "/a/bc/");
    free(prefix);
    prefix = walk_prefix("/a/b", "/a/b");
    ck_assert_str_eq(prefix, "");
    ck_assert(walk_is_below("c.xml", prefix));
    ck_assert(!walk_is_below("/a/bc/d.xml", prefix));
    free(prefix);
    prefix = walk_prefix("/", "/a");
    ck_assert_str_eq(prefix, "a/");
    free(prefix);
    prefix = walk_prefix("/a", "/");
    ck_assert_str_eq(prefix, "/");
    ck_assert(walk_is_below("/b.xml", prefix));
    free(prefix);
}
END_TEST

TCase *library_places_tests(void)
{
    TCase *tests = tcase_create("places");

    tcase_add_checked_fixture(tests, setup_home, teardown_home);
    tcase_set_timeout(tests, 60);
    tcase_add_test(tests, names_that_count);
    tcase_add_test(tests, links);
    tcase_add_test(tests, a_folder_without_music);
    tcase_add_test(tests, folders_that_are_none);
    tcase_add_test(tests, library_elsewhere);
    tcase_add_test(tests, folders_that_overlap);
    tcase_add_test(tests, prefixes);
    return tests;
}
