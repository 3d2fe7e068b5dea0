/* mutate_with_rows.c - libFuzzer changes databases by their rows: SQLite finds
 * most changes of bytes itself; what a row says only its reader can check. */
#include <sqlite3.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "schema/solo_codec.h"
#include "tests/fuzz/mutate_score.h"

enum {
    WRITE_VERSION = 18, /* of the header: 2 where the log is a WAL */
    HEADER = 100,
    VALUE_MAX = 4096
};

static const char *const values[] = {
    "0",
    "1",
    "-1",
    "2",
    "12",
    "127",
    "128",
    "255",
    "256",
    "4000",
    "64000",
    "2147483647",
    "2147483648",
    "-2147483648",
    "4294967295",
    "9223372036854775807",
    "-9223372036854775808",
    "0.5",
    "1e999",
    "NULL",
    "''",
    "'x'",
    "'5 b3 2 1'",
    "'-4 -1 -2'",
    "'-4 -1 -200'",
    "'minor'",
    "'69 65 64 62'",
    "'69 65 64 620'",
    "'\x80'",
    "'A\nB'",
    "x''",
    "x'00'",
    "x'ff'",
    "zeroblob(4)",
    "zeroblob(16)",
    "zeroblob(4000)",
    "zeroblob(100000)",
    "randomblob(16)",
    "hex(zeroblob(3000))",
    "char(0)",
    "char(0x202e)",
    "'a.xml'",
    "'/etc/x'",
    "'../x'",
    "'4/4'",
    "'0/0'",
};

static size_t pick(uint64_t *state, size_t limit)
{
    return mutate_draw(state, limit);
}

/* The first text that SQL answers with; the caller frees it (sqlite3_free). */
static char *answer(sqlite3 *db, const char *sql)
{
    sqlite3_stmt *stmt = NULL;
    char *out = NULL;

    if (sqlite3_prepare_v2(db, sql, -1, &stmt, NULL) == SQLITE_OK &&
        sqlite3_step(stmt) == SQLITE_ROW)
        out = sqlite3_mprintf("%s", sqlite3_column_text(stmt, 0));
    sqlite3_finalize(stmt);
    return out;
}

static bool run_owned(sqlite3 *db, char *sql)
{
    bool good = sql && sqlite3_exec(db, sql, NULL, NULL, NULL) == SQLITE_OK;

    sqlite3_free(sql);
    return good && sqlite3_total_changes(db) > 0;
}

/* A row of TABLE by its place, so that the change follows from the seed. */
static char *any_row(sqlite3 *db, const char *table, uint64_t *state)
{
    char *sql = sqlite3_mprintf(
        "SELECT rowid FROM \"%w\" LIMIT 1 OFFSET "
        "%d %% max(1, (SELECT count(*) FROM \"%w\"))",
        table, (int)pick(state, 1000), table);
    char *row = answer(db, sql);

    sqlite3_free(sql);
    return row;
}

/* Change the SIZE bytes of VALUE; their sum is right again where they are those
 * of a solo (for other bytes it is some more of a change).  Returns the new
 * ones and their number in *SIZE; the caller frees them.  NULL where memory is
 * out. */
static unsigned char *changed_bytes(const void *value, size_t *size)
{
    unsigned char *room = malloc(*size + VALUE_MAX);

    if (!room)
        return NULL;
    if (*size)
        memcpy(room, value, *size);
    *size = LLVMFuzzerMutate(room, *size, *size + VALUE_MAX);
    if (*size > SUM_SIZE && room[0] == CODEC_VERSION)
        codec_seal(room, *size);
    return room;
}

static bool change_blob(sqlite3 *db, const char *table, const char *column,
                        const char *row)
{
    char *get = sqlite3_mprintf("SELECT \"%w\" FROM \"%w\" WHERE rowid = %s",
                                column, table, row);
    char *set = sqlite3_mprintf(
        "UPDATE \"%w\" SET \"%w\" = ?1 WHERE rowid = %s", table, column, row);
    sqlite3_stmt *stmt = NULL;
    unsigned char *bytes = NULL;
    size_t size = 0;
    bool good = false;

    if (sqlite3_prepare_v2(db, get, -1, &stmt, NULL) == SQLITE_OK &&
        sqlite3_step(stmt) == SQLITE_ROW) {
        const void *value = sqlite3_column_blob(stmt, 0);

        size = (size_t)sqlite3_column_bytes(stmt, 0);
        bytes = changed_bytes(value, &size);
    }
    sqlite3_finalize(stmt);
    if (bytes && sqlite3_prepare_v2(db, set, -1, &stmt, NULL) == SQLITE_OK) {
        sqlite3_bind_blob64(stmt, 1, bytes, size, SQLITE_STATIC);
        good = sqlite3_step(stmt) == SQLITE_DONE;
        sqlite3_finalize(stmt);
    }
    sqlite3_free(get);
    sqlite3_free(set);
    free(bytes);
    return good;
}

static bool change_row(sqlite3 *db, const char *table, const char *column,
                       const char *row, uint64_t *state)
{
    switch (pick(state, 8)) {
    case 0:
        return run_owned(db, sqlite3_mprintf("DELETE FROM \"%w\" WHERE "
                                             "rowid = %s",
                                             table, row));
    case 1:
        return run_owned(db,
                         sqlite3_mprintf("UPDATE OR REPLACE \"%w\" SET "
                                         "rowid = %s WHERE rowid = %s",
                                         table, values[pick(state, 17)], row));
    case 2:
    case 3:
    case 4:
        return change_blob(db, table, column, row);
    default:
        return run_owned(
            db, sqlite3_mprintf(
                    "UPDATE OR REPLACE \"%w\" SET \"%w\" = %s "
                    "WHERE rowid = %s",
                    table, column,
                    values[pick(state, sizeof values / sizeof *values)], row));
    }
}

/* Change one thing in DB. */
static bool change(sqlite3 *db, uint64_t *state)
{
    char *sql, *table, *column = NULL, *row = NULL;
    bool good = false;

    if (pick(state, 40) == 0)
        return run_owned(db, sqlite3_mprintf("PRAGMA user_version = %d",
                                             (int)pick(state, 8)));
    sql = sqlite3_mprintf(
        "SELECT name FROM sqlite_master WHERE type = 'table' AND "
        "sql NOT LIKE '%%VIRTUAL%%' ORDER BY name LIMIT 1 OFFSET %d %% "
        "(SELECT count(*) FROM sqlite_master WHERE type = 'table' AND "
        "sql NOT LIKE '%%VIRTUAL%%')",
        (int)pick(state, 1000));
    table = answer(db, sql);
    sqlite3_free(sql);
    if (table) {
        sql = sqlite3_mprintf(
            "SELECT name FROM pragma_table_info(%Q) LIMIT 1 "
            "OFFSET %d %% (SELECT count(*) FROM "
            "pragma_table_info(%Q))",
            table, (int)pick(state, 1000), table);
        column = answer(db, sql);
        sqlite3_free(sql);
        row = any_row(db, table, state);
    }
    if (table && column && row)
        good = change_row(db, table, column, row, state);
    else if (table && column)
        good = run_owned(
            db, sqlite3_mprintf("UPDATE OR REPLACE \"%w\" SET \"%w\" "
                                "= %s",
                                table, column, values[pick(state, 30)]));
    sqlite3_free(table);
    sqlite3_free(column);
    sqlite3_free(row);
    return good;
}

/* The bytes of a database as one in memory; NULL where they are none. */
static sqlite3 *database_of(const uint8_t *data, size_t size)
{
    sqlite3 *db = NULL;
    unsigned char *copy = sqlite3_malloc64(size);

    if (!copy || sqlite3_open(":memory:", &db) != SQLITE_OK) {
        sqlite3_free(copy);
        sqlite3_close(db);
        return NULL;
    }
    memcpy(copy, data, size);
    copy[WRITE_VERSION] = copy[WRITE_VERSION + 1] = 1;
    if (sqlite3_deserialize(db, "main", copy, (sqlite3_int64)size,
                            (sqlite3_int64)size,
                            SQLITE_DESERIALIZE_FREEONCLOSE |
                                SQLITE_DESERIALIZE_RESIZEABLE) == SQLITE_OK)
        return db;
    sqlite3_close(db);
    return NULL;
}

size_t LLVMFuzzerCustomMutator(uint8_t *data, size_t size, size_t most,
                               unsigned int seed);

size_t LLVMFuzzerCustomMutator(uint8_t *data, size_t size, size_t most,
                               unsigned int seed)
{
    uint64_t state = (uint64_t)seed * 2 + 1;
    sqlite3 *db = size > HEADER && seed % 8 ? database_of(data, size) : NULL;
    sqlite3_int64 written = 0;
    unsigned char *bytes = NULL;
    size_t done = 0, steps = 1 + pick(&state, 4);

    for (size_t tries = 0; db && done < steps && tries < 4 * steps; tries++)
        done += change(db, &state);
    if (done)
        bytes = sqlite3_serialize(db, "main", &written, 0);
    if (bytes && (size_t)written <= most) {
        bytes[WRITE_VERSION] = data[WRITE_VERSION];
        bytes[WRITE_VERSION + 1] = data[WRITE_VERSION + 1];
        size = (size_t)written;
        memcpy(data, bytes, size);
    } else {
        size = LLVMFuzzerMutate(data, size, most);
    }
    sqlite3_free(bytes);
    sqlite3_close(db);
    return size;
}
