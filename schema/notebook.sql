-- notebook.sql - what the user has written.
--
-- Authored data: never rebuilt, only migrated, with a copy made first.  It
-- names solos by what they are, not by ids of the index, so that it outlives
-- re-indexing, renaming and editing of the files.
--
-- Each "version" below says how a notebook of the version before it becomes
-- one of that version; a new notebook takes all steps from the first.  A step
-- that was published is never changed: what comes next is a version after the
-- last, and NOTEBOOK_VERSION (notebook.h) says so.

-- version 1
-- A correction of the form of one solo, as the user gave it.
CREATE TABLE form_correction (
    id INTEGER PRIMARY KEY,
    sha256 TEXT NOT NULL,      -- of the file it was made for, 64 hex digits
    path TEXT NOT NULL,        -- where that file was, relative to the library
    title TEXT NOT NULL,       -- its title then, '' none
    harmony INTEGER NOT NULL,  -- digest of its chords (solo_harmony_digest())
    length INTEGER NOT NULL,   -- bars of the form, 0: it has none
    first_bar TEXT NOT NULL    -- printed number of the first bar of chorus 1
);

-- version 2

-- Banks: named sets of cells that the user kept.
CREATE TABLE bank (
    id INTEGER PRIMARY KEY,
    name TEXT NOT NULL UNIQUE  -- as written; the program compares it without
                               -- case and accents, and keeps it unique so
);

-- The cells of the banks.  Their numbers are not kept: they count from 1 in
-- the order of id.
CREATE TABLE bank_cell (
    id INTEGER PRIMARY KEY,    -- rises in the order of adding
    bank INTEGER NOT NULL REFERENCES bank (id) ON DELETE CASCADE,
    intervals TEXT NOT NULL,   -- semitones from note to note: "-4 -1 -2"
    class TEXT NOT NULL,       -- of its chord ("minor"), '' any chord
    start INTEGER NOT NULL,    -- semitones of its first note above the root of
                               -- the chord, 0..11; -1 not known
    degrees TEXT NOT NULL,     -- "5 b3 2 1", '' not known
    over_chord TEXT NOT NULL,  -- suffix as the user wrote it ("m7"), '' none
    given TEXT NOT NULL,       -- the fragment as the user wrote it, '' none
    note TEXT NOT NULL,        -- the user's remark, '' none
    origin TEXT NOT NULL,      -- where it was taken from, in words, '' typed
    added INTEGER NOT NULL,    -- seconds since 1970, UTC
    UNIQUE (bank, intervals, class, start)
);
CREATE INDEX bank_cell_in_order ON bank_cell (bank, id);

-- What was listed last by `cellar cells`, so that its cells can be kept by
-- number: the cells themselves, whatever becomes of the index.
CREATE TABLE listing (
    question TEXT NOT NULL,    -- the command that listed them
    listed INTEGER NOT NULL    -- seconds since 1970, UTC
);
CREATE TABLE listing_cell (
    number INTEGER PRIMARY KEY,
    intervals TEXT NOT NULL,   -- these as in bank_cell
    class TEXT NOT NULL,
    start INTEGER NOT NULL,
    degrees TEXT NOT NULL,
    over_chord TEXT NOT NULL,
    uses INTEGER NOT NULL      -- how often it occurred, 0 not known
);

-- version 3

-- Study lists: places that the user kept, in order.
CREATE TABLE study_list (
    id INTEGER PRIMARY KEY,
    name TEXT NOT NULL UNIQUE, -- as written; compared as the name of a bank
    made INTEGER NOT NULL      -- seconds since 1970, UTC
);

-- The entries of the lists.  An entry holds enough to be found again in a file
-- that was moved or edited, and to be read when the file is gone.
CREATE TABLE list_entry (
    id INTEGER PRIMARY KEY,
    list INTEGER NOT NULL REFERENCES study_list (id) ON DELETE CASCADE,
    place INTEGER NOT NULL,    -- its number in the list, from 1 without gaps
    sha256 TEXT NOT NULL,      -- of the file it was taken from, 64 hex digits
    path TEXT NOT NULL,        -- where that file was, relative to the library
    title TEXT NOT NULL,       -- '' none
    performer TEXT NOT NULL,   -- '' none
    harmony INTEGER NOT NULL,  -- digest of its chords (solo_harmony_digest())
    first_note INTEGER NOT NULL, -- index of its first note in the line, from 0
    bar TEXT NOT NULL,         -- printed number of its first bar, '' none
    bar_index INTEGER NOT NULL, -- the same counted from 0 in the file
    midi TEXT NOT NULL,        -- sounding notes: "69 65 64 62"
    notes TEXT NOT NULL,       -- the same as spelled: "A4 F4 E4 D4"
    degrees TEXT NOT NULL,     -- over its chord: "5 b3 2 1", '' no chord
    chord TEXT NOT NULL,       -- symbol of its chord, '' none
    home TEXT NOT NULL,        -- symbol of its home chord, '' not known
    relation TEXT NOT NULL,    -- how the chord stands to it, '' not known
    question TEXT NOT NULL,    -- the command that found it
    remark TEXT NOT NULL,      -- the user's, '' none
    added INTEGER NOT NULL     -- seconds since 1970, UTC
);
CREATE INDEX list_entry_in_order ON list_entry (list, place);
