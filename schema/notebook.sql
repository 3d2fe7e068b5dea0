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
