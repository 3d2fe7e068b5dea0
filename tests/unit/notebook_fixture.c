/* notebook_fixture.c - see notebook_fixture.h. */
#include "tests/unit/notebook_fixture.h"

#include <check.h>
#include <signal.h>
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

char notebook_folder[64], notebook_file[96];

void notebook_make_folder(void)
{
    strcpy(notebook_folder, "/tmp/cellar-notebook-XXXXXX");
    ck_assert_ptr_nonnull(mkdtemp(notebook_folder));
    snprintf(notebook_file, sizeof notebook_file, "%s/.cellar/notebook.db",
             notebook_folder);
}

void notebook_remove_folder(void)
{
    char command[120];

    snprintf(command, sizeof command, "rm -rf %s", notebook_folder);
    ck_assert_int_eq(system(command), 0);
}

struct notebook *notebook_opened(enum notebook_mode mode)
{
    struct notebook *n;
    struct fault why = { 0 };

    ck_assert_msg(notebook_open(&n, notebook_folder, mode, &why) == ST_OK,
                  "%s", why.message);
    return n;
}

void notebook_run_sql(const char *sql)
{
    sqlite3 *db;

    ck_assert_int_eq(sqlite3_open(notebook_file, &db), SQLITE_OK);
    ck_assert_msg(sqlite3_exec(db, sql, NULL, NULL, NULL) == SQLITE_OK, "%s",
                  sqlite3_errmsg(db));
    sqlite3_close(db);
}

void notebook_make_first_version(void)
{
    char place[96];

    snprintf(place, sizeof place, "%s/.cellar", notebook_folder);
    ck_assert_int_eq(mkdir(place, 0777), 0);
    /* As version 1 was published. */
    notebook_run_sql(
        "CREATE TABLE form_correction (id INTEGER PRIMARY KEY,"
        " sha256 TEXT NOT NULL, path TEXT NOT NULL, title TEXT NOT NULL,"
        " harmony INTEGER NOT NULL, length INTEGER NOT NULL,"
        " first_bar TEXT NOT NULL);"
        "INSERT INTO form_correction VALUES (1, 'aa', 'ada/waltz.xml',"
        " 'Waltz', 77, 24, '5');"
        "PRAGMA application_id = 0x436c4e62; PRAGMA user_version = 1;");
}

int notebook_kill_while(void (*change)(int number), int round)
{
    int ends[2], acknowledged = -1, last, status;
    pid_t child;

    ck_assert_int_eq(pipe(ends), 0);
    child = fork();
    ck_assert_int_ge(child, 0);
    if (child == 0) {
        for (int i = 0; i < 100000; i++) {
            change(i);
            if (write(ends[1], &i, sizeof i) != sizeof i)
                _exit(1);
        }
        _exit(0);
    }
    close(ends[1]);
    for (int i = 0; i < 3 + round; i++)
        if (read(ends[0], &acknowledged, sizeof acknowledged) <= 0)
            break;
    usleep((useconds_t)(round * 300));
    kill(child, SIGKILL);
    ck_assert_int_eq(waitpid(child, &status, 0), child);
    while (read(ends[0], &last, sizeof last) == sizeof last)
        acknowledged = last;
    close(ends[0]);
    return acknowledged;
}
