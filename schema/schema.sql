-- schema/schema.sql - what an index holds.
--
-- One index is one SQLite database, LIBRARY/.cellar/index.db, in WAL mode
-- (who reads it while nobody writes need not know: store_rest.c).
-- It is derived from the music files: deleting it loses nothing.  Whoever
-- changes a table, the meaning of a column, a gram, the bytes of a solo or a
-- number of schema/worth.h raises user_version here and STORE_VERSION in store.h.

PRAGMA application_id = 1130720364; -- 0x43656C6C, "Cell"
PRAGMA user_version = 10;           -- STORE_VERSION

-- Every music file that was looked at, readable or not.
CREATE TABLE file (
    id INTEGER PRIMARY KEY,
    path TEXT UNIQUE,         -- relative to the library, '/' between parts;
                              -- NULL only inside a transaction, for a file
                              -- whose path was taken by a moved one
    size INTEGER NOT NULL,    -- bytes
    mtime_ns INTEGER NOT NULL, -- nanoseconds since 1970
    sha256 TEXT NOT NULL,     -- of the bytes, 64 lower-case hex digits
    part TEXT NOT NULL,       -- the --part it was read with, '' none
    unreadable TEXT NOT NULL  -- why it could not be read, '' when it could
);

-- The facts of each solo that are listed and filtered by.
CREATE TABLE solo (
    id INTEGER PRIMARY KEY,     -- file.id
    title TEXT NOT NULL,        -- '' unknown, as are the next three
    performer TEXT NOT NULL,
    composer TEXT NOT NULL,
    instrument TEXT NOT NULL,
    metre TEXT NOT NULL,        -- first time signature, '4/4'; '' none
    concert_key TEXT NOT NULL,  -- as it sounds, 'Eb major'; '' unknown
    tempo INTEGER NOT NULL,     -- quarters a minute times 100, 0 unknown
    notes INTEGER NOT NULL,     -- notes of the line
    chords INTEGER NOT NULL,    -- chord symbols
    bars INTEGER NOT NULL,      -- bars as written
    warnings INTEGER NOT NULL,  -- places that were not understood
    segment INTEGER NOT NULL    -- segment.id of its strands; 0: no notes
);

-- The whole of each solo.  A table of its own, so that listing and filtering
-- never read past these large rows.
CREATE TABLE body (
    id INTEGER PRIMARY KEY, -- solo.id
    bytes BLOB NOT NULL     -- what solo_encode() made
);

-- The notes of all solos lie in segments, one solo behind the other.  A
-- segment is written once, with its strands and its row of the full-text
-- index; where one of its solos goes, the others move to a new one.
CREATE TABLE segment (
    id INTEGER PRIMARY KEY,
    notes INTEGER NOT NULL,
    solos BLOB NOT NULL -- for each solo by start, little-endian: id (8 bytes),
                        -- start and count of its notes (4 each)
);

-- The strands (schema/strand.h) of a segment, a byte a note: those by which
-- whole libraries are looked through alone, 4,000 notes a row, as are those
-- that few questions need; the first and the others together, one behind the
-- other, 571 notes a row.
CREATE TABLE strand (
    id INTEGER PRIMARY KEY, -- from segment, strand and part: store_strand.c
    bytes BLOB NOT NULL
);

-- The places of a segment that may score most (schema/salience.h): those of one
-- list a row.
CREATE TABLE salient (
    id INTEGER PRIMARY KEY, -- from list and segment: store_salient.c
    bytes BLOB NOT NULL
);

-- What the codes in strands stand for.
CREATE TABLE code (
    kind INTEGER NOT NULL, -- enum strand_code
    code INTEGER NOT NULL, -- 1 .. 254
    text TEXT NOT NULL,    -- what it stands for: strand_code_read()
    PRIMARY KEY (kind, code)
) WITHOUT ROWID;

-- Where runs of intervals stand: the rowid is segment.id, a token position is
-- a note of the segment.  Contentless: the text follows from body.bytes, so
-- that a row is removed by handing it in again.
CREATE VIRTUAL TABLE gram USING fts5 (
    notes, -- the 2, 3 and 4 intervals that follow, and of each such window the
           -- chord class and the degree it starts on
    content = '',
    columnsize = 0,
    detail = full,
    tokenize = 'gram'
);

-- The words of a solo, for filters: the rowid is solo.id.
CREATE VIRTUAL TABLE words USING fts5 (
    title,
    performer,
    composer,
    instrument,
    text, -- rehearsal marks, directions and other words of the score
    tokenize = 'unicode61 remove_diacritics 2'
);
